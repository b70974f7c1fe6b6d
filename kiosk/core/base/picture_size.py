"""How large a picture may be."""

MAX_MEGAPIXELS = 120
"""The largest picture accepted, somewhat above single shots of medium-format cameras (about 102 megapixels, trade
practice); an sRGB array of this size takes 360 MB. It is checked in the header, before anything is decoded."""
