"""Numbers in an author's prose: ``{texture-falls.estimate}`` becomes the value with its unit.

A reference is the id of a claim, a figure or a measure, a dot, and a name:

    {CLAIM.estimate} {CLAIM.low} {CLAIM.range} {CLAIM.size} {CLAIM.n} {CLAIM.from} {CLAIM.mean_to} …
    {CLAIM.2.estimate}          the second of a claim's several tests
    {FIGURE.early-step.share}   a number of what a figure shows
    {MEASURE.matters_from}      what the description says of a measure
    {study.n}                   how many items were tested

``estimate``, ``low``, ``high``, ``size`` and the means carry their unit, rounded by their range;
``from``, ``to`` and counts are bare.  Any name of the results file's ``extra`` works, too.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Mapping
from typing import Any

from explainer.claims.verdict import Judgement, Verdict
from explainer.errors import DescriptionError, Problem
from explainer.study.description.figures import Figure
from explainer.study.description.rule import Claim, Rule
from explainer.study.description.study import Description
from explainer.study.description.telling import ASIDES, compared
from explainer.words.glossary.entries import Glossary
from explainer.words.glossary.linker import finder_for
from explainer.words.glossary.of_study import glossary_of
from explainer.words.quantity.numbers import p_words, percent, rounded
from explainer.words.quantity.sizes import Sized, level, number
from explainer.words.said import AsideWords, AuthorWords

#: Where a judgement keeps what can be referred to.
NAMES = "names for references"
#: A claim in plain words may stand in for a short name that nobody gave, up to this long.
SHORT = 44
_REFERENCE = re.compile(r"\{([A-Za-z0-9_-]+)((?:\.[A-Za-z0-9_-]+)+)\}")


def fill(text: str, judgement: Judgement) -> str:
    """``text`` with every reference replaced by its value.

    Raises DescriptionError, with the place of the text, for a reference that means nothing and
    for one whose value does not exist (a claim that was not tested has no estimate).
    """
    if "{" not in text:
        return text
    return _REFERENCE.sub(lambda m: _value(m, text, judgement), text)


def names(judgement: Judgement) -> Mapping[str, Mapping[str, str]]:
    """Every reference that can be made: id, then name, then the words that would stand there."""
    known: Mapping[str, Mapping[str, str]] | None = judgement.memo.get(NAMES)
    if known is None:  # once: a text may refer to a thousand of them
        known = judgement.memo[NAMES] = _names(judgement)
    return known


def _names(judgement: Judgement) -> Mapping[str, Mapping[str, str]]:
    found: dict[str, Mapping[str, str]] = {"study": {"n": str(study_n(judgement))}}
    for name, measure in judgement.study.description.measures.items():
        given = {
            key: level(getattr(measure, key), measure.unit)
            for key in ("matters_from", "resolution", "repeatability_sd")
            if getattr(measure, key) is not None
        }
        found[name] = {**given, "unit": measure.unit, "term": judgement.study.term(name)}
    for figure in judgement.figures:
        found[figure.figure.id] = {
            f"{finding.kind}.{key}": _plain(value)
            for finding in figure.findings
            for key, value in finding.numbers.items()
            if value is not None
        }
    for verdict in judgement.verdicts:
        own = _of(verdict, judgement)
        for i, part in enumerate(verdict.parts, 1):
            own |= {f"{i}.{key}": value for key, value in _of(part, judgement).items()}
        found[verdict.claim.id] = own
    return found


def _value(match: re.Match[str], text: str, judgement: Judgement) -> str:
    known = names(judgement)
    owner, name = match[1], match[2].removeprefix(".")
    if owner in known and name in known[owner]:
        return known[owner][name]
    if owner not in known:
        close = difflib.get_close_matches(owner, known, n=1)
        expected = "the id of a claim, a figure or a measure"
    else:
        close = difflib.get_close_matches(name, known[owner], n=1)
        expected = f"one of {', '.join(sorted(known[owner])) or 'nothing: it has no numbers'}"
    line, column = _place(text, judgement)
    raise DescriptionError(
        Problem(
            "study.yaml", line, column, found=match[0], expected=expected,
            hint=f"did you mean {close[0]}?" if close else "",
            happens="the sentence cannot be written", code="reference",
        )
    )  # fmt: skip


def _of(verdict: Verdict, judgement: Judgement) -> dict[str, str]:
    """The names of one verdict that have a value."""
    found = {"n": str(verdict.n_items), "rows": f"{verdict.n_rows:,}"}
    return found | _estimate(verdict) | _points(verdict) | _details(verdict, judgement)


def _estimate(verdict: Verdict) -> dict[str, str]:
    sized = Sized(verdict.estimate, verdict.low, verdict.high, verdict.unit)
    found: dict[str, str] = {}
    if verdict.estimate is not None:
        found |= {"estimate": sized.signed, "size": sized.size}
    if verdict.low is not None and verdict.high is not None:
        found |= {"range": sized.span, "low": _end(verdict, verdict.low),
                  "high": _end(verdict, verdict.high)}  # fmt: skip
    for name, value in (("p", verdict.p), ("p_holm", verdict.p_holm)):
        if value is not None:
            found[name] = p_words(value)
    return found


def _points(verdict: Verdict) -> dict[str, str]:
    """The checkpoints a claim speaks of, bare: ``60``, ``1 to 10``."""
    found: dict[str, str] = {}
    for name, key in (("from", "from_"), ("to", "to"), ("by", "by"), ("at", "at")):
        point = getattr(verdict.test, key, None)
        if isinstance(point, int | float):
            found[name] = number(float(point))
        elif isinstance(point, tuple):
            found[name] = f"{number(point[0])} to {number(point[1])}"
    return found


def _details(verdict: Verdict, judgement: Judgement) -> dict[str, str]:
    """What sentences know of a verdict, and the results file's extra numbers."""
    detail, found = verdict.detail, dict[str, str]()
    measure = getattr(verdict.test, "measure", None)
    unit = judgement.study.measure(measure).unit if isinstance(measure, str) else ""
    for key in ("mean_from", "mean_to", "mean_a", "mean_b", "margin", "mdd", "guard"):
        if isinstance(value := getattr(detail, key, None), int | float):
            found[key] = level(value, unit)
    for key in ("n_up", "n_down", "reaches", "measured_to", "measured_from"):
        if isinstance(value := getattr(detail, key, None), int | float):
            found[key] = number(float(value))
    if verdict.power and verdict.power.items_needed:
        found["needed"] = f"{verdict.power.items_needed:,}"
    for key, value in verdict.extra.items():
        if isinstance(value, int | float) and not isinstance(value, bool):
            found.setdefault(key, p_words(value) if key.startswith("p_") else rounded(value))
    return found


