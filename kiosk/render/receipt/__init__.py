"""Receipts: their words, and the slip for a receipt printer."""
