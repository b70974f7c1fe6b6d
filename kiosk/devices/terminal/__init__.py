"""A card terminal on the local network, spoken to by a small protocol of JSON over HTTP (`hardware/payment.md`)."""
