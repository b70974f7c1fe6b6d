"""The extent of the head: crown, hair and chin."""
