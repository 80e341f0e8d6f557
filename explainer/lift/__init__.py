"""Numbers lifted from a report's PDF: its tables, its drawn charts, pictures read by hand."""
