"""The interactive setup of a booth's settings in a terminal, and the commented file that it writes."""
