"""One running booth: put together out of its components, and driven by one loop."""
