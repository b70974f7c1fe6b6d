"""The attendant's page for a phone or the till: served only if the settings ask for it, and never with a picture."""
