"""The walk through a booth's settings in a terminal, and the one commented file that it writes."""
