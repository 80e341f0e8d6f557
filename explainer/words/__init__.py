"""Stage 4, say: results into sentences, glossary links and numbers people can picture."""
