"""What an edition is given of a bench, kept by its shape: every table, number, code and link.

Of a sentence only that it is there, since sentences are held elsewhere; of a drawing how many of
its elements there are.  Written down again, once read, by::

    PYTHONPATH=tests python tests/editions/test_kept_article.py
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from benches import judged
from kept import hold, keep

from explainer.editions.compose import compose

KEPT = Path(__file__).parent / "kept"
BENCHES = ("ragged",)
#: Of the machine or the version, and sentences alone.
LEFT_OUT = {"version", "hashes", "memo", "words", "methods"}
SENTENCE = re.compile(r"[a-z]{2,}[^a-z]+[a-z]+[^a-z]+[a-z]+", re.IGNORECASE)


def shape(value: Any, inside: str) -> Iterator[str]:
    """Lines of a record, a value under the path that leads to it."""
    if is_dataclass(value):
        for field in fields(value):
            if field.name not in LEFT_OUT:
                yield from shape(getattr(value, field.name), f"{inside}.{field.name}")
    elif isinstance(value, Mapping):
        for key, one in value.items():
            yield from shape(one, f"{inside}[{key}]")
    elif isinstance(value, (list, tuple)) and any(not isinstance(v, (str, int, float, bool))
                                                  for v in value):  # fmt: skip
        for number, one in enumerate(value):
            yield from shape(one, f"{inside}.{number}")
    elif isinstance(value, (list, tuple)):
        yield f"{inside} {len(value)}: " + " | ".join(map(told, value))
    elif value not in (None, "", False):
        yield f"{inside} {told(value)}"


def told(value: Any) -> str:
    """A number, a name or a short label as it is; a drawing by its elements."""
    text = str(value)
    if isinstance(value, float):
        return f"{value:.6g}"
    if "<svg" in text:
        counted = Counter(re.findall(r"<([a-z]+)", text))
        return " ".join(f"{name}:{n}" for name, n in sorted(counted.items()))
    if isinstance(value, (str, int, bool)):
        return "a sentence" if SENTENCE.search(text) else text.replace("\n", " ").strip()
    return type(value).__name__


@cache
def lines(name: str) -> list[str]:
    """The article of a bench."""
    return [line.rstrip() for line in shape(compose(judged(name)), "article")]


@pytest.mark.parametrize("name", BENCHES)
def test_an_article_holds_what_it_held(name: str) -> None:
    hold(lines(name), KEPT / f"{name}.txt")


if __name__ == "__main__":
    for bench in BENCHES:
        keep(lines(bench), KEPT / f"{bench}.txt")
