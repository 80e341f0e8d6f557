"""No false sentence: random studies, and every sentence of theirs held to the raw rows.

A handful of studies in the quick tests; many by hand::

    .venv/bin/python -m pytest tests/sentences --draws 5000 --first 100000
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from explainer.claims.judge import judge
from explainer.claims.results import results
from explainer.claims.verdict import Judgement, Verdict
from explainer.study.load import load_study, open_workspace
from explainer.words.facts.relations import lies
from explainer.words.phrases.book import defects_of
from explainer.words.said import ClaimWords
from explainer.words.say import AUDIENCES, say
from explainer.words.script.talk_of_study import say_script

sys.path.insert(0, str(Path(__file__).parents[1]))

from sentences.oracle import false_in, strip_and_label, unlike_gauges
from sentences.studies import World
from sentences.truth import truth_of

#: What no figure may say: of one as of many, of a range that is not there, of a slope that is 0.
IN_FIGURES = re.compile(
    r"\b[Aa]ll 1 |no range at all|likely about 0(?![.\d])|\bNone\b(?! of)|\bnan\b|  "
)


def judged(seed: int, folder: Path) -> tuple[World, Judgement]:
    """One drawn study, read from its files and judged."""
    workspace = folder / "ws"
    (workspace / "studies").mkdir(parents=True, exist_ok=True)
    world = World(seed)
    return world, judge(load_study(world.write(workspace), open_workspace(workspace)))


def texts(words: ClaimWords) -> Iterator[str]:
    yield from (words.says, *words.because, *words.beside, words.settle, words.estimate)


def faults(world: World, judgement: Judgement) -> Iterator[str]:
    """Everything false that any edition's sentences say of one study."""
    published = {c["id"]: c for c in results(judgement)["claims"]}
    truths = {c["id"]: truth_of(world, c, published[c["id"]]) for c in world.claims}
    for audience in AUDIENCES:
        said = say(judgement, audience)
        for v in judgement.verdicts:
            for text in texts(said.claims[v.claim.id]):
                for fault in false_in(text, truths[v.claim.id]):
                    yield f"{world.name} {audience} {v.claim.id} {v.code} {v.reasons}: {fault}"
        for (_, why, settle), id in zip(said.questions, said.questioned, strict=True):
            for text in filter(None, (why, settle) if id in truths else ()):
                yield from (f"{world.name} {audience} question of {id}: {fault}"
                            for fault in false_in(text, truths[id]))  # fmt: skip
        for id, figure in said.figures.items():
            for text in (figure.title, figure.shows, *(c for c, _ in figure.callouts)):
                if (junk := IN_FIGURES.search(text)) is not None:
                    yield f"{world.name} {audience} {id}: {junk[0]!r}: {text}"
    yield from (f"{world.name}: {d.found}" for d in defects_of(judgement))
    yield from (f"{world.name} {v.claim.id}: {x}" for v in judgement.verdicts
                if (x := _strip(v) or _method(v, said.claims[v.claim.id].method)))  # fmt: skip
    yield from (f"{world.name}: two errors of one reading: {x}" for x in unlike_gauges(judgement))


def _method(verdict: Verdict, told: str) -> str | None:
    """A range over items is not Fisher's, which counts points; and none is named without one."""
    wrong = "Fisher" in told and "CR2" in verdict.method
    # A range that is open at 95% may be closed at the level that its strip shows.
    open_ = verdict.low is None and (verdict.strip is None or verdict.strip.low is None)
    if not verdict.parts and open_ and verdict.estimate is not None:
        named = re.search(r"(?<!no )range (?:is|around|over|lies|for)|9[05]% (?:t )?range", told)
        wrong |= named is not None
    return f"{verdict.method} is told as {told}" if wrong else None


def _strip(verdict: Verdict) -> str | None:
    strip = verdict.strip
    if strip is None or strip.low is None or strip.high is None:
        return None
    where = lies(strip, strip.low, strip.high)
    if verdict.code == "against" and strip.small_zone is not None:
        low, high = strip.small_zone  # too small to count is an answer of its own
        where = "outside" if low <= strip.low and strip.high <= high else where
    if verdict.detail.flags_decide:  # the sentence itself says what holds it back
        return None
    return strip_and_label(verdict.code, verdict.reasons, where)


def test_no_sentence_is_false(tmp_path: Path, pytestconfig: Any) -> None:
    first, draws = pytestconfig.getoption("--first"), pytestconfig.getoption("--draws")
    found: list[str] = []
    for seed in range(first, first + draws):
        folder = tmp_path / str(seed // 100)
        found += faults(*judged(seed, folder))
    assert not found, f"{len(found)} false:\n" + "\n".join(found[:400])


@pytest.mark.parametrize(("code", "where"), [("backed", "partly"), ("against", "inside")])
def test_a_label_that_the_strip_does_not_show_is_found(code: str, where: str) -> None:
    assert strip_and_label(code, (), where)
    assert strip_and_label(code, ("fragile",), where) is None


def test_a_card_counts_those_whom_its_claims_rest_on(tmp_path: Path) -> None:
    """Six bowlers were followed, and eight others rolled the shots of one claim."""
    _, judgement = judged(34200007, tmp_path)
    (drift,) = (v for v in judgement.verdicts if v.claim.id == "drift")
    assert drift.n_items == 8
    cards = say_script(judgement, say(judgement)).cards
    assert cards["claim-drift"].note.startswith("8 bowlers")
    assert cards["claim-link"].note.startswith("6 bowlers")
    assert "8 bowlers" in cards["answer"].note
