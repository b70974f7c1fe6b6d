"""The attendant's desk as a pure state machine."""
