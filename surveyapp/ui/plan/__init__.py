"""The plan: a north-up drawing of the ground and of all that the notebook knows on it.

`viewport`, `fingers`, `scale_bar`, `labels`, `street_names`, `marks`, `cards` and `strokes`
are plain Python and numpy; `layers`, `text_layer` and `plan_view` draw with Kivy.
"""
