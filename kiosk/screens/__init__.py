"""The screens: a frozen view in, a picture and the sitter's intents out."""
