"""Photos in millimetres on paper."""
