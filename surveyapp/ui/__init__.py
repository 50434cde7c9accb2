"""The Kivy app: places, sheets and widgets. State in Python, look in the .kv of the same name.

The map of this floor:

- `start` opens the window and shows the first page as soon as can be; what that page does not
  need (the mathematics, the answer, other pages and sheets) is imported and made after it.
- `app` opens the notebook and wires; `shell` is the frame; `router` says what is shown.
- `senses/` are the machine's sensors as screens and sheets ask for them (no Kivy).
- `session` stands between screens and notebook; `events` is how it tells of changes.
- `screens/` are the places and pages, listed in one table; `sheets/` slide over them.
- `entries/` declare the entry sheets as data (no Kivy): fields, and rows from what was typed.
- `widgets/` are our own; `tokens` holds colours and sizes, `theme` hands them to kv.
- `words` turns rows and values into text.
"""
