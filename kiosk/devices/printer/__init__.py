"""What every printer has in common: the queue before it."""
