"""The documents and badge designs known to this booth."""
