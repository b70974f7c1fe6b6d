"""Any payment unit: the thread that drives it."""
