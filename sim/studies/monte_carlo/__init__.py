"""One design built many times, each time a little otherwise: how sure an answer is, and which test would settle it."""
