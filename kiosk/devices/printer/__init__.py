"""What all printers share: the queue in front of them."""
