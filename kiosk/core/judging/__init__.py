"""Whether a picture meets the rules, and how the photo is cut out of it."""
