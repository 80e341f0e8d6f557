"""What a draft guessed: each guess says how sure it is, and what was seen that led to it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Sure = Literal["sure", "likely", "please check"]


@dataclass(frozen=True)
class Guess:
    """One thing read out of a file that the file does not say outright."""

    about: str
    """The file, or the file and its column."""
    what: str
    sure: Sure
    why: str = ""
    worth: int = 30
    """How much of the study hangs on it: what counts as one 90, a table or rows 70, a column's
    use 60, cells 50, a unit 40, how the file was written 10.  What is asked comes in this order."""
    left_out: bool = False
    """Whether it tells of rows that are in no copy, and that nobody is asked about."""
    at_table: bool = False
    """Whether study.yaml asks it beside the table's file, too, until it is answered."""

    def __str__(self) -> str:
        why = f" ({self.why})" if self.why else ""
        return f"{self.about}: {self.what}{why}: {self.sure}"


def in_one_line(text: str) -> str:
    """Words of a sheet as a comment can hold them."""
    return "".join(c if c.isprintable() else "?" for c in " ".join(text.split()))


def quoted(text: str) -> str:
    """Words of a sheet within a guess or a comment, cut where they go on."""
    plain = in_one_line(text)
    return f"“{plain if len(plain) <= 80 else plain[:79] + '…'}”"
