"""The machine's sensors at the service of a session: asked for leave, listened to, judged.

Plain Python: time comes in through `Ticks`, so that a test can pass it by hand.

- `senses` is what screens and sheets call; `standing` averages the place while one stands;
- `gathering` listens to one sensor for a moment; `check` is the compass check.
"""
