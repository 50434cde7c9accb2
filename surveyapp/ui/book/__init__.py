"""The sections of the Book: lists and settings, shown as pages on a phone, beside it on a desk."""
