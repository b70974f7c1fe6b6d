"""The background beside the head."""
