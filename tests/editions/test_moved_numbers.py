"""Every number moves in every edition: one study on two scales, one claim of each kind.

Each reading, and each size that the description gives in a measure's unit, is multiplied by a
factor of its measure.  All verdicts stay, so every edition says the same sentences; a number in
them is either stretched alike, or a count, a share, a link or a chance, which no scale changes.  An
edition that keeps a number which the study no longer has is found, as is one that was typed.
The readings are drawn, and nobody's.
"""

from __future__ import annotations

import csv
import json
import math
import re
import sys
from base64 import b64decode
from collections.abc import Iterator
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

from house.test_claim_kinds import sample, write
from sentences.editions import blocks_of
from sentences.test_every_number import METRIC, SAID, numbers_in, stands

from explainer.charts.cards import claim_card
from explainer.claims.judge import judge
from explainer.claims.kinds import ROWS
from explainer.claims.results import results
from explainer.claims.verdict import Judgement
from explainer.editions.article import Article
from explainer.editions.compose import compose
from explainer.editions.embeds import alone_pages
from explainer.editions.fit import Draft
from explainer.editions.handout import figure_image, sheet_html
from explainer.editions.page import render
from explainer.editions.script import compose_script, script_texts
from explainer.study.load import load_study, open_workspace
from explainer.words.glossary.linker import TermLinker
from explainer.words.glossary.of_study import glossary_for
from explainer.words.phrases.sandbox import Concealed
from explainer.words.sheets.handout import say_handout
from explainer.words.sheets.rule_card import say_rule

pytestmark = pytest.mark.slow

#: What each measure's scale is stretched by: neither they nor their ratio look like a new unit.
FACTORS = {"x": 2.7, "y": 1.7, "z": 3.3}
#: A slope may be told for one, ten or a tenth of a step.
TIMES = [f * 10**k for f in (*FACTORS.values(), 1.7 / 2.7) for k in (-1, 0, 1)]
#: Sizes that a test is given in the unit of its measure, and those that are in no such unit.
GIVEN = {"at_least", "at_most", "margin", "value", "within", "limit", "same"}
UNSTRETCHED = {("no-association", "margin"), ("crossing", "within")}
LIMIT = 9.0
#: A guard for so many standard uncertainties (1.645 of them), and the name of a standard.
FIXED = (1.645, 106.0, 2012.0)
#: Where numbers are figures, and where they are words among times and addresses.
PRINTED = ("sheet", "card", "page", "explainer", "alone", "stills", "cards")
SPOKEN = ("script.md", "shorts.md", "captions.vtt", "captions-8-minutes.vtt")

NUMBER = re.compile(r"[−-]?\d(?:[\d,]*\d)?(?:\.\d+)?")
OUTWARDS = re.compile(r"\b(?:leaves|lies outside|balls past|all of them read) [−\d]")
SIZE = re.compile(
    r"(?<!every )(?<!per )\b(?!every|per|the|same|few|in|of)([\d.,]+|[a-z-]+)"
    r" (?:boards?|microinch(?:es)?|µin|cm|mm|µm|inch(?:es)?)\b"
)

Editions = dict[str, list[str]]


def bench(folder: Path, figures: bool = True) -> None:
    """A workspace with one claim of every kind, all asked, all reasons of a rule with a limit."""
    write(folder, [sample(row) for row in ROWS])
    path = folder / "study.yaml"
    said = json.loads(path.read_text("utf-8"))
    said["rule"] |= {"limit": {"measure": "x", "at_least": LIMIT}, "mean_of": 3}
    for claim in said["claims"]:
        claim |= {"answers_question": True, "key": True}
    said["figures"] = [] if not figures else [
        {"id": "use", "kind": "over-use", "table": "t", "y": "y", "group": "model"},
        {"id": "near", "kind": "limit", "table": "t", "y": "x", "at_least": LIMIT, "at": 20},
        {"id": "cloud", "kind": "scatter", "table": "t", "x": "x", "y": "y"},
        {"id": "sides", "kind": "groups", "table": "doses", "y": "z", "by": "dose"},
    ]
    path.write_text(json.dumps(said), "utf-8")


