"""Files of other programs, in and out: one module a format."""
