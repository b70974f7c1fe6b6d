"""Tethered still cameras, through libgphoto2."""
