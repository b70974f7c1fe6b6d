"""The attendant's pages."""
