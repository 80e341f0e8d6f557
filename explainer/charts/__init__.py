"""Stage 5, draw: results and their sentences into annotated figures."""
