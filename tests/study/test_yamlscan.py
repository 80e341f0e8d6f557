"""The quicker scanner and the library's own give the same events, places and faults."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings, strategies as st
from ruamel.yaml import YAML

from explainer.study.yamlscan import parser

ROOT = Path(__file__).parents[2]

#: What texts are made of: enough of YAML's own marks that most are nearly YAML.
PIECES = st.sampled_from(
    ["a", "bc", "é", "9", " ", "  ", "   ", "\n", "\n  ", "\r\n", "\r", "\t", ": ", ":", "- ", "-",
     "#", " #", "?", "? ", ",", "[", "]", "{", "}", "'", '"', "|\n", ">-\n", "&x ", "*x", "!t ",
     "---\n", "...\n", "\\", "\x85", "\u2028", "\ufeff", "~", "a: b\n", "- c\n", "k: [d, e: f]\n"]
)  # fmt: skip


def events(made: YAML, text: str) -> list[Any]:
    """Every event with its value, style and place; a fault as its kind, words and place."""
    told: list[Any] = []
    try:
        for event in made.parse(text):
            start, end = event.start_mark, event.end_mark
            told.append((
                type(event).__name__, getattr(event, "value", None),
                getattr(event, "style", None), getattr(event, "anchor", None),
                (start.line, start.column, start.index), (end.line, end.column, end.index),
            ))  # fmt: skip
    except Exception as fault:
        mark = getattr(fault, "problem_mark", None)
        told.append((type(fault), getattr(fault, "problem", str(fault)), mark and mark.line))
    return told


def stock() -> YAML:
    return YAML(typ="safe", pure=True)


@settings(max_examples=400, deadline=None)
@given(st.lists(PIECES, max_size=24).map("".join))
def test_any_text_gives_the_same_events(text):
    assert events(parser(), text) == events(stock(), text)


@pytest.mark.parametrize(
    "path",
    [*sorted((ROOT / "glossary").glob("*.yaml")), *sorted((ROOT / "studies").glob("*/*.yaml"))],
    ids=lambda path: f"{path.parent.name}/{path.name}",
)
def test_what_we_ship_gives_the_same_events(path):
    text = path.read_text("utf-8")
    assert events(parser(), text) == events(stock(), text)
