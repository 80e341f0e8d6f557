"""What the csv module says of a row that it cannot read, in our words."""

from __future__ import annotations

import csv


def unreadable(error: csv.Error) -> tuple[str, str]:
    """What was found, and what was expected."""
    said = str(error)
    if "field limit" in said:
        most = csv.field_size_limit()
        return f"a cell of more than {most:,} characters", f"at most {most:,}"
    if "unexpected end" in said:
        return "a quotation that is not closed", "a closing quote"
    if "expected after" in said:
        return "more text behind a closing quote", 'a quote inside a cell written twice: `""`'
    return "a row that cannot be read", "CSV"
