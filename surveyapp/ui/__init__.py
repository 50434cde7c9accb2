"""The Kivy app: places, sheets and widgets. State in Python, look in the .kv of the same name."""
