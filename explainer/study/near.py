"""Spelling help: the known name most like the one that was found."""

from __future__ import annotations

import difflib
from collections.abc import Iterable


def nearest(name: str, known: Iterable[str]) -> str | None:
    """The known name spelled most like ``name``, None where nothing is close."""
    names = {k.casefold().replace("_", "-"): k for k in known}
    folded = name.casefold().replace("_", "-")[:120]
    close = difflib.get_close_matches(folded, names, n=1, cutoff=0.6)
    return names[close[0]] if close else None


def hint(name: str, known: Iterable[str]) -> str:
    """``did you mean `x`?`` or an empty string."""
    close = nearest(name, known)
    return f"did you mean `{close}`?" if close else ""


def listed(names: Iterable[str], most: int = 12) -> str:
    """Names in the order given, each marked as text of the file: `a`, `b`, `c`, …"""
    names = list(names)
    more = ", …" if len(names) > most else ""
    return ", ".join(f"`{n}`" for n in names[:most]) + more
