"""Widgets of our own: each a .py with its behaviour and a .kv of the same name with its look."""
