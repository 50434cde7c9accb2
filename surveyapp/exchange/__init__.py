"""Files of other programs, in and out: one module a format.

`formats` is the table of all that carry ground or surveys, `lead_formats` of those that carry
leads; callers ask these and never a format's own module. `content` is what a file holds once it
is read, `privacy` what is taken out before rows go out, `one_line` what is typed as a line.
"""
