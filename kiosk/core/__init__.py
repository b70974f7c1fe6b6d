"""The calculator of the house: pure functions and frozen values, no clock, file, thread or vendor library."""
