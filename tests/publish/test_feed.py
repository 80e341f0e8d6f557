"""The Atom feed: RFC 4287 read back by an independent parser, dates from the studies alone."""

from __future__ import annotations

from datetime import datetime

import lxml.etree

from explainer.publish.frontpage import feed
from explainer.publish.manifest import Listing
from explainer.publish.ties import Ties
from explainer.study.description.study import Settings

ATOM = {"a": "http://www.w3.org/2005/Atom"}
AT_HOME = Settings.model_validate(
    {"title": "On the lanes", "base_address": "https://example.org/b/"}
)


def study(id: str, date: str = "", updated: str = "") -> Listing:
    ties = Ties(date=date, updated=updated)
    return Listing(id, f"Does <{id}> hold?", "Does it?", "It does & stays.", ties=ties)


def read(*studies: Listing) -> lxml.etree._Element:
    made = feed(AT_HOME, studies)
    assert made is not None
    return lxml.etree.fromstring(made)


def test_no_base_address_no_feed():
    assert feed(Settings(), [study("a", "2026-02-11")]) is None


def test_what_the_standard_asks_of_a_feed_and_of_each_entry():
    root = read(study("a", "2026-02-11"), study("b", "2026-01-05"))
    for holder in (root, *root.findall("a:entry", ATOM)):
        for name in ("id", "title", "updated"):
            assert len(holder.findall(f"a:{name}", ATOM)) == 1
        datetime.strptime(holder.findtext("a:updated", None, ATOM), "%Y-%m-%dT%H:%M:%SZ")
    assert root.findtext("a:author/a:name", None, ATOM) == "On the lanes"
    assert root.xpath("a:link[@rel='self']/@href", namespaces=ATOM) == [
        "https://example.org/b/feed.xml"
    ]
    assert root.findtext("a:entry/a:title", None, ATOM) == "Does <a> hold?"


def test_a_correction_moves_a_study_up():
    root = read(
        study("old", "2024-05-01", updated="2026-03-01"),
        study("new", "2026-02-11"),
        study("older", "1954"),
    )
    entries = [
        (e.findtext("a:id", None, ATOM), e.findtext("a:updated", None, ATOM))
        for e in root.findall("a:entry", ATOM)
    ]
    assert entries == [
        ("https://example.org/b/old/", "2026-03-01T00:00:00Z"),
        ("https://example.org/b/new/", "2026-02-11T00:00:00Z"),
        ("https://example.org/b/older/", "1954-01-01T00:00:00Z"),
    ]
    assert root.findtext("a:updated", None, ATOM) == "2026-03-01T00:00:00Z"


def test_a_study_without_a_date_is_not_news():
    assert not read(study("undated")).findall("a:entry", ATOM)


def test_the_same_studies_give_the_same_bytes_in_any_order():
    a, b = study("a", "2026-02-11"), study("b", "2026-02-11")
    assert feed(AT_HOME, [a, b]) == feed(AT_HOME, [b, a])
