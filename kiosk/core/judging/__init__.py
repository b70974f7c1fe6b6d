"""Whether a picture meets the rules, and how the photo is cropped from it."""
