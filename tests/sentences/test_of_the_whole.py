"""What is said of a study as a whole, held to its rows and its published results.

By hand: ``pytest tests/sentences/test_of_the_whole.py --draws 1000 --first 100000``
"""

from __future__ import annotations

import math
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from explainer.claims.results import results
from explainer.claims.verdict import Judgement
from explainer.editions.compose import _downloads
from explainer.words.facts.heard import heard_facts
from explainer.words.said import ClaimWords, StudyWords
from explainer.words.say import say

sys.path.insert(0, str(Path(__file__).parents[1]))

from sentences.ears import near
from sentences.studies import World
from sentences.test_no_false_sentence import judged
from sentences.truth import Truth, changes, truth_of

Record = dict[str, Any]
GOING_BY = re.compile(r"going by (?:(\d+) to )?(\d+) \w+")
ESTIMATE = re.compile(r"The estimate is (−?[\d.,]*\d)")
ONE_ALONE = re.compile(r"^“[^”]+”: this study can.t answer that\.$")
#: Kinds whose number is told in the unit that its size is claimed in.
GAPS = ("change", "no-change", "difference", "no-difference", "difference-in-change",
        "rate-difference", "no-association")  # fmt: skip
THROUGHOUT = re.compile(
    r"For the (?P<n>\d+) \w+ that have them all it is a link of (?P<r>−?[\d.]*\d)"
    r"(?: \([^)]*\))?, by the \w+ checkpoints? that all"
)
WHOLE = re.compile(r"For the (?P<n>\d+) \w+ that have them all it is (?P<told>−?[\d,.]*\d)")
PERFECT = re.compile(r"\b1\.0+\b")
TOO_FEW = re.compile(r"too few (\w+)(?: and (\w+))? to (?:be sure of that|put a range on it|say)")
NEAR = 0.5000001
#: Verdicts that say something of what was tested.
ANSWERED = ("backed", "leans", "against")
#: Studies that between them show much of it: others measured beside, a limit with no reading sure,
#: an open claim told first, series of many lengths, a list of names, changes that are all alike;
#: three open claims before one that is settled, a report that says there is a link and that there
#: is none.
SEEDS = (34200000, 34200001, 34200002, 34200003, 34700000, 34700004, 34700005, 34700006)


def odd(world: World, judgement: Judgement, said: StudyWords) -> Iterator[str]:
    records = {c["id"]: c for c in results(judgement)["claims"]}
    tests = {c["id"]: c["test"] for c in world.claims}
    yield from _counted(said.answer, list(records.values()))
    verdicts = {r["verdict"] for r in records.values()}
    if ONE_ALONE.match(said.headline) and "backed" in verdicts:
        yield f"what is backed is left out: {said.headline}"
    if "fair hint" in said.long[-1] and verdicts.isdisjoint(ANSWERED):
        yield f"nothing is answered: {said.long[-1]}"
    if "none of it is settled" in said.headline and {"backed", "against"} & verdicts:
        yield f"one is settled: {said.headline}"
    yield from _against_itself(" ".join((said.answer, *said.short, *said.long)), tests, records)
    for figure in world.figures:
        yield from _stories(world, figure, said.figures[figure["id"]].stories)
    for id, record in records.items():
        words = said.claims[id]
        yield from _rounded(words.strip, record, tests[id])
        yield from _held(words, truth_of(world, {"id": id, "test": tests[id]}, record))
        yield from _all_alike(world, f"{words.says} {words.settle}", record, tests[id])
        if tests[id]["kind"] == "repeatability":
            yield from _too_few(world, words.says)
        for text in (*words.because, *words.beside):
            yield from _throughout(world, text, tests[id], "held alike" in words.says)
            yield from _itself(text, record)
        if "association" in tests[id]["kind"]:
            yield from _link_told(world, words.says, record, tests[id])


def _counted(answer: str, records: list[Record]) -> Iterator[str]:
    """The number behind what is told as so, or not so, is that of claims which were answered."""
    rests = {r["n_items"] for r in records if r["verdict"] in ("backed", "leans", "against")}
    for found in GOING_BY.finditer(answer):
        if not {int(n) for n in found.groups() if n} <= rests:
            yield f"no answered claim rests on {found[0]}, of {sorted(rests)}: {answer}"


def _against_itself(
    told: str, tests: dict[str, dict[str, Any]], records: dict[str, Record]
) -> Iterator[str]:
    """What one claim of a report finds is not told as contrary to that report."""
    linked = [test for id, test in tests.items() if test["kind"] == "association"
              and records[id]["verdict"] == "backed" and not {"given", "at", "only"} & set(test)]
    for id, test in tests.items():
        if test["kind"] != "no-association" or records[id]["verdict"] != "against":
            continue
        ours = {test["x"], test["y"]} in [{other["x"], other["y"]} for other in linked]
        if ours and not {"within", "at", "only"} & set(test) and "are linked" in told:
            yield f"the report says so itself: {told}"