def stretch(folder: Path) -> None:
    """Every reading and every given size on the longer scale of its measure."""
    for path in folder.glob("*.csv"):
        head, *rows = csv.reader(path.read_text("utf-8").splitlines())
        for row in rows:
            for at, name in enumerate(head):
                if name in FACTORS:
                    row[at] = _times(float(row[at]), FACTORS[name])
        path.write_text("\n".join(",".join(map(str, row)) for row in (head, *rows)), "utf-8")
    said = json.loads((folder / "study.yaml").read_text("utf-8"))
    for name, measure in said["measures"].items():
        for key in {"matters_from", "repeatability_sd"} & measure.keys():
            measure[key] = _times(measure[key], FACTORS[name])
    for test in (claim["test"] for claim in said["claims"]):
        factor = FACTORS.get(test.get("measure") or "", 1)
        for key in GIVEN & test.keys():
            if isinstance(test[key], (int, float)) and (test["kind"], key) not in UNSTRETCHED:
                test[key] = _times(test[key], factor)
    said["rule"]["limit"]["at_least"] = _times(LIMIT, FACTORS["x"])
    said["figures"][1]["at_least"] = _times(LIMIT, FACTORS["x"])
    (folder / "study.yaml").write_text(json.dumps(said), "utf-8")


def _times(value: float, factor: float) -> float:
    return round(value * factor, 9)


def lose_one(folder: Path) -> None:
    """The last item of every table never came."""
    for path in folder.glob("*.csv"):
        head, *rows = path.read_text("utf-8").splitlines()
        last = rows[-1].partition(",")[0]
        kept = [row for row in rows if row.partition(",")[0] != last]
        path.write_text("\n".join((head, *kept)), "utf-8")
    path = folder / "study.yaml"
    path.write_text(path.read_text("utf-8").replace('"count": 8', '"count": 7'), "utf-8")


@dataclass(frozen=True)
class Told:
    """What a study says, edition by edition, and its results file."""

    editions: Editions
    results: dict[str, Any]
    codes: list[str]


def told(folder: Path) -> Told:
    """Every edition of a study, passage by passage, with the letters of its drawings."""
    study = load_study(folder, open_workspace(folder.parents[1]))
    settings = study.workspace.settings.model_copy(
        update={"sheet_sides": 2, "base_address": "https://example.org/b"}
    )
    study = replace(study, workspace=replace(study.workspace, settings=settings))
    judgement, folders = judge(study), study.workspace.template_folders
    article, glossary = compose(judgement), glossary_for(study)
    made = {
        **_sheets(judgement),
        "page": list(_visible(render(article, glossary, folders, "screen"))),
        "explainer": list(_visible(render(article, glossary, folders, "print"))),
        "alone": [text for page in alone_pages(article, folders).values()
                  for text in _visible(page.decode("utf-8"))],
        "cards": list(_cards(judgement, article)),
    }  # fmt: skip
    script = compose_script(judgement, article)
    texts = dict(script_texts(script, folders))
    made |= {name: texts[name].splitlines() for name in SPOKEN}
    plates = {id(s.plate): s.plate for s in script.stills.values()}
    made["stills"] = [t.text for plate in plates.values() for t in plate.texts]
    return Told(made, results(judgement), [v.code for v in judgement.verdicts])


def _sheets(judgement: Judgement) -> Editions:
    """Sheet and card with all they might hold, not fitted to paper."""
    study, glossary = judgement.study, glossary_for(judgement.study)
    words = say_handout(judgement, glossary)
    linker = Concealed(TermLinker(glossary, lambda entry: None))
    sheet = sheet_html(
        "handout", study, Draft(words, 11.0), figure=figure_image(judgement, words),
        answer=list(words.poster.answers), answer_size=36, large=False, front=True, back=words,
        back_size=11, linker=linker,
    )  # fmt: skip
    card = sheet_html("rule-card", study, Draft(say_rule(judgement), 11.0), sides=2)
    return {"sheet": list(_visible(sheet)), "card": list(_visible(card))}