def _end(verdict: Verdict, value: float) -> str:
    if verdict.unit in ("share", "rate"):
        return percent(value)
    return Sized(value, verdict.low, verdict.high, verdict.unit).signed


def _plain(value: float | int | str) -> str:
    return value if isinstance(value, str) else rounded(float(value))


def study_n(judgement: Judgement) -> int:
    described = judgement.study.description.tested.count
    items = {i for t in judgement.study.tables.values() for i in t.items}
    return described or len(items)


def _place(text: str, judgement: Judgement) -> tuple[int, int]:
    """Line and column of a text of study.yaml, found by its words."""
    data = judgement.study.description.model_dump(by_alias=True)
    path = next((p for p, value in leaves(data, ()) if value == text), ())
    places = judgement.study.places
    while path and path not in places:
        path = path[:-1]
    return places.get(path, (1, 1))


def leaves(data: Any, path: tuple[str | int, ...]) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    if isinstance(data, Mapping):
        for key, value in data.items():
            yield from leaves(value, (*path, key))
    elif isinstance(data, list | tuple):
        for i, value in enumerate(data):
            yield from leaves(value, (*path, i))
    else:
        yield path, data


# --- the plain version of a claim: the plain phrase in brackets beside each trade word

#: More brackets than this hide the sentence.
MOST = 2
#: How far before a term a number of it may stand.
_BEFORE = 60
_COUNTED = re.compile(
    r"(\d|\b(one|two|three|four|five|six|seven|eight|nine|ten))\s+$", re.IGNORECASE
)


