"""What the video script says."""
