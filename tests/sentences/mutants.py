"""Mutants of the phrase book: a condition weakened or turned round, a sentence that says it wrong.

Seeded, so that the same ones are tried each time.  A mutant that changes nothing anybody could
notice (the same condition under another name) is not made.
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from explainer.words.phrases.renderer import Book, Phrase, PhraseEntry

#: Words that a slip would swap; both ways.
SWAPS = (
    ("past the", "short of the"), ("goes past", "stays inside"), ("inside", "past"),
    ("takes in zero", "keeps clear of zero"), ("the other way", "that way"), ("up", "down"),
    ("more than", "less than"), ("falls short of", "is past"), ("{{ fell }}", "{{ claimed_fell }}"),
    ("so does none", "so none does not"), ("all of it is", "none of it is"), ("both", "neither"),
    ("{{ range }}", "{{ by_size }}"), ("{{ range_unit }}", "{{ size }}"), ("Every one", "Not one"),
    ("{{ same }}", "{{ n }}"), ("{{ passes }}", "{{ fails }}"), ("{{ fails }}", "{{ close }}"),
    ("{{ ahead }}", "{{ behind }}"), ("never gets", "gets"), ("has room for", "has no room for"),
    ("{{ drop }}", "rise"), ("{{ mean_a }}", "{{ mean_b }}"), ("either way", "one way"),
    ("climbs", "drops"), ("{{ mean_from }}", "{{ mean_to }}"), ("{{ rate_a }}", "{{ rate_b }}"),
    ("{{ a }}", "{{ b }}"), ("{{ r }}", "{{ r_range }}"), ("{{ lowest }}", "{{ highest }}"),
    ("together", "opposite ways"), ("{{ lump_ahead }}", "{{ ahead }}"), ("higher", "lower"),
    ("{{ flagged }}", "{{ flagged_of }}"), ("{{ spread_low }}", "{{ spread_high }}"),
    ("{{ high }}", "{{ low }}"), ("at most", "at least"), ("{{ change }}", "{{ margin }}"),
    ("too few", "enough"), ("held steady", "moved"), ("any link", "a strong link"),
)  # fmt: skip
#: Facts that every figure has: what is under them is said of any.
ALWAYS = ("balls", "n_shots", "names")
#: Relations that a slip would take one for the other.
CONDITIONS = (
    ("all_in", "all_out"), ("all_out", "part_in"), ("part_in", "all_in"),
    ("one_sided", "spans_nothing"), ("spans_nothing", "one_sided"), ("as_claimed", "other_way"),
    ("other_way", "as_claimed"), ("past_margin", "within_margin"),
    ("within_margin", "past_margin"), ("past_size", "short_of_size"),
    ("short_of_size", "past_size"), ("spans_size", "past_size"), ("guess_in", "not guess_in"),
    ("past_most", "not past_most"), ("not crosses", "crosses"), ("ranged", "not ranged"),
    ("not small", "small"), ("not r_crosses", "r_crosses"), ("not drift_crosses", "drift_crosses"),
    ("not inside_crosses", "inside_crosses"), ("not joined", "joined"),
)  # fmt: skip


@dataclass(frozen=True)
class Mutant:
    """A phrase book with one slip in it."""

    name: str
    what: str
    book: Book


def mutants(book: Book, names: tuple[str, ...], seed: int, most: int) -> Iterator[Mutant]:
    """``most`` mutants of the phrases named, drawn by lot."""
    draw = random.Random(seed)
    every = [
        (name, what, entry)
        for name, before in sorted(book.items())
        if name in names and not before.states_nothing
        for what, entry in _slips(before)
    ]
    for name, what, entry in draw.sample(every, min(most, len(every))):
        yield Mutant(name, what, {**book, name: entry})


def _slips(entry: PhraseEntry) -> Iterator[tuple[str, PhraseEntry]]:
    for what, condition in _weaker(entry.holds or ""):
        yield f"holds: {what}", replace(entry, holds=condition)
    for i, variant in enumerate(entry.variants):
        for what, phrase in _wrong(variant):
            variants = (*entry.variants[:i], phrase, *entry.variants[i + 1 :])
            yield f"[{i}] {what}", replace(entry, variants=variants)


def _wrong(phrase: Phrase) -> Iterator[tuple[str, Phrase]]:
    for what, condition in _weaker(phrase.holds):
        yield f"holds: {what}", replace(phrase, holds=condition)
    for a, b in SWAPS:
        for old, new in ((a, b), (b, a)):
            text = _swapped(phrase.text, old, new)
            if text != phrase.text:
                yield f"{old} -> {new}", replace(phrase, text=text)
    if " not " in phrase.text:
        yield "not dropped", replace(phrase, text=phrase.text.replace(" not ", " ", 1))


def _swapped(text: str, old: str, new: str) -> str:
    """``text`` with one word for another; plain words only outside of what Jinja reads."""
    pattern = re.compile(rf"(?<!\w){re.escape(old)}(?!\w)")
    if "{" in old:
        return pattern.sub(new, text, count=1)
    pieces = re.split(r"(\{\{.*?\}\}|\{%.*?%\})", text)
    for i, piece in enumerate(pieces):
        if not piece.startswith("{") and pattern.search(piece):
            pieces[i] = pattern.sub(new, piece, count=1)
            break
    return "".join(pieces)


def _weaker(condition: str) -> Iterator[tuple[str, str]]:
    """A condition without one of its parts, without any, and with one relation for another."""
    if not condition or condition in ALWAYS:
        return
    yield f"{condition} dropped", "true"
    yield f"{condition} turned round", f"not ({condition})"
    for old, new in CONDITIONS:
        text = re.sub(rf"\b{old}\b", new, condition, count=1)
        if text != condition:
            yield f"{condition}: {old} -> {new}", text
    parts = condition.split(" and ")
    if len(parts) > 1 and "(" not in condition:
        for i, part in enumerate(parts):
            yield f"{condition}: {part} dropped", " and ".join(parts[:i] + parts[i + 1 :])
