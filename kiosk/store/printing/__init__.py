"""Stored data on printers: their proofs of scale, and the journal of their jobs."""
