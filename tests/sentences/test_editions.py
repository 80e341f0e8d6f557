"""Drawn studies published in all their editions, each passage held to the raw rows.

One in the quick tests; many by hand::

    .venv/bin/python -m pytest tests/sentences/test_editions.py --rendered 100 --first 100000
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

from sentences import ears
from sentences.editions import Passage, passages, printed
from sentences.metric import leftovers
from sentences.oracle import false_in, sentences
from sentences.studies import World
from sentences.test_every_number import (
    METRIC,
    NUMBER,
    SAID,
    UNCALLED,
    known,
    numbers_in,
    stands,
)
from sentences.test_no_false_sentence import IN_FIGURES
from sentences.truth import Truth, truth_of

from explainer.claims.judge import judge
from explainer.claims.results import results
from explainer.claims.verdict import Judgement
from explainer.claims.what_if import FACTORS
from explainer.publish.build import build_study
from explainer.study.load import load_study, open_workspace

#: Two ends of a range, or of a zone, that are told in the same words.
TWICE = re.compile(
    r"\b(?:[Bb]etween|from) ((?:[\w,.−-]+ ){1,4}?[\w.−-]*\w) (?:and|to) \1\b(?!\.\d)"
)
#: What is said of many as of one, in any edition.
JUNK = re.compile(rf"{IN_FIGURES.pattern}|\bundefined\b|\{{\{{|\b[Bb]oth 1 ")
#: Running text of the printed page that the page on a screen has no place for.
ON_PAPER_ONLY = re.compile(r"Numbers from|As a CSV|more rows are in|\d of \d|Claim \d|"
                           r"Claim by claim|Sources and|The report, page \d|and its numbers|"
                           r"it rests on: |Rows of data used: |\b\d+ Plain [\w-]+\.$")  # fmt: skip
#: What a chance is more or less than, a claim's place on the page, a reading's in its order, ends
#: that are rounded outwards, and what is left between two zones whose ends are told.
BOUNDS = re.compile(
    r"p > 0\.99\b|p < 0\.001\b|(?:more|less) than (?:99\.9|0\.1)\b|^\d+ Plain |^rank \d+$|"
    r"(?:trail|dot) (?:leaves|lies outside) [−\d.]+ to [−\d.]+|There is room for [\d.]+"
)
#: Lines about the talk itself, its clips and the files.
NOT_OF_THE_STUDY = re.compile(
    r"words a minute|SHA-256|more rows are in|\.csv, row|↩|^\d+ seconds|^\**\d+:\d\d|^Full length|"
    r": \d:\d\d"
)


def rendered(seed: int, folder: Path) -> tuple[World, Judgement, Mapping[str, bytes]]:
    """One drawn study and every file of it."""
    workspace = folder / "ws"
    (workspace / "studies").mkdir(parents=True, exist_ok=True)
    world = World(seed)
    study = load_study(world.write(workspace), open_workspace(workspace))
    return world, judge(study), build_study(study).files


def faults(world: World, judgement: Judgement, files: Mapping[str, bytes]) -> Iterator[str]:
    """Everything false, unnamed or said by one edition only."""
    published = results(judgement)
    records = {c["id"]: c for c in published["claims"]}
    truths = {c["id"]: truth_of(world, c, records[c["id"]]) for c in world.claims}
    met = list(passages(files))
    of_figures = {_plain(x) for p in met if p.edition == "page" and p.figure
                  for x in sentences(p.text)}  # fmt: skip
    for passage in dict.fromkeys(met):
        if passage.edition.endswith(".pdf") and _plain(passage.text) in of_figures:
            continue  # on paper nothing says whose it is; a figure's own range is no claim's
        for fault in _false(passage, truths):
            yield f"{world.name} {'|'.join(passage[:3])}: {fault}"
    yield from (f"{world.name} {x}" for x in _unnamed(judgement, published, files, met))
    yield from (f"{world.name} {x}" for x in _undrawn(files, met))
    yield from (f"{world.name} {x}" for x in _blurred(met))
    yield from (f"{world.name} page, {x}" for x in leftovers(files["index.html"].decode()))
    yield from (f"{world.name} explainer.pdf alone says: {x}" for x in _only_printed(files, met))


def _false(passage: Passage, truths: Mapping[str, Truth]) -> Iterator[str]:
    """What is not so: of its own claim, or of no claim at all where it stands under none."""
    printed_page = passage.edition == "explainer.pdf"  # tables and labels run into one another
    for pattern in () if printed_page else (JUNK, TWICE):
        junk = pattern.search(passage.text)
        if junk is not None and not (passage.edition.endswith(".pdf") and _two_lines(junk[0])):
            yield f"{junk[0]!r}: {passage.text}"
    if passage.claim:
        yield from false_in(passage.text, truths[passage.claim])
    elif not passage.figure:
        for said in sentences(passage.text):  # the line under the answer may begin so
            of_each = [set(false_in(said.removeprefix("Going by "), t)) for t in truths.values()]
            for fault in sorted(set.intersection(*of_each)):
                twice = re.match(r"junk (['\"])(.*?)\1", fault)
                if twice and passage.edition.endswith(".pdf") and (
                    printed_page or _two_lines(twice[2])
                ):
                    continue
                yield fault


def _two_lines(twice: str) -> bool:
    """Whether a word stands twice because a line of a sheet ends and the next begins with it."""
    first, _, second = twice.partition(" ")
    return first != second and first == second.casefold()


def _unnamed(
    judgement: Judgement, published: Mapping[str, Any], files: Mapping[str, bytes],
    met: list[Passage],
) -> Iterator[str]:  # fmt: skip
    """Numbers that no results file has: those of a claim in that claim's own record, those of a
    figure in its record and the file of its numbers."""
    records = {c["id"]: c for c in published["claims"]}
    verdicts = {v.claim.id: v for v in judgement.verdicts}
    measures = judgement.study.description.measures.values()
    margins = {m.matters_from for m in measures if m.matters_from}
    margins |= {v.detail.margin for v in verdicts.values() if v.detail.margin}
    of_claim = {
        id: known(judgement, records[id], v)
        | {factor * margin for factor in FACTORS for margin in margins}
        for id, v in verdicts.items()
    }  # fmt: skip
    given = set(numbers_in(judgement.study.description.model_dump(mode="json"))) | set(SAID)
    given |= set(numbers_in(published["tables"]))
    of_figure = {
        f["id"]: given | set(numbers_in(f))
        | set(_cells(files.get(f"data/figure-{f['id']}.csv", b"")))  # none without a reading
        | _to_see(files.get(f"data/figure-{f['id']}.csv", b""))
        for f in published["figures"]
    }  # fmt: skip
    every = set().union(*of_claim.values(), *of_figure.values(), numbers_in(published))
    for passage in met:
        if passage.edition.endswith(".pdf") or NOT_OF_THE_STUDY.search(passage.text):
            continue  # the printed page and the sheet: the page's own sentences
        found = of_claim[passage.claim] if passage.claim else every
        if passage.figure:
            found = of_figure[passage.figure]
            found = found | {n - 6 for n in found}  # of many, six are named
        text = BOUNDS.sub("", UNCALLED.sub("", METRIC.sub("", passage.text)))
        for number in NUMBER.findall(re.sub(r"[A-Z]\d+(?=\W)", "", text)):
            if not stands(number, found):
                yield f"{'|'.join(passage[:3])}: {number} has no name in {passage.text!r}"


#: Two averages side by side, as printed and as said.
AVERAGES = re.compile(r"averaged (.+?) for .+? and (.+?) for |"
                      r"(?:starts at|goes from) (.+?) (?:and ends at|to) (.+?)(?:,|\.(?!\d)|$)")


def _blurred(met: list[Passage]) -> Iterator[str]:
    """Averages of a figure that lie much further apart, or nearer, as said than as printed."""
    gaps: dict[str, list[float]] = {}
    for passage in (p for p in met if p.edition in ("page", "script") and p.figure):
        for found in AVERAGES.finditer(passage.text):
            if "a little" in found[0]:  # by ear, and no number to subtract
                continue
            ends = [words for words in found.groups() if words]
            a, b = (float(re.sub(r"[^\d.]", "", w)) if re.search(r"\d", w) else ears.read_back(w)
                    for w in ends)  # fmt: skip
            if max(abs(a), abs(b)) < 100 or passage.edition == "script":  # no hundreds by ear here
                gaps.setdefault(f"{passage.figure} {passage.edition}", []).append(a - b)
    for figure in {p.figure for p in met if p.figure}:
        page, script = (gaps.get(f"{figure} {edition}") for edition in ("page", "script"))
        if page and script and abs(script[0] - page[0]) > 0.3 * abs(page[0]) + 0.02:
            yield f"{figure}: {page[0]} apart is said as {script[0]}"


#: A mark that a sentence speaks of, and what its drawing must hold then.
DOT = re.compile(r"data-cells=|a[\d.]+ [\d.]+ 0 1 0")
MARKS = ((re.compile(r"[Ee]ach dot is|[Rr]inged"), DOT),)


def _undrawn(files: Mapping[str, bytes], met: list[Passage]) -> Iterator[str]:
    """Marks that a figure's words on the page explain and that nobody sees there."""
    page = files["index.html"].decode("utf-8")
    drawn = dict(re.findall(r'<figure id="fig-([\w-]+)">(.*?)</figure>', page, re.DOTALL))
    for passage in met:
        if passage.edition == "page" and passage.figure in drawn:
            for said, mark in MARKS:
                if said.search(passage.text) and not mark.search(drawn[passage.figure]):
                    yield f"{passage.figure}: not drawn: {passage.text}"


