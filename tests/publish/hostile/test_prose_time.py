"""No text an author may write takes more than its length: linear time for all prose.

Held here at a small part of the lengths below; as a script at all of them, up to a million:

    .venv/bin/python tests/publish/hostile/test_prose_time.py
"""

from __future__ import annotations

import json
import re
import resource
import time
from collections.abc import Callable
from contextlib import suppress
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
from jinja2 import TemplateError

from explainer.errors import StudyError
from explainer.proof import prose, typed
from explainer.words.glossary.entries import Glossary, load_glossary
from explainer.words.glossary.linker import MOST_DEEP, TermLinker
from explainer.words.page.prose import in_plain_words
from explainer.words.phrases.renderer import load_phrases
from explainer.words.phrases.sandbox import Sandbox
from explainer.words.script.desk import plain

ROOT = Path(__file__).parents[3]
#: What is said over and over, and how many characters of it.  (A text of study.yaml has 20,000 at
#: most and all of it a million; a sign that is a mark of its own costs most, even in linear time.)
TEXTS = {
    "[[a]]": 1_000_000, "[[total hook]] ": 200_000, "[[hook = oil]] ": 200_000, "[[a=": 300_000,
    "[[x =]]": 500_000, "[": 100_000, "]": 500_000, "![": 60_000, "[a](": 300_000,
    "[a](b": 300_000, '[a](b "': 300_000, "[a]: b\n": 300_000, "[a]\n\n[a]: b\n\n": 200_000,
    "> ": 1_000_000, "- ": 1_000_000, "> - ": 1_000_000, "1. ": 1_000_000, "*a **b ": 1_000_000,
    "***": 1_000_000, "_a ": 1_000_000, "`": 1_000_000, "`a``": 200_000, "<": 300_000,
    "<!--": 300_000, '<a b="': 300_000, "<http://a.b>": 300_000, "&amp": 300_000, "\\": 300_000,
    "|a": 500_000, "a|b\n-|-\n": 60_000, "a\n=\n": 200_000, "\n# a": 200_000, "~~~\n": 1_000_000,
    "    a\n": 1_000_000, "\n": 1_000_000, " ": 1_000_000, '"': 1_000_000, '" "a ': 300_000,
    "“": 1_000_000, "](": 300_000, "[[": 60_000, "{": 500_000, "{a.b} ": 1_000_000,
    "total hook oil ": 100_000, "5 boards ": 200_000,
    "&#0;": 300_000, "&amp; ": 300_000, "**a**": 300_000, "{{ a }}": 500_000, "{% a %}": 500_000,
    "a": 1_000_000, "a-": 500_000, "https://a.b ": 300_000, "a@b.c ": 300_000, "|-": 500_000,
    "`a` hook ": 100_000, "[hook](#a) ": 60_000, "a.": 500_000, "́": 500_000, "(((": 500_000,
}  # fmt: skip
#: Seconds of processor for all of them, and how much more four times a text may take: four times as
#: much where time is linear, sixteen times where it goes with the square.
SECONDS, MOST = 600, 10.0


@lru_cache
def ours() -> Glossary:
    return load_glossary((ROOT / "glossary",))


def linker() -> TermLinker:
    return TermLinker(ours(), lambda entry: f"#{entry.slug}")


#: What proof looks for in a text.
PATTERNS = [p for m in (prose, typed) for p in vars(m).values() if isinstance(p, re.Pattern)]


def all_that_reads(text: str) -> None:
    """Every way in which the product reads an author's text."""
    from explainer.editions.templates import tidied
    from explainer.words.grade import hardest

    tidied(linker().prose(text))
    linker().line(text)
    in_plain_words(text, ours())
    plain(text[:100_000])
    hardest(text[:100_000])
    for pattern in PATTERNS:
        for _ in pattern.finditer(text[:100_000]):
            pass


