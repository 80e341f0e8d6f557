"""A measure's term in sentences of ours: where it is called something else, they follow.

The draft writes its first sentences with the terms it guessed, and an author mends the term later.
Only texts about that measure follow, and never what somebody else said.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any

from explainer.room.edit import CannotEdit, StudyText
from explainer.study.yaml12 import Path

#: Texts of the author beside a test or a figure; a report's own sentence stays as it was printed.
_OWN = ("plainly", "briefly", "ask_first", "say", "title")


def follow_terms(before: StudyText, after: StudyText) -> tuple[StudyText, tuple[str, ...]]:
    """``after`` with the new terms of measures in the sentences about them, and where.

    A text that was typed anew or has the new term already is left alone, and so is a word that is
    part of another measure's term, or stands in braces.
    """
    measures = after.at(("measures",))
    told: list[str] = []
    for name in measures if isinstance(measures, dict) else ():
        old, new = (s.at(("measures", name, "term")) for s in (before, after))
        if not (isinstance(old, str) and isinstance(new, str)) or old == new:
            continue
        others = [t for m in measures if m != name and isinstance(t := _term(after, m), str)]
        for path in tuple(_texts_about(after, str(name))):
            now = str(after.at(path))
            said = _said_anew(now, old, new, others)
            if said != now == before.at(path):
                try:
                    after = after.put(path, said)
                except CannotEdit:  # in several lines that cannot be written anew: for its author
                    continue
                told.append(_place(after, path))
    return after, tuple(told)


def _place(source: StudyText, path: Path) -> str:
    if len(path) == 1:
        return f"the {path[0]}"
    what = {"claims": "claim", "figures": "figure"}[str(path[0])]
    return f"{what} {source.at((*path[:2], 'id')) or path[1]} ({str(path[-1]).replace('_', ' ')})"


def _term(source: StudyText, measure: Any) -> Any:
    return source.at(("measures", measure, "term"))


def _texts_about(source: StudyText, measure: str) -> Iterator[Path]:
    """The study's question, and what stands beside a test or a figure that names the measure."""
    if isinstance(source.at(("question",)), str):
        yield ("question",)
    for part in ("claims", "figures"):
        entries = source.at((part,))
        for i, entry in enumerate(entries if isinstance(entries, list) else ()):
            held = entry.get("test") if isinstance(entry, dict) and part == "claims" else entry
            if isinstance(entry, dict) and _names(held, measure):
                yield from ((part, i, key) for key in _OWN if isinstance(entry.get(key), str))


def _names(held: Any, measure: str) -> bool:
    if isinstance(held, dict):
        return any(_names(v, measure) for k, v in held.items() if k not in _OWN)
    return any(_names(v, measure) for v in held) if isinstance(held, list) else held == measure


def _said_anew(text: str, old: str, new: str, others: list[str]) -> str:
    """``text`` with ``new`` for ``old``, word for word, a capital at its head kept."""
    kept, longer = (
        "|".join([r"\{[^}]*\}", *(_word(t) for t in others if re.search(_word(term), t, _ANY))])
        for term in (old, new)
    )
    if re.search(_word(new), re.sub(longer, "", text, flags=_ANY), _ANY):
        return text

    def put(found: re.Match[str]) -> str:
        if found[1] is not None:
            return found[1]
        capital = found[0][:1].isupper() and not old[:1].isupper()
        return new[:1].upper() + new[1:] if capital else new

    return re.sub(f"({kept})|{_word(old)}", put, text, flags=_ANY)


_ANY = re.IGNORECASE


def _word(term: str) -> str:
    return rf"(?<!\w){re.escape(term)}(?!\w)"


def also_said(told: Sequence[str]) -> str:
    """The places that followed, for whoever saved."""
    where = " and in ".join(told)
    return f" The new name stands in {where}, too: look whether it reads well." if told else ""
