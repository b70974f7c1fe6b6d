"""Checks whether a booth is fit for the day: one file per subject, and one list of findings for all who show it."""
