"""What marks a file as a notebook, and how new it is. Read before any table is."""

APPLICATION_ID = 0x53764E62
"""SQLite's application_id of every notebook: the bytes 'SvNb', chosen for this project."""

SCHEMA = 7
"""The number of steps in schema.py; a file's user_version is the number it has had."""
