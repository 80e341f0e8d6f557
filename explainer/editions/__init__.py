"""Stage 6, render: everything so far into a page, sheets and a script."""
