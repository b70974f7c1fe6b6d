"""What keeps the booth out of order: one file a source of trouble, and the blame that they share."""
