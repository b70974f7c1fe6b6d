"""Lighting, backdrop and lens, as measured before anybody sits down."""