def _stories(
    world: World, figure: Record, stories: tuple[tuple[str, str, str], ...]
) -> Iterator[str]:
    """Who reads the same at both ends and otherwise in between is told so, and how many of the
    others read otherwise at the end is counted."""
    column = str(figure.get("y"))
    # A trail has a dot where both were read.
    drawn = [column, *([str(figure["x"])] if figure["kind"] == "scatter" else [])]
    read: dict[str, dict[int, float]] = {}
    for row in world.files["read"] if stories and figure["table"] == "read" else ():
        if all(row.get(name, "") != "" for name in drawn):
            read.setdefault(row[world.each], {})[row["games"]] = row[column]
    for item, path, others in stories if read else ():
        own = read[item]
        first, last = min(own), max(own)
        if ("in between" in path) != (own[first] == own[last] and len(set(own.values())) > 1):
            yield f"{own}: {path}"
        both = [r for i, r in read.items() if i != item and {first, last} <= set(r)]
        moved = sum(abs(r[last] - r[first]) > 1e-9 for r in both)
        counts = {0: ("None", "Neither", "Nor"), len(both): ("All", "Both", "The other one")}
        if "another" in others and moved in counts and not others.startswith(counts[moved]):
            yield f"{moved} of {len(both)}: {others}"


def _itself(text: str, record: Record) -> Iterator[str]:
    """No answer is set beside the very same rows' own as if it were another."""
    found, estimate = WHOLE.search(text), record["estimate"]
    if found is None or estimate is None or int(found["n"]) != record["n_items"]:
        return
    told = found["told"].replace("−", "-").replace(",", "")
    if abs(estimate - float(told)) <= NEAR * 10.0 ** -len(told.partition(".")[2]):
        yield f"those are all that count: {text}"


def _link_told(
    world: World, says: str, record: Record, test: dict[str, Any]
) -> Iterator[str]:
    """A link that is not perfect is not told as one, and one that rests on the only checkpoint
    which all share says so."""
    ends = [abs(record[key] or 0.0) for key in ("estimate", "low", "high")]
    if PERFECT.search(says) and not {"given"} & set(test) and 1.0 not in ends:
        yield f"{ends} is no perfect link: {says}"
    if {"at", "within", "only", "given"} & set(test) or record["estimate"] is None:
        return
    read: dict[str, set[int]] = {}
    for row in world.files["read"]:
        if row[test["x"]] != "" and row[test["y"]] != "":
            read.setdefault(row[world.each], set()).add(row["games"])
    shared = set.intersection(*read.values())
    alone = len(shared) == 1 and any(uses != shared for uses in read.values())
    if alone != ("goes by the readings" in says):
        yield f"of {shared} that all share: {says}"


def _too_few(world: World, text: str) -> Iterator[str]:
    """Of those who are too few for a range there are fewer than three; two readings that lie that
    far apart are by two of those who read, for one alone repeats better."""
    rows = world.files["gauge"]
    counts = {f"{word}s": len({row[word] for row in rows}) for word in (world.each, "desk")}
    for found in TOO_FEW.finditer(text):
        if any(counts[word] > 2 for word in found.groups() if word):
            yield f"there are {counts}: {text}"


def _rounded(strip: str, record: Record, test: dict[str, Any]) -> Iterator[str]:
    """No estimate is rounded onto the size that is claimed, or past it, and none is told as
    further off than half of its last digit."""
    found, estimate = ESTIMATE.search(strip), record["estimate"]
    if found is None or test["kind"] not in GAPS or estimate is None:
        return
    times = 100 if test["kind"] == "rate-difference" else 1
    value, size = abs(estimate) * times, abs(float(found[1].replace(",", "").replace("−", "-")))
    places = max(len(found[1].partition(".")[2]), test["kind"] == "no-association")
    if places and abs(value - size) > NEAR * 10.0**-places:
        yield f"{value} is told as {found[1]}: {strip}"
    for given in (test.get("at_least"), test.get("margin")):
        if given and not math.isclose(value, given * times, rel_tol=1e-9) and (
            (value < given * times) != (size < given * times * (1 - 1e-9))
            or math.isclose(size, given * times, rel_tol=1e-9)
        ):
            yield f"{value} is told as {found[1]} beside {given * times}: {strip}"


