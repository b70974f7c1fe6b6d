"""What is kept of printers and of the jobs sent to them."""