def plain_claim(claim: Claim, judgement: Judgement) -> str:
    """What a claim says in everyday words: the author's, else its own sentence as it stands."""
    return claim.sentence if claim.plainly is None else fill(claim.plainly, judgement).strip()


def explained_claim(claim: Claim, judgement: Judgement) -> str:
    """The same with a plain phrase in brackets behind trade words, where the author put it in no
    words of their own: for a reader at leisure, never inside quotation marks or for a voice."""
    if claim.plainly is not None:
        return plain_claim(claim, judgement)
    return in_plain_words(claim.sentence, glossary_of(judgement.study.workspace))[0]


def short_name(verdict: Verdict, judgement: Judgement) -> str:
    """What stands before ``yes``: the author's short name, else the claim in plain words where
    that is no longer than ``SHORT``; else empty.  A name of our own making (``Smoother``) would be
    read as another claim.
    """
    claim = verdict.claim
    if claim.briefly:
        return claim.briefly.strip().rstrip(".:?!")
    plainly = plain_claim(claim, judgement).rstrip(".!")
    return plainly if len(plainly) <= SHORT and "?" not in plainly else ""


def in_plain_words(text: str, glossary: Glossary) -> tuple[str, tuple[tuple[int, int], ...]]:
    """``text`` with the plain phrase in brackets behind each of its first few trade words.

    Also where the brackets stand in the result, so that a page can mark them.  Units behind a
    number are left alone.
    """
    said: list[str] = []
    marks: list[tuple[int, int]] = []
    at = length = 0
    seen: set[str] = set()
    for hit in finder_for(glossary).find(text):
        if len(marks) == MOST:
            break
        # So far back only: to look at all that stands before takes ever longer.
        before = max(0, hit.start - _BEFORE)
        if hit.entry.term in seen or _COUNTED.search(text, before, hit.start):
            continue
        seen.add(hit.entry.term)
        plain = f" ({hit.entry.plainly})"
        said += [text[at : hit.end], plain]
        length += hit.end - at
        marks.append((length + 1, length + len(plain)))
        length += len(plain)
        at = hit.end
    return "".join(said) + text[at:], tuple(marks)


# What the author says around the findings: first words, a running question, last words, asides.
# A study's own words come before the workspace's, one by one. The running question is answered by
# a claim's verdict, or by the study's answer: the only sentence here that states anything. Or by
# the author, and then it is told as that.

#: What an aside is, before it: each says that it is no finding.
LEADS = {
    "like": "A comparison, no finding.", "guess": "A guess, no finding.",
    "opinion": "An opinion, no finding.",
}  # fmt: skip


def author_words(judgement: Judgement, answers: Mapping[str, str], answer: str) -> AuthorWords:
    """First and last words; ``answers`` says each claim in one breath, ``answer`` the study's.

    Raises DescriptionError for a reference in the study's own words that means nothing.
    """
    study = judgement.study
    own, shared = study.description, study.workspace.settings

    def first(mine: str | None, theirs: str | None) -> str:
        return (fill(mine, judgement) if mine else theirs or "").strip()

    question = first(own.opening.running_question, shared.opening.running_question)
    by, mine = own.ending.answered_by, first(own.ending.answer, None)
    return AuthorWords(
        hook=first(own.opening.hook, shared.opening.hook),
        question=question,
        answer=(answers[by] if by else answer) if question and not mine else "",
        own_answer=mine,
        answered_by=(by or "") if question else "",
        outro=first(own.ending.outro, shared.ending.outro),
        next=first(own.ending.next, shared.ending.next),
        request=first(own.ending.request, shared.ending.request),
        asides=asides(own, judgement),
    )


def asides(
    said: Figure | Claim | Rule | Description, judgement: Judgement
) -> tuple[AsideWords, ...]:
    """The author's comparison, guess and opinion, each under a name that says what it is.

    Raises DescriptionError for a reference that means nothing.
    """
    what, stops = compared(said.like)
    texts: dict[str, Any] = {"like": what, "guess": said.guess, "opinion": said.opinion}
    return tuple(
        AsideWords(kind, LEADS[kind], fill(texts[kind], judgement).strip(),
                   fill(stops, judgement).strip() if kind == "like" else "")
        for kind in ASIDES if texts[kind]
    )  # fmt: skip
