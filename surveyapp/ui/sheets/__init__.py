"""Sheets: what slides over a page to enter or choose something."""
