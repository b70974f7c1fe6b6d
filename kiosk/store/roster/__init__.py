"""The roster of an event, its stations and what they may print."""
