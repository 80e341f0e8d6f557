"""Every number that a claim's sentences say stands in ``results.json``, or was given.

Worked out, rounded and printed are three steps of one number.  A number that is printed and stands
in no results file cannot be checked by anybody; one that does, rounded as it is printed, can.
"""

from __future__ import annotations

import math
import re
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from explainer.claims.kinds import kind_of
from explainer.claims.results import results
from explainer.claims.verdict import Judgement, Verdict
from explainer.words.said import ClaimWords, StudyWords
from explainer.words.say import say

sys.path.insert(0, str(Path(__file__).parents[1]))

from sentences.test_no_false_sentence import judged

#: A number in running text; not the 1 of L1, nor a name with a figure in it.
NUMBER = re.compile(r"(?<![\w.])[−-]?\d[\d,]*(?:\.\d+)?(?![\w]|\.\d)")
#: The same size once more in the other system of units, which is worked out from what is printed.
METRIC = re.compile(r"\([^()]*\d (?:cm|mm|µm|m|km/h|kg|g)\)")
#: Where a gauge cannot call a reading: the steps of its scale next to limit and guard.
UNCALLED = re.compile(r"Between \S+ and [^,]+(?:, or between \S+ and [^,]+)?, nobody can call it")
#: Levels of ranges and what a scale begins and ends at.
SAID = (0.0, 1.0, 2.0, 80.0, 90.0, 95.0, 100.0)


def numbers_in(value: Any) -> Iterator[float]:
    """Every number of a results record, those in its names and texts among them."""
    if isinstance(value, bool) or value is None:
        return
    if isinstance(value, (int, float)):
        yield float(value)
    elif isinstance(value, str):
        yield from (float(m[0].replace(",", "").replace("−", "-")) for m in NUMBER.finditer(value))
    elif isinstance(value, dict):
        for name, inner in value.items():
            yield from numbers_in(str(name))
            yield from numbers_in(inner)
    elif isinstance(value, (list, tuple)):  # counted, by call where they have one; six are named
        yield from (float(len(value)), float(len(value) - 6))
        calls = Counter(x["call"] for x in value if isinstance(x, dict) and "call" in x)
        yield from (float(n - few) for n in calls.values() for few in (0, 6))
        for inner in value:
            yield from numbers_in(inner)


def known(judgement: Judgement, record: dict[str, Any], verdict: Verdict) -> set[float]:
    """What a reader of the results file and of the description can find."""
    study = judgement.study
    given = study.description.model_dump(mode="json")
    found = set(numbers_in(record)) | set(numbers_in(given["measures"])) | set(SAID)
    found |= set(numbers_in(verdict.claim.model_dump(mode="json")))
    found |= {float(n) for t in study.tables.values() for n in t.checkpoints}
    found |= {float(len(t.items)) for t in study.tables.values()}
    # The lines that its kind draws stand beside the claims, once for all of them.
    found |= {judgement.thresholds[name] for part in verdict.each
              for name in kind_of(part).thresholds if name in judgement.thresholds}  # fmt: skip
    return found


def texts(words: ClaimWords) -> Iterator[str]:
    yield from (words.says, *words.because, *words.beside, words.settle, words.estimate)


def stands(text: str, found: set[float]) -> bool:
    """Whether a number, as printed, is one of ``found`` rounded: as it is, in hundredths, or for
    a round step of 10, 100 or 1,000 units."""
    figures = text.replace(",", "").replace("−", "").lstrip("-")
    value = float(figures)
    half = 0.5000001 * 10 ** -len(figures.partition(".")[2])
    digits = figures.replace(".", "").strip("0")
    if "." not in figures and figures.endswith("0"):  # 220 for 215.7
        half = 0.5000001 * 10 ** (len(figures) - len(digits))
    for number in found:
        for times in (1.0, 100.0, *(10.0**k for k in range(-4, 8))):
            if abs(abs(number) * times - value) <= max(half, 1e-9 * value):
                return True
    return False


def unnamed(judgement: Judgement) -> Iterator[str]:
    published = results(judgement)
    records = {c["id"]: c for c in published["claims"]}
    said = say(judgement)
    yield from _of_figures(judgement, published["figures"], said)
    every: set[float] = {float(n) for n in range(len(judgement.verdicts) + 1)}
    for v in judgement.verdicts:
        found = {n for n in known(judgement, records[v.claim.id], v) if math.isfinite(n)}
        found |= set(numbers_in(published["thresholds"]))
        every |= found
        for text in texts(said.claims[v.claim.id]):
            for number in NUMBER.findall(METRIC.sub("", text)):
                if not stands(number, found):
                    yield f"{judgement.study.id} {v.claim.id} {v.test.kind}: {number} in {text!r}"
    every |= set(numbers_in(published["tables"]))
    every |= set(numbers_in(published["questions"])) | set(numbers_in(published["luck"]))
    for text in (said.headline, said.scope, said.answer, *said.short, *said.long, said.several):
        for number in NUMBER.findall(METRIC.sub("", text)):
            if not stands(number, every):
                yield f"{judgement.study.id}: {number} in {text!r}"


def _of_figures(judgement: Judgement, records: Any, said: StudyWords) -> Iterator[str]:
    """What a figure's title, finding and callouts say, held to its own record."""
    study = judgement.study
    given = study.description.model_dump(mode="json")
    for result, record in zip(judgement.figures, records, strict=True):
        found = set(numbers_in(record)) | set(numbers_in(given["measures"])) | set(SAID)
        found |= set(numbers_in(result.figure.model_dump(mode="json")))
        found |= {float(n) for t in study.tables.values() for n in t.checkpoints}
        if result.figure.kind == "limit":  # a claim may go by another limit: both are named
            tests = [v.test for v in judgement.verdicts if v.test.kind == "limit"]
            found |= {float(end) for t in tests for end in (t.at_least, t.at_most) if end}
        found |= {n - 6 for n in found}  # of many, six are named
        words = said.figures[result.figure.id]
        for text in (words.title, words.shows, *(c for c, _ in words.callouts)):
            for number in NUMBER.findall(UNCALLED.sub("", METRIC.sub("", text))):
                if not stands(number, {n for n in found if math.isfinite(n)}):
                    yield f"{study.id} {result.figure.id}: {number} in {text!r}"


def test_every_number_of_a_drawn_study_is_in_its_results(tmp_path: Path, pytestconfig: Any) -> None:
    first, draws = pytestconfig.getoption("--first"), pytestconfig.getoption("--draws")
    found: list[str] = []
    for seed in range(first, first + draws):
        found += unnamed(judged(seed, tmp_path / str(seed // 100))[1])
    assert not found, f"{len(found)} without a name:\n" + "\n".join(found[:400])


@pytest.mark.parametrize(
    ("text", "found", "is_there"),
    [("21", {-21.4}, True), ("22", {-21.4}, False), ("0.04", {0.0371}, True),
     ("37", {0.371}, True), ("220", {215.7}, True), ("230", {215.7}, False),
     ("1,200", {1234.0}, True)],
)  # fmt: skip
def test_a_number_is_found_as_it_is_rounded(text: str, found: set[float], is_there: bool) -> None:
    assert stands(text, found) is is_there
