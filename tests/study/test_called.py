"""What heads a column or names a tab and looks like somebody: names do, words of the trade do not.

Everybody here is made up.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from explainer import units
from explainer.draft import columns, headers, parts, wide
from explainer.study.called import (
    is_called_so,
    leading_name,
    means_something,
    named_after_people,
    owner_in,
)
from explainer.study.naming import EVERYDAY
from explainer.words.glossary.entries import load_glossary

GLOSSARY = load_glossary((Path(__file__).parents[2] / "glossary",))
#: Statisticians and others after whom the glossary's entries are called.
CALLED = {"baker", "church", "hampel", "holm", "jack", "kendall", "mann", "sen", "simpson",
          "spearman", "theil", "welch", "wilson"}  # fmt: skip


#: Of the others, first names that somebody bears as well.
NAMES = {"max", "val", "paul", "drew"}


def words(texts):
    return {w for text in texts for w in re.findall(r"[^\W\d_]{3,}", text.casefold())}


def test_no_term_of_the_glossary_looks_like_somebody():
    names = [n.title() for e in GLOSSARY.entries for n in e.names]
    assert [n for n in names if is_called_so(n) and not words([n]) <= CALLED] == []


def test_the_words_of_glossary_units_and_drafts_are_known():
    drafts = set(headers.USE_WORDS) | headers.ORDER_WORDS | headers.REMARKS | headers.MEASURE_WORDS
    drafts |= headers.ITEM_WORDS | columns.INDEXES | wide.STATES | parts.SUCCESSES | parts.ATTEMPTS
    known = words(n for e in GLOSSARY.entries for n in e.names) | words(units.names()) | drafts
    strange = {w for w in known if w.isalpha() and len(w) > 2 and not means_something(w)}
    assert {w for w in strange if not {w, w.removesuffix("s")} & EVERYDAY} <= CALLED | NAMES


@pytest.mark.parametrize(
    "name",
    ["Abelard Brightwater", "Oxlip, Norbert", "Jürgen Müller", "Zoë de la Cruz", "李 四", "Ana P.",
     "Bo K.", "J. Dunmore", "Grace Dunmore", "Max Dunmore", "ABELARD BRIGHTWATER", "김 철수"],
)  # fmt: skip
def test_a_first_and_a_last_name_look_like_somebody(name):
    assert is_called_so(name)
    assert leading_name(name) == (name.rstrip("."), "") or leading_name(name) == (name, "")


@pytest.mark.parametrize(
    "text",
    ["Hook", "Ball Speed", "Left Lane", "House Shot", "Week 3", "Entry Angle", "Rev Rate", "B1",
     "Cover Roughness", "Before Sanding", "Monday Night", "Red Ball", "Brightwater", "Shore D",
     "cover texture", "Pin Carry", "SD RG", "Grace Hill", "Sheet 1", "10 Games",
     "Total Hook (boards)"],
)  # fmt: skip
def test_words_of_the_trade_look_like_nobody(text):
    assert not is_called_so(text)


@pytest.mark.parametrize(
    ("labels", "like"),
    [
        (["Abelard Brightwater", "Bettina Crumhorn"], "yes"),
        (["Abelard Brightwater", "Grace Hill", "Norbert Oxlip"], "yes"),
        (["abelard_brightwater", "bettina crumhorn"], "yes"),
        (["Abelard", "Bettina", "Grace"], "maybe"),
        (["李四", "王五"], "maybe"),
        (["Hook", "Ball Speed"], "no"),
        (["Short", "Medium", "Long"], "no"),
        (["Fresh", "Burn", "Transition"], "no"),
        (["Qualifying", "Finals"], "no"),
        (["Abelard Brightwater", "Ball Speed"], "no"),
        (["Abelard Brightwater"], "no"),
        (["Week 1", "Week 2"], "no"),
        (["RG", "SD"], "no"),
    ],
)  # fmt: skip
def test_labels_side_by_side_are_people_where_most_of_them_are(labels, like):
    assert named_after_people(labels) == like


@pytest.mark.parametrize(
    ("label", "owner"),
    [
        ("Brightwater's Storm", "Brightwater"), 
       ("Abelard Brightwater’s Dunlin", "Abelard Brightwater"),
        ("James' Dunlin", "James"), ("Player's ball", ""), ("Today's oil", ""), ("Dunlin", ""),
        ("Hunter's Moon", ""), ("Men's 1", ""), ("dunlin's cover", ""),
    ],
)  # fmt: skip
def test_whose_ball_it_is(label, owner):
    assert owner_in(label) == owner


@pytest.mark.parametrize(
    ("head", "name", "besides"),
    [
        ("Abelard Brightwater Game 1", "Abelard Brightwater", "Game 1"),
        ("Read by Vark texture", "Vark", "texture"), ("Bettina 12", "Bettina", "12"),
        ("Bo K.", "Bo K.", ""), ("Total Hook", "", ""), ("hook", "", ""), ("B1", "", ""),
    ],
)  # fmt: skip
def test_a_name_at_the_head_of_a_column(head, name, besides):
    assert leading_name(head) == (name, besides)
