"""The survey told to others."""