def _held(words: ClaimWords, truth: Truth) -> Iterator[str]:
    """Something beside the numbers holds back only what they alone would say: nothing of a change
    whose 95% range lies neither here nor there, and whose 80% range does not lie as claimed."""
    if truth.kind != "change" or not truth.own or not truth.ranges or not truth.side:
        return
    size = truth.size or 0.0
    near, far = ({level: sorted((truth.side * low, truth.side * high))[i]
                  for level, (low, high) in truth.ranges.items()} for i in (0, 1))
    small = max(map(abs, truth.ranges[95])) <= (truth.margin or 0.0)
    if words.held and near[95] < size <= far[95] and near[80] < size and not small:
        yield f"the numbers leave it open, {truth.ranges}: {words.note}"


def _all_alike(world: World, text: str, record: Record, test: dict[str, Any]) -> Iterator[str]:
    """Changes that are all the same have no range: no luck of one number, and no more of the same
    would give one."""
    if test["kind"] not in ("change", "no-change") or record["low"] is not None:
        return
    moved = changes(world, test["measure"], test["from"], test["to"])
    if len(moved) > 1 and float(np.ptp(moved)) < 1e-9 and re.search("luck|with more|More b", text):
        yield f"{len(moved)} changes of {moved.iloc[0]}: {text}"


def _throughout(world: World, text: str, test: dict[str, Any], alike: bool) -> Iterator[str]:
    """The link of those who were read throughout, by the checkpoints that every one shares;
    ``alike``: with the model held alike, so that each is set against the others of its own."""
    found = THROUGHOUT.search(text)
    if found is None or test["kind"] not in ("association", "no-association") or "given" in test:
        return
    x, y = test["x"], test["y"]
    read: dict[str, dict[int, tuple[float, float]]] = {}
    models = {row[world.each]: row["model"] for row in world.files["read"]}
    for row in world.files["read"]:
        if row[x] != "" and row[y] != "":
            read.setdefault(row[world.each], {})[row["games"]] = (row[x], row[y])
    every = set().union(*read.values())
    shared = [use for use in sorted(every) if all(use in own for own in read.values())]
    whole = {item: own for item, own in read.items() if set(own) == every}
    means = np.array([np.mean([own[use] for use in shared], axis=0) for own in whole.values()])
    for model in set(models.values()) if alike else ():
        mine = [models[item] == model for item in whole]
        means[mine] -= means[mine].mean(axis=0) if any(mine) else 0.0
    if not means.size or not np.ptp(means, axis=0).all():
        return
    r = float(np.corrcoef(means.T)[0, 1])
    told = found["r"].replace("−", "-")
    off = NEAR * 10.0 ** -len(told.partition(".")[2])
    if len(whole) != int(found["n"]) or abs(r - float(told)) > off:
        yield f"over {len(whole)} at {shared} the link is {r}: {text}"


def test_what_is_said_of_the_whole_is_so(tmp_path: Path, pytestconfig: Any) -> None:
    first, draws = pytestconfig.getoption("--first"), pytestconfig.getoption("--draws")
    found: list[str] = []
    for seed in (*SEEDS, *range(first, first + draws)):
        world, judgement = judged(seed, tmp_path / str(seed // 100))
        found += [f"{world.name}: {fault}" for fault in odd(world, judgement, say(judgement))]
    assert not found, f"{len(found)} odd:\n" + "\n".join(found[:200])


def test_the_number_of_items_is_that_of_what_was_answered() -> None:
    records = [{"n_items": 4, "verdict": "cannot-tell"}, {"n_items": 10, "verdict": "backed"}]
    assert not list(_counted("Hook fell, going by 10 balls; but this study can't say.", records))
    assert list(_counted("Hook fell, going by 4 to 10 balls; but this study can't say.", records))


@pytest.mark.parametrize(("told", "so"), [("22", True), ("20", False), ("19", False)])
def test_an_estimate_beside_the_size_claimed(told: str, so: bool) -> None:
    record, test = {"estimate": 0.2208}, {"kind": "rate-difference", "at_least": 0.2}
    strip = f"The estimate is {told}, with a likely range of −100 to 100 percentage points."
    assert (not list(_rounded(strip, record, test))) is so


def test_a_drift_of_series_that_differ_in_length_is_told_for_a_step(tmp_path: Path) -> None:
    """Of 30, 12, 12 and 20 shots the average slope times 30 is what nobody's drift came to."""
    _, judgement = judged(34200000, tmp_path)
    verdict = judgement.verdict("drift")
    facts = heard_facts(verdict, judgement.study, {"step": "for every 10 shots", "item": "bowler"})
    assert facts["stepped"] == "for every 10 shots" and not facts["least"]
    assert verdict.estimate is not None and near(facts["about"], 10 * verdict.estimate)


def test_a_list_of_names_is_not_offered_as_numbers(tmp_path: Path) -> None:
    _, judgement = judged(34200002, tmp_path)
    told = {d.path: d.about for d in _downloads(judgement.study)}
    assert told["data/read.csv"].startswith("The numbers as read")
    assert told["data/tries.csv"].startswith("What was named")
