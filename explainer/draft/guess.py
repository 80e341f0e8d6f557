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

    def __str__(self) -> str:
        why = f" ({self.why})" if self.why else ""
        return f"{self.about}: {self.what}{why}: {self.sure}"
