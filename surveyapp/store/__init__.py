"""The notebook on disk: SQLite rows, their journal, photos and the ground. The only layer that knows SQL."""