def _cards(judgement: Judgement, article: Article) -> Iterator[str]:
    for claim in article.claims:
        v = judgement.verdict(claim.id)
        plate = claim_card(v.code, claim.words, v.strip, "kicker", claim.words.says)
        yield from (text.text for text in plate.texts)


def _visible(html: str) -> Iterator[str]:
    held = re.findall(r'src="data:image/svg\+xml;base64,([^"]*)"', html)
    for svg in (*(b64decode(one).decode() for one in held),
                *re.findall(r"<svg\b.*?</svg>", html, re.DOTALL)):  # fmt: skip
        yield from re.findall(r"<(?:text|title|desc|tspan)\b[^>]*>([^<]+)", svg)
    yield from blocks_of(html)


# What is kept that should have moved --------------------------------------------------------


def pairs_of(a: list[str], b: list[str]) -> list[tuple[str, str]]:
    """Passages of both that are one sentence but for its numbers."""
    masks = [[NUMBER.sub("#", text) for text in side] for side in (a, b)]
    found = SequenceMatcher(None, *masks, autojunk=False).get_matching_blocks()
    return [(a[x + i], b[y + i]) for x, y, size in found for i in range(size)]


def value_of(figures: str) -> tuple[float, float]:
    """A printed number and half its last place."""
    bare = figures.replace(",", "").replace("−", "-")
    return float(bare), 0.5 * 10.0 ** -len(bare.partition(".")[2])


def stretched(a: str, b: str, said: str) -> bool:
    """Whether the second is the first on the longer scale, each rounded as it is printed: ends
    that nothing is past are rounded outwards, by up to a whole step."""
    (one, half), (other, near) = value_of(a), value_of(b)
    steps = 2 if OUTWARDS.search(said) else 1
    return any(abs(other - f * one) <= steps * (f * half + near) + 1e-9 for f in TIMES)


@dataclass(frozen=True)
class Moved:
    """Numbers of the results that another scale changes, and those it does not."""

    gone: list[float]
    kept: list[float]

    def is_stale(self, figures: str) -> bool:
        """Whether a printed number can only be one that is gone."""
        value, half = value_of(figures)
        near = [abs(abs(v) - abs(value)) <= half + 1e-9 for v in self.kept]
        return not any(near) and any(abs(abs(v) - abs(value)) <= half for v in self.gone)


def moved(before: dict[str, Any], after: dict[str, Any]) -> Moved:
    """By place in the results file."""
    gone: list[float] = []
    kept: list[float] = [*FIXED, *SAID, *(float(n) for n in range(27))]  # what is counted

    def walk(a: Any, b: Any) -> None:
        if isinstance(a, dict):
            for key in a.keys() & b.keys():
                walk(a[key], b[key])
        elif isinstance(a, list):
            for one, other in zip(a, b, strict=False):
                walk(one, other)
        else:
            for one, other in zip(numbers_in(a), numbers_in(b), strict=False):
                (kept if math.isclose(one, other, rel_tol=1e-6) else gone).append(one)

    walk({k: v for k, v in before.items() if k != "data_sha256"}, after)
    kept += [100 * share for share in kept if abs(share) <= 1]
    return Moved(gone, kept)


def faults(edition: str, a: list[str], b: list[str], known: Moved) -> Iterator[str]:
    for before, after in pairs_of(a, b):
        if NUMBER.fullmatch(before):
            continue  # the marks of an axis are chosen anew
        for size, again in zip(SIZE.finditer(before), SIZE.finditer(after), strict=False):
            if size[0] == again[0] and size[1].strip("0.,"):
                yield f"{edition}: {size[0]} is kept: {after}"
        if edition in SPOKEN:
            continue
        for one, other in zip(NUMBER.findall(before), NUMBER.findall(after), strict=True):
            if one == other and known.is_stale(one):
                yield f"{edition}: {one} is gone from the results: {after}"
            elif value_of(one)[0] != value_of(other)[0] and not stretched(one, other, after):
                yield f"{edition}: {one} became {other}: {after}"