def _cells(table: bytes) -> Iterator[float]:
    """The numbers of a figure's own file, 2.9e-05 among them."""
    for cell in re.split(r"[,\n]", table.decode("utf-8")):
        if re.fullmatch(r"-?[\d.]+(?:e-?\d+)?", cell.strip()):
            yield float(cell)


def _to_see(table: bytes) -> set[float]:
    """How many different spots, pairs of numbers, and how many different lines, all the numbers of
    one item, a figure's own file has."""
    rows = [re.findall(r"(?<=,)-?[\d.]+(?:e-?\d+)?(?=,|$)", row) for row in table.decode().split()]
    spots = {tuple(row[:2]) for row in rows if len(row) >= 2}
    kept = [row for row in table.decode().splitlines()[1:] if not re.match('"?mean', row)]
    lines = {tuple(re.findall(r"(?<=,)-?[\d.]+(?:e-?\d+)?(?=,|$)|(?<=,)(?=,|$)", row))
             for row in kept}  # fmt: skip
    return {float(len(spots)), float(len(lines))}


def _only_printed(files: Mapping[str, bytes], met: list[Passage]) -> Iterator[str]:
    """Sentences of the printed page that the page does not have; heads may stand before them."""
    page = _plain(" ".join(p.text for p in met if p.edition == "page"))
    for said in printed(files["explainer.pdf"]):
        if not any(_plain(said[-n:]) in page for n in (len(said), 90, 60, 40, 24)) and not (
            ON_PAPER_ONLY.search(said)
        ):
            yield said


