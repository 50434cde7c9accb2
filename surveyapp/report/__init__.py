"""The survey told to others: one page that needs no other file, and a picture of it.

`record` is what is handed over, `account` all that follows from it, `page` and the templates
beside it the page; the modules named `_view` word one part of the page each.
"""
