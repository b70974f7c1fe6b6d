"""The attendant's way through the desk, as one pure step."""
