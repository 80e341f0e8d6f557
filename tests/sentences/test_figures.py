"""What a figure says is so: every sentence of drawn figures, and slips in their phrases are caught.

By hand: ``pytest tests/sentences/test_figures.py --draws 1000 --first 100000 --mutants 300``
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import islice
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

from sentences.figure_meaning import PLACES, frames, unread, unsaid
from sentences.figure_truth import FigureTruth, figure_truth
from sentences.mutants import Mutant, mutants
from sentences.test_no_false_sentence import judged

from explainer.claims.results import results
from explainer.claims.verdict import FigureResult, Judgement
from explainer.errors import WorkspaceError
from explainer.words.page.figures import callouts, figure_known
from explainer.words.phrases.book import book_of
from explainer.words.phrases.renderer import Book, Teller
from explainer.words.quantity.everyday import load_everyday

PARTS = ("title", "shows", "description")
#: Phrases that state something of a figure.
STATING = rf"(?:{'|'.join(frames())})\.(?:{'|'.join(PARTS)}|callout)\b"
#: Studies whose figures between them show most of what can be so of one.
SEEDS = (
    2000, 2004, 2008, 2009, 2011, 2015, 2016, 2023, 2028, 2030, 2033, 2034, 2045, 2046, 2047, 2056,
    2058, 2068, 2070, 2073, 2074, 2078, 2082, 2085, 2092, 2094, 2103, 2107, 2113, 2125,
)  # fmt: skip
#: A drawn figure: its study's judgement, what it found, and what is so.
Case = tuple[Judgement, FigureResult, FigureTruth]


def drawn(seeds: Iterable[int], folder: Path) -> Iterator[Case]:
    """Every figure of these studies."""
    for seed in seeds:
        world, judgement = judged(seed, folder / str(seed))
        records = {f["id"]: f for f in results(judgement)["figures"]}
        described = {f["id"]: f for f in world.figures}
        for result in judgement.figures:
            id = result.figure.id
            yield judgement, result, figure_truth(world, described[id], records[id])


@lru_cache(maxsize=8)
def _things(folders: Any) -> Any:
    return load_everyday(folders)


def said(case: Case, book: Book) -> dict[str, str]:
    """What the phrases of its kind say of a figure, part by part."""
    judgement, result, _ = case
    study = judgement.study
    teller = Teller(book, study.id, "viewer")
    known = figure_known(teller, judgement, result, _things(study.workspace.template_folders))
    kind, about = result.figure.kind, result.figure.id
    told = {part: teller.tell([f"{kind}.{part}"], known, about=about) for part in PARTS}
    told["title"] = told["title"].removesuffix(".")
    told |= {f"callout {i}": text for i, (text, _) in enumerate(callouts(teller, result, known))}
    if teller.defects:
        told["lacks"] = str(teller.defects[0].found)
    return told


def false_of(case: Case, book: Book) -> Iterator[str]:
    judgement, result, truth = case
    for part, text in said(case, book).items():
        for fault in unread(text, truth) if part != "lacks" else (text,):
            yield f"{judgement.study.id} {result.figure.id} {part}: {fault}"
        for lack in unsaid(part, text, truth):
            yield f"{judgement.study.id} {result.figure.id} {part}: {lack}"


def test_nothing_false_is_said_of_a_drawn_figure(
    cases: list[Case], tmp_path: Path, pytestconfig: Any
) -> None:
    first, draws = pytestconfig.getoption("--first"), pytestconfig.getoption("--draws")
    found: list[str] = []
    more = drawn(range(first, first + draws), tmp_path) if first else ()  # by hand
    for case in (*cases, *more):
        found += false_of(case, book_of(case[0].study))
    assert not found, f"{len(found)} false:\n" + "\n".join(found[:400])


@pytest.fixture(scope="module")
def cases(tmp_path_factory: pytest.TempPathFactory) -> list[Case]:
    return list(drawn(SEEDS, tmp_path_factory.mktemp("figures")))


def test_a_slip_in_what_a_figure_says_is_caught(
    cases: list[Case], pytestconfig: pytest.Config
) -> None:
    book = book_of(cases[0][0].study)
    names = tuple(n for n in book if re.match(STATING, n))
    most, first = pytestconfig.getoption("--mutants"), pytestconfig.getoption("--first")
    sound = [said(case, book) for case in cases]
    # One that changes no word of any of these figures cannot be noticed, and is not counted.
    every = ((m, _caught(m, cases, sound)) for m in mutants(book, names, first, 1_000_000))
    # They are quick: fewer than these, and chance alone would pass or fail a sound check.
    tried = list(islice(((m, seen) for m, seen in every if seen is not None), max(most, 120)))
    missed = [f"{m.name}: {m.what}" for m, seen in tried if not seen]
    assert len(missed) <= 0.05 * len(tried), f"{len(missed)} of {len(tried)}:\n" + "\n".join(missed)


def _caught(mutant: Mutant, cases: list[Case], sound: list[dict[str, str]]) -> bool | None:
    """Whether something that the mutant says is false; None where it says what the book does."""
    noticed = None
    for case, before in zip(cases, sound, strict=True):
        if case[1].figure.kind == mutant.name.split(".")[0]:
            try:
                if said(case, mutant.book) == before:
                    continue
                if any(false_of(case, mutant.book)):
                    return True
            except WorkspaceError:  # it asks for what nobody knows
                return True
            noticed = False
    return noticed


@pytest.mark.parametrize(("said", "limits"), [
    ("None of the 5 bowlers meets it.", "many allfail"),
    ("Neither of the bowlers meets the limit", "allfail pair noguard asclaimed"),
])  # fmt: skip
def test_of_people_nobody_meets_a_limit(said: str, limits: str) -> None:
    """It is said of people only, whom few of the drawn studies hold to a limit."""
    known = [conditions for conditions, pattern, _ in frames()["limit"] if pattern.fullmatch(said)]
    assert frozenset(limits.split()) in known


@pytest.mark.parametrize("said", [
    "The solid line, across eight balls, climbs about 1.2 boards for every 0.001 inches "
    "(link 0.72, likely 0.1 to 0.9).",
    "From one ball to the next, wider balls tended to hook more: about 12 boards for every 0.01 "
    "inches.",
    "The slope there is −1.2 boards for every 0.001 inches, and it could be anything from −3 to 2.",
    "Follow one ball through its own readings and the two go together: about 1.5 boards more total "
    "hook for every 0.001 inches more bridge width, likely 0.2 to 2.8.",
])  # fmt: skip
def test_a_slope_may_be_told_for_a_step_below_one(said: str) -> None:
    assert any(pattern.fullmatch(said) for _, pattern, _ in frames()["scatter"])


@pytest.mark.parametrize(
    ("said", "so"),
    [("8.66 to 12.9 boards", True), ("8.66 to 12.94 boards", False), ("8.6 to 12.9 boards", False)],
)
def test_each_end_of_an_axis_has_its_own_digits(said: str, so: bool) -> None:
    truth = FigureTruth("scatter")
    truth.is_ |= {"lowest": 8.66, "highest": 12.88}
    assert PLACES["drawn"](truth, "drawn", said) is so
