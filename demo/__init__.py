"""The real application on simulated devices; nothing in `kiosk` imports it."""
