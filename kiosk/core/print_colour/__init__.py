"""Whether a printer is true to colour: a page of greys, colours and skin tones, and what was measured on it."""
