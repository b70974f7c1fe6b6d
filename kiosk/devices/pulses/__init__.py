"""A coin, note or token validator that gives a pulse for each unit of value."""
