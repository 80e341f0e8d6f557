"""What each kind of figure draws and shows: numbers for stage 5, findings for stage 4."""
