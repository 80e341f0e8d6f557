"""A new glossary or template builds just the studies whose pages it can change.

Held against the plain way: whatever was changed, the site is that of a publish that remembers
nothing, byte for byte, and a study that was left alone is one that would have come out the same.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from explainer.editions.templates import environment
from explainer.publish.site import publish
from explainer.publish.sources import said_of, used
from explainer.study.workspace import open_workspace
from explainer.words.asked import noting
from explainer.words.glossary import load_glossary
from explainer.words.linker import TermLinker

STUDY = """\
title: Does cover {id} keep its bite?
question: Once a ball has been rolled, does it lose texture?
intro: {intro}
invented: yes
tested: {{each: ball, count: 4}}
use: {{column: games, term: games rolled, unit: game}}
measures: {{texture: {{term: cover roughness, unit: microinch, matters_from: 6}}}}
tables: {{readings: {{file: readings.csv, source: "Table 1"}}}}
claims:
  - id: falls
    report_says: Texture fell with play.
    plainly: Balls go smooth as you bowl.
    test: {{kind: change, measure: texture, from: 0, to: 60, direction: down}}
{more}
"""
#: Speaks of a ringle, which is no term yet, and has a piece of advice.
FIRST = STUDY.format(
    id="first", intro="Some call it a ringle.", more="advice: [{do: Count your games.}]"
)
#: Speaks of a strike rate, which is one, and has no advice.
SECOND = STUDY.format(id="second", intro="It says nothing of a strike rate.", more="")
BOTH = ["first", "second"]
ADVICE = Path(__file__).parents[2] / "templates" / "sections" / "advice.html.j2"

CHANGES = {
    "a new term that no study names": (
        "glossary/own.yaml", "- {term: zorple, plainly: a thing, explained: It is a thing.}\n", []
    ),
    "a new term that one study names": (
        "glossary/own.yaml", "- {term: ringle, plainly: a thing, explained: It is a thing.}\n",
        ["first"],
    ),
    "a new name for a term, which one study uses": (
        "glossary/own.yaml", "- {term: zorple, also: [Ringle], plainly: a thing, "
        "explained: It is a thing.}\n", ["first"],
    ),
    "other words for a term that one study names": (
        "glossary/own.yaml", "- {term: strike rate, explained: How often.}\n", ["second"]
    ),
    "other words for a term that both name": (
        "glossary/own.yaml", "- {term: cover roughness, explained: How rough it is.}\n", BOTH
    ),
    "a section that one study has": (
        "templates/sections/advice.html.j2", ADVICE.read_text("utf-8") + "<p>Ours.</p>\n",
        ["first"],
    ),
    "a template that nothing asks for": ("templates/sections/never.html.j2", "x", []),
    "a style that both have": ("templates/site.css", "body { color: black }\n", BOTH),
}  # fmt: skip


def readings(seed: int) -> str:
    chance, lines = random.Random(seed), ["ball,games,texture"]
    for ball in range(4):
        for games in (0, 30, 60):
            lines.append(f"B{ball},{games},{80 - games / 2 + 3 * ball + chance.gauss(0, 1):.0f}")
    return "\n".join(lines) + "\n"


@pytest.fixture
def root(tmp_path) -> Path:
    for name, said in (("first", FIRST), ("second", SECOND)):
        folder = tmp_path / "home" / "studies" / name
        folder.mkdir(parents=True)
        (folder / "study.yaml").write_text(said)
        (folder / "readings.csv").write_text(readings(len(name)))
    return tmp_path / "home"


def published(root: Path, target: Path) -> list[str]:
    """Publishes and gives the studies that were built."""
    environment.cache_clear()  # in life each publish is a process of its own
    folders = {name: root / "studies" / name for name in BOTH}
    outcome = publish(open_workspace(root), folders, target)
    assert not outcome.failed
    return [name for name in BOTH if name not in outcome.unchanged]


def bytes_of(target: Path) -> dict[str, bytes]:
    return {str(p.relative_to(target)): p.read_bytes() for p in target.rglob("*") if p.is_file()}


@pytest.mark.slow
@pytest.mark.parametrize("change", CHANGES)
def test_just_the_studies_that_it_can_change_are_built(root, target, tmp_path, change):
    file, text, expected = CHANGES[change]
    assert published(root, target) == BOTH
    before = bytes_of(target)
    (root / file).parent.mkdir(parents=True, exist_ok=True)
    (root / file).write_text(text)
    assert published(root, target) == expected
    assert published(root, target) == []
    after = bytes_of(target)
    assert published(root, tmp_path / "afresh") == BOTH
    assert bytes_of(tmp_path / "afresh") == after
    for name in BOTH:
        pages = {path for path in after if path.startswith(f"{name}/")}
        same = all(before.get(path) == after[path] for path in pages)
        assert same is (name not in expected)  # not built in vain, nor left in vain
    (root / file).unlink()
    assert published(root, target) == expected
    assert bytes_of(target) == before


def terms_of(words: str, *entries: str) -> str:
    """What is remembered of a glossary of these entries, for a text of these words."""
    return said_of(words, entries_of(*entries))


def entries_of(*entries: str):
    import tempfile

    with tempfile.TemporaryDirectory() as made:
        text = "".join(f"- {{plainly: p, explained: It is., {entry}}}\n" for entry in entries)
        (Path(made) / "own.yaml").write_text(text)
        return load_glossary((Path(made),))


TRACK = 'term: track, also: ["ring of oil"], only_near: [oil], see: [oil]'


@pytest.mark.parametrize(
    ("words", "counts"),
    [
        ("the track wears", True), ("two tracks wear", True), ("a ring made of old oil", True),
        ("a ring of gold", False), ("tracked", False), ("", False),
    ],
)  # fmt: skip
def test_a_term_counts_where_the_words_of_a_name_of_it_are_all_there(words, counts):
    without, plain = terms_of(words, "term: oil"), terms_of(words, "term: oil", TRACK)
    other = terms_of(words, "term: oil", TRACK.replace("only_near: [oil]", "only_near: [lane]"))
    assert (without != plain) is (plain != other) is counts


def test_all_that_is_asked_of_a_glossary_is_noted():
    glossary = entries_of("term: oil", TRACK)
    with noting() as asked:
        linker = TermLinker(glossary, lambda entry: None)
        linker.sentence("The Track’s edge")
        linker.prose("Some *back-end* [[motion = Axis Tilt]] and `code`")
        glossary.find("Lane-Man")
    noted = set(used(asked, glossary).words.split())
    assert noted >= {"track", "'", "s", "back", "end", "axis", "tilt", "lane", "man"}
    with noting() as later:
        pass
    glossary.find("nothing")
    assert not later.words
