"""Measures of people that do not depend on anything else."""

INTER_EYE_MM = 63.0
"""Distance between the pupils of adults: about 63 mm, with 50 to 75 mm for the vast majority (Dodgson 2004)."""
