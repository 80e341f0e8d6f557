"""``explainer define``: a term of the glossary as text for the terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from explainer.errors import UsageError, one_line
from explainer.words.glossary.entries import Glossary
from explainer.words.glossary.entry import Entry

WIDTH = 78

_KINDS = {
    "standard": "standard",
    "paper": "paper",
    "book": "book",
    "common-practice": "common practice",
    "memory": "from memory, not looked up",
    "worked-out": "worked out",
}


def define(glossary: Glossary, text: str) -> str:
    """Everything the glossary says about a term, found by any of its names.

    Raises UsageError, naming the nearest terms, where it has none of that name.
    """
    entry = glossary.find(text)
    if entry is None:
        near = ", ".join(e.term for e in glossary.nearest(text))
        hint = f"; the nearest are {near}" if near else ""
        raise UsageError(f"no term {one_line(text)!r} in the glossary{hint}")
    others = [e for e in glossary.senses(text) if e is not entry]
    return "\n".join(_lines(glossary, entry, others))


def _lines(glossary: Glossary, entry: Entry, others: list[Entry]) -> Iterator[str]:
    say = f"  (say: {entry.say})" if entry.say else ""
    yield entry.term + say
    if entry.also:
        yield from _hung("also", ", ".join(entry.also))
    yield ""
    yield from _hung("", entry.plainly[:1].upper() + entry.plainly[1:] + ".")
    yield from _hung("", entry.explained)
    yield ""
    see = ", ".join(found.term for name in entry.see if (found := glossary.find(name)))
    source = ": ".join(filter(None, (_KINDS[entry.source.kind], entry.source.name)))
    numbers = entry.numbers
    sizes = ": ".join(filter(None, (_KINDS[numbers.kind], numbers.name))) if numbers else ""
    labelled = {
        "like": entry.like,
        "careful": entry.careful,
        "unit": entry.unit,
        "typical": entry.typical,
        "see": see,
        "source": source,
        "sizes": sizes,
        "or": "; ".join(f"{e.term} ({e.plainly})" for e in others),
    }
    for label, said in labelled.items():
        if said:
            yield from _hung(label, said)


def _hung(label: str, text: str) -> list[str]:
    """``text`` wrapped beside its label, indented by a fixed margin."""
    margin = f"  {label:<9}" if label else "  "
    return textwrap.wrap(
        text,
        WIDTH,
        initial_indent=margin,
        subsequent_indent=" " * len(margin),
        break_long_words=False,
        break_on_hyphens=False,
    )
