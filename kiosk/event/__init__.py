"""The parts of a booth that only an event needs."""
