"""Where things are and which way they face: pure functions, no clock, no file, no randomness."""
