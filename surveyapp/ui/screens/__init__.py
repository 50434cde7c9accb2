"""The places of the app and its entry sheets."""
