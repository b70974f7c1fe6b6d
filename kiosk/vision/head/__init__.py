"""Crown, hair, chin: where the head ends."""
