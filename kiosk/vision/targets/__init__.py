"""Things in front of the camera that are not faces."""
