"""Checks of a study as a whole: each holds one kind of statement against names and data."""