def cost(unit: str, length: int) -> float:
    """Seconds of processor for reading so many characters."""
    text = (unit * (length // len(unit) + 1))[:length]
    began = time.process_time()
    all_that_reads(text)
    return time.process_time() - began


@pytest.mark.slow
@pytest.mark.parametrize("unit", TEXTS)
def test_no_text_takes_more_than_its_length(unit: str) -> None:
    length = TEXTS[unit] // 40
    cost("warm", 100)
    for _ in range(3):  # whoever else uses the machine slows one of the two down at times
        longer = cost(unit, length)
        if longer < 0.1 or longer < MOST * cost(unit, length // 4):
            return
    pytest.fail(f"{length} characters take more than {MOST:g} times as long as a quarter of them")


#: The same in a workspace's own glossary and phrases; a file of either is bounded at a million.
ENTRIES = ["[[a]]", "total hook oil ", "> ", "*a **b ", "&#0;", "a", "(((", "{{ a }}", "a, "]
PHRASES = ["{{ a }}", "{{ (", "{% if a %}x{% endif %}", "{# a #}", "{{ a|b ", "{% raw %}", "a "]
CONDITIONS = ["n_items and ", "(", "not ", "1 < ", "a.b ", "-", "'a' "]


def _grows(read: Callable[[int], None], length: int) -> bool:
    def seconds(n: int) -> float:
        began = time.process_time()
        with suppress(StudyError):  # refused is as good: what counts is how soon
            read(n)
        return time.process_time() - began

    seconds(100)
    return all((longer := seconds(length)) > 0.1 and longer > MOST * seconds(length // 4)
               for _ in range(3))  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("key", ["term", "plainly", "explained", "also"])
@pytest.mark.parametrize("unit", ENTRIES)
def test_no_entry_of_a_glossary_takes_more_than_its_length(unit, key, tmp_path) -> None:
    (tmp_path / "glossary").mkdir()

    def read(n: int) -> None:
        text: Any = (unit * n)[:n]
        entry = {"term": "lane soap", "plainly": "x", "explained": "It is.",
                 "source": {"kind": "memory", "name": "m"}}  # fmt: skip
        entry[key] = [text] if key == "also" else text
        (tmp_path / "glossary" / f"{n}.yaml").write_text(json.dumps([entry]))
        try:
            found = load_glossary((tmp_path / "glossary",))
        finally:
            (tmp_path / "glossary" / f"{n}.yaml").unlink()
        TermLinker(found, lambda entry: "#x").prose("lane soap and more " * 20)

    assert not _grows(read, 90_000)


@pytest.mark.slow
@pytest.mark.parametrize(("unit", "key"), [*((u, "say") for u in PHRASES),
                                           *((u, "holds") for u in CONDITIONS)])  # fmt: skip
def test_no_phrase_takes_more_than_its_length(unit, key, tmp_path) -> None:
    def read(n: int) -> None:
        folder = tmp_path / str(n) / "templates"
        (folder / "phrases").mkdir(parents=True, exist_ok=True)
        variant = {"holds": "n_items > 3", "say": "x"} | {key: (unit * n)[:n]}
        said = {"change.backed": [variant], "states": {"nothing": ["change"]}}
        (folder / "phrases" / "claims.yaml").write_text(json.dumps(said))
        load_phrases((folder, ROOT / "templates"))
        if key == "say":
            with suppress(TemplateError):
                Sandbox().from_string(variant["say"])

    assert not _grows(read, 40_000)


@pytest.mark.parametrize("depth", [5, 20, MOST_DEEP - 1, MOST_DEEP, 500, 5_000])
@pytest.mark.parametrize("sign", [">", "- ", "> - "])
def test_no_word_is_lost_however_deep(sign: str, depth: int) -> None:
    text = sign * depth + " deepest words\n\nand after"
    for said in (linker().prose(text), plain(text)):
        assert "deepest words" in said and "and after" in said


def test_a_term_is_found_beside_what_is_shut_and_nowhere_in_it() -> None:
    shut = "“A track flare here” and `a track flare` and [a track flare](#x)"
    said = linker().prose(f"{shut} and a track flare, *a track flare*.")
    assert said.count('class="term"') == 1
    assert said.index('class="term"') > said.index("#x")


def test_a_thousand_marks_are_each_the_term_they_name() -> None:
    said = linker().prose("[[total hook]] " * 1_000 + "`x` and [[=]]")
    assert said.count('class="term"') == 1_000 and "[[=]]" in said


if __name__ == "__main__":
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    for unit, length in TEXTS.items():
        print(f"{unit!r:16} {length:9,} characters {cost(unit, length):6.2f} s", flush=True)
