"""Conditions hold back what is not so, whatever code a verdict has; and every variant can speak."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import islice, product
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

from sentences.grid import Case, cases
from sentences.meaning import frames, unread
from sentences.mutants import Mutant, mutants

from explainer.claims.kinds import KINDS, kind_of
from explainer.errors import WorkspaceError
from explainer.words.facts.heard import heard_facts
from explainer.words.facts.relations import subs
from explainer.words.page.claims import claim_facts, says
from explainer.words.phrases.book import kinds_of
from explainer.words.phrases.renderer import Book, Teller, fill, load_phrases, sentence

#: Which variant speaks hangs on the study and the claim: several, so that each has its turn.
STUDIES = ("grid", "another", "a-third", "one-more", "and-one")
BOOK = load_phrases((Path(__file__).parents[2] / "templates",))


@cache
def grid() -> tuple[Case, ...]:
    return tuple(cases())


def told(
    case: Case, audience: str = "viewer", book: Book = BOOK, study: str = "grid"
) -> tuple[list[str], Teller]:
    """What is said of a verdict in the places that state something, and who said it."""
    teller = Teller(book, study, audience)
    judgement, verdict = replace(case.judgement), case.verdict
    known = claim_facts(teller, judgement, verdict)
    kind, code = verdict.test.kind, verdict.code
    said = [says(teller, judgement, verdict, known)]
    if code == "against":
        said.append(f"Here {known['contrary']}.")
    if kind_of(verdict).shown_by and code != "not-tested":
        names = [f"title.{kind}.{code}.{sub}" for sub in subs(verdict)] + [f"title.{kind}.{code}"]
        title = {**known, "early": None, "turned": False}
        said.append(teller.tell(names, title, about=verdict.claim.id))
    return said, teller


#: The cases of the grid in which a phrase is asked for, and by whom.
Askers = dict[str, list[tuple[int, str]]]


class Listening(dict[str, object]):
    """The book, and what was asked of it."""

    def __init__(self) -> None:
        super().__init__(BOOK)
        self.asked: set[str] = set()

    def __contains__(self, name: object) -> bool:
        self.asked.add(str(name))
        return super().__contains__(name)


@pytest.fixture(scope="module")
def step(pytestconfig: pytest.Config) -> int:
    """Each day every audience reads every other case; by hand, with ``--draws 1000``, all."""
    return 2 if pytestconfig.getoption("--draws") < 1_000 else 1


def turns(step: int, part: int = 0) -> list[int]:
    """One part of the grid of so many; neighbours, which differ in one thing, part both ways."""
    return [t for t in range(len(grid())) if (t + t // 6) % step == part % step]


@pytest.fixture(scope="module")
def said_of(step: int) -> tuple[dict[str, list[tuple[Case, list[str]]]], Askers]:
    """What each audience is told of its cases, in the words of one study, of another one for each;
    and the cases in which each phrase is asked for, and by whom."""
    told_to: dict[str, list[tuple[Case, list[str]]]] = {}
    askers: Askers = {}
    for audience, first in (("viewer", 0), ("league", 2)):
        for turn in turns(step, first // 2):
            case, book = grid()[turn], Listening()
            texts, _ = told(case, audience, book, STUDIES[(turn + first) % 5])  # type: ignore[arg-type]
            told_to.setdefault(audience, []).append((case, texts))
            for name in book.asked & set(BOOK):
                askers.setdefault(name, []).append((turn, audience))
    return told_to, askers


@pytest.mark.parametrize("audience", ["viewer", "league"])
def test_nothing_false_is_said_of_any_verdict(audience: str, said_of) -> None:
    found = [
        f"{c.verdict.code} {c.truth.test} {c.truth.estimate} {c.truth.ranges.get(95)}: {fault}"
        for c, texts in said_of[0][audience]
        for text in texts
        for fault in unread(text, c.truth)
    ]  # fmt: skip
    assert not found, f"{len(found)} false of {len(grid())}:\n" + "\n".join(found[:200])


@cache
def aloud(turn: int) -> tuple[Teller, dict[str, Any]]:
    """Who speaks aloud of a case of the grid, and what they know."""
    verdict, judgement = grid()[turn].verdict, grid()[turn].judgement
    teller = Teller(BOOK, "grid", "viewer")
    known = claim_facts(teller, replace(judgement), verdict)
    return teller, {"mirrored": False, **known, **heard_facts(verdict, judgement.study, known)}


def heard(turn: int) -> Iterator[tuple[str, str]]:
    """Every sentence that may be said aloud of a verdict, not only the one whose turn it is."""
    verdict = grid()[turn].verdict
    teller, facts = aloud(turn)
    head = f"heard.{verdict.test.kind}.{verdict.code}"
    for name in (*(f"{head}.{sub}" for sub in subs(verdict)), head):
        for fit in teller.every([name], facts, about="it") if teller.has(name) else ():
            yield from ((name, sentence(fill(one, facts))) for one in fit)


def test_nothing_false_is_said_aloud_of_any_verdict(step: int) -> None:
    read = set(frames("heard.txt"))
    found, said = [], Counter[str]()
    for turn in turns(step):
        case = grid()[turn]
        if case.truth.kind not in read:
            continue
        for name, text in heard(turn):
            said[name] += 1
            found += [f"{name} {case.truth.estimate} {case.truth.range}: {fault}"
                      for fault in unread(text, case.truth, "heard.txt")]  # fmt: skip
    assert not found, f"{len(found)} false:\n" + "\n".join(dict.fromkeys(found[:60]))
    kinds = {name.split(".")[1] for name in said}
    assert read <= kinds, "each kind has something to say"
    silent = [n for n in BOOK if n.startswith("heard.") and n.split(".")[1] in read and not said[n]]
    assert silent == ["heard.association.leans.strong"]  # the grid has no link in that place


def test_what_any_kind_may_say_aloud_is_never_the_opposite_of_its_range(step: int) -> None:
    for turn in turns(step):
        case = grid()[turn]
        teller, facts = aloud(turn)
        for code, never in (("backed", ("part_in", "all_out")), ("leans", ("all_out",))):
            may = teller.may({**facts, "code": code}, f"heard.any.{code}")
            assert not (may and any(facts[n] for n in never)), (code, case.truth)


def stating() -> tuple[str, ...]:
    """Phrases that state something of a claim of a kind that the grid has cases of; the further
    kinds are read in test_further_kinds.py."""
    further = set(KINDS) - {case.verdict.test.kind for case in grid()}
    return tuple(
        n for n in BOOK if (kinds_of(n) or n.startswith("title."))
        and n.split(".")[0] in (*KINDS, "any", "contrary", "title")
        and (".not-tested" not in n or n.endswith(".not-tested.too-few-items"))
        and not (set(n.split(".")[:2]) & further)
    )  # fmt: skip


@cache
def defects(turn: int, audience: str, study: str) -> int:
    """How often our own book is left without words of a case of the grid."""
    return len(told(grid()[turn], audience, BOOK, study)[1].defects)


@cache
def sound(turn: int, audience: str, study: str) -> tuple[str, ...]:
    """What our own book says of a case of the grid."""
    return tuple(told(grid()[turn], audience, BOOK, study)[0])


def caught(mutant: Mutant, where: list[tuple[int, str]]) -> bool | None:
    """Whether anything that this book says of its cases is false, or it is left without words;
    None where it says no other word than ours, which nobody can notice."""
    noticed = None
    for (turn, audience), study in product(where, STUDIES):
        case = grid()[turn]
        try:
            said, teller = told(case, audience, mutant.book, study)
        except WorkspaceError:  # it asks for what nobody knows
            return True
        if len(teller.defects) > defects(turn, audience, study):
            return True
        if tuple(said) == sound(turn, audience, study):
            continue
        if any(fault for text in said for fault in unread(text, case.truth)):
            return True
        noticed = False
    return noticed


def test_a_slip_in_the_phrase_book_is_caught(said_of, pytestconfig: pytest.Config) -> None:
    most = pytestconfig.getoption("--mutants")
    every = ((m, caught(m, said_of[1].get(m.name, [])))
             for m in mutants(BOOK, stating(), pytestconfig.getoption("--first"), 1_000_000))
    tried = list(islice(((m, seen) for m, seen in every if seen is not None), most))
    missed = [f"{m.name}: {m.what}" for m, seen in tried if not seen]
    most_missed = max(1, 0.05 * len(tried))  # of few, one
    assert len(missed) <= most_missed, f"{len(missed)} of {len(tried)}:\n" + "\n".join(missed)
