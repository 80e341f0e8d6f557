"""Whatever a judgement holds is kept in ``kept/``; a number that moves is named here, with both.

These are numbers of our own: they call nothing correct (the reference tests and the raw rows of
``tests/sentences`` do), they only notice.  A stage that is meant to say something else is read
first, line by line, and then written down again::

    PYTHONPATH=tests python tests/claims/test_kept_numbers.py
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from benches import BENCHES, example, held, judged, put
from kept import hold, keep

from explainer.claims.figures.pair import pairs
from explainer.claims.verdict import Judgement

KEPT = Path(__file__).parent / "kept"
#: Derived measures, ball paths, people, what was chosen or left out, sums of the report.
EXAMPLES = (
    "cover-texture", "gauge-check", "league-season", "nine-samples", "one-old-ball",
    "sixty-shots", "strikes-and-oil",
)  # fmt: skip


def lines(judgement: Judgement) -> Iterator[str]:
    """One line for each thing a judgement holds."""
    for verdict in judgement.verdicts:
        for number, one in enumerate(verdict.each):
            yield f"{verdict.claim.id}.{number} {put(one)}"
    for figure in judgement.figures:
        for name, value in held(figure):
            yield f"figure {figure.figure.id} {name} {put(value)}"
    for question in judgement.questions:
        yield f"question {question.claim} {question.source} {question.items_needed}"
    for name in ("chain", "rule_zone", "rule_readings", "luck"):
        yield f"{name} {put(getattr(judgement, name))}"
    for pair in pairs(judgement):
        yield f"pair {pair.under} {pair.differs} {pair.one_scale} {pair.corner}"
    yield from (f"stated {s.what} {s.where} {put(s)}" for s in judgement.stated)


@pytest.mark.parametrize("name", BENCHES)
def test_what_a_judgement_holds_is_what_it_held(name: str) -> None:
    hold(list(lines(judged(name))), KEPT / f"{name}.txt")


@pytest.mark.parametrize("name", EXAMPLES)
def test_what_an_example_is_judged_to_be_is_what_it_was(name: str) -> None:
    hold(list(lines(example(name))), KEPT / f"{name}.txt")


if __name__ == "__main__":
    for bench in BENCHES:
        keep(list(lines(judged(bench))), KEPT / f"{bench}.txt")
    for study in EXAMPLES:
        keep(list(lines(example(study))), KEPT / f"{study}.txt")
