"""What the page says."""
