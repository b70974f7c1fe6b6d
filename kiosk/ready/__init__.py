"""Whether a booth is fit for the day: one file a subject, one list of findings for whoever shows it."""
