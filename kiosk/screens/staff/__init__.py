"""One file a page of the attendant's."""