def _plain(text: str) -> str:
    return re.sub(r"[^a-z0-9]", "", text.casefold())


def test_nothing_false_in_any_edition(tmp_path: Path, pytestconfig: Any) -> None:
    first, draws = pytestconfig.getoption("--first"), pytestconfig.getoption("--rendered")
    found: list[str] = []
    for seed in range(first, first + draws):
        found += faults(*rendered(seed, tmp_path / str(seed)))
    assert not found, f"{len(found)} false:\n" + "\n".join(found[:400])


@pytest.mark.parametrize(
    ("passage", "is_false"),
    [(Passage("script", "", "", "Between about a third and about a third, nobody knows."), True),
     (Passage("script", "", "", "Between about a third and about a half, nobody knows."), False),
     (Passage("page", "c", "", "The average cover roughness of 8 balls fell by 3."), True),
     (Passage("page", "c", "", "The average cover roughness of 8 balls rose by 3."), False),
     (Passage("handout.pdf", "", "", "The average hook of 8 balls fell by 3."), True)],
)  # fmt: skip
def test_what_an_edition_says_alone_is_found(passage: Passage, is_false: bool) -> None:
    truth = Truth("change", {"kind": "change", "direction": "up"}, 8, 3.0)
    assert bool(list(_false(passage, {"c": truth}))) is is_false


@pytest.mark.parametrize(("said", "fault"), [
    ("less by <span data-metric=\"0.52 cm\">0.19 boards</span> for every microinch more.", "half"),
    ("less by <span data-metric=\"0.52 cm\">0.19 boards</span> for every "
     "<span data-metric=\"0.0254 µm\">microinch</span> more.", ""),
    ("It read <span data-metric=\"29.2 cm\">10.8 boards</span> both at first and at last, and "
     "<span data-metric=\"29.461\">10.9</span> in between.", "readings"),
    ("It read <span data-metric=\"29.2 cm\">10.8 boards</span> both at first and at last, and "
     "<span data-metric=\"29.5\">10.9</span> in between.", ""),
])  # fmt: skip
def test_what_the_switch_leaves_is_found(said: str, fault: str) -> None:
    found = list(leftovers(f"<div><p>{said}</p></div>"))
    assert len(found) == bool(fault) and all(each.startswith(fault) for each in found)
