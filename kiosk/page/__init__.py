"""The attendant's page for a phone or the till: off unless the settings ask for it, words only, never a picture."""
