"""Published body measurements that several rooms rely on."""

INTER_EYE_MM = 63.0
"""Mean interpupillary distance of adults; the vast majority lie between 50 and 75 mm (Dodgson 2004)."""