@pytest.fixture(scope="module")
def before(tmp_path_factory: pytest.TempPathFactory) -> Told:
    folder = tmp_path_factory.mktemp("before") / "studies" / "each"
    bench(folder)
    return told(folder)


@pytest.fixture(scope="module")
def after(tmp_path_factory: pytest.TempPathFactory) -> Told:
    folder = tmp_path_factory.mktemp("after") / "studies" / "each"
    bench(folder)
    stretch(folder)
    return told(folder)


@pytest.mark.seldom
def test_another_scale_changes_no_verdict(before: Told, after: Told) -> None:
    assert before.codes == after.codes
    known = moved(before.results, after.results)
    assert len(known.gone) > 200 and len(known.kept) > 200, (len(known.gone), len(known.kept))


@pytest.mark.parametrize("edition", [*PRINTED, *SPOKEN])
def test_no_edition_keeps_a_number_that_is_gone(before: Told, after: Told, edition: str) -> None:
    a, b = before.editions[edition], after.editions[edition]
    found = list(faults(edition, a, b, moved(before.results, after.results)))
    assert found == []
    assert len(pairs_of(a, b)) > 0.85 * len(a), "too little is told alike"
    assert sum(x != y for x, y in zip(a, b, strict=False)) > 20, "nothing moved"


@pytest.mark.parametrize("edition", ["sheet", "card"])
def test_a_number_that_is_kept_would_be_noticed(before: Told, after: Told, edition: str) -> None:
    """One at a time, each that moved is put back; only what also counts something may hide."""
    known = moved(before.results, after.results)
    planted = noticed = 0
    for old, new in pairs_of(before.editions[edition], after.editions[edition]):
        for one, other in zip(NUMBER.finditer(old), NUMBER.finditer(new), strict=True):
            if one[0] != other[0] and not NUMBER.fullmatch(old):
                kept = f"{new[: other.start()]}{one[0]}{new[other.end() :]}"
                planted += 1
                noticed += any(faults(edition, [old], [kept], known))
    assert planted > 25 and noticed >= 0.8 * planted, (planted, noticed)


def rounded_outwards(figures: str, found: set[float]) -> bool:
    """Whether it is one of them, rounded by up to a whole step."""
    value, half = value_of(figures)
    return any(abs(value - n) <= 2 * half + 1e-9 for n in found)


@pytest.mark.parametrize("edition", ["sheet", "card"])
def test_every_number_on_paper_stands_in_the_results(after: Told, edition: str) -> None:
    """Rounded as it is printed: values alone, whose meaning the other scale has shown."""
    given = (*FIXED, *SAID, *range(27), *FACTORS.values())  # a measure's 1 on its longer scale
    found = {n for n in (*numbers_in(after.results), *given) if math.isfinite(n)}
    lacking = [
        (figures, text) for text in after.editions[edition] if not NUMBER.fullmatch(text)
        for figures in NUMBER.findall(METRIC.sub("", text)) if not stands(figures, found)
        and not (OUTWARDS.search(text) and rounded_outwards(figures, found))
    ]  # fmt: skip
    assert lacking == []


def test_one_item_fewer_is_one_fewer_wherever_items_are_counted(
    before: Told, tmp_path: Path
) -> None:
    folder = tmp_path / "studies" / "each"
    bench(folder, figures=False)
    lose_one(folder)
    fewer = told(folder)
    of_eight = re.compile(r"\b(?:8|eight) (?:\w+ )?balls\b", re.IGNORECASE)
    told_of = {e for e, texts in before.editions.items() if any(map(of_eight.search, texts))}
    assert told_of >= {"sheet", "card", "page", "explainer", "alone", "script.md"}
    kept = [(e, t) for e, texts in fewer.editions.items() for t in texts if of_eight.search(t)]
    assert kept == []
