"""Entries, and finding and linking them in a text."""
