"""A number that changes in the data or the description changes in every edition that tells it."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest

from explainer.claims.judge import judge
from explainer.editions.compose import compose
from explainer.editions.handout import render_handout
from explainer.editions.page import render
from explainer.editions.rule_card import render_rule_card
from explainer.editions.script import compose_script, description, render_markdown
from explainer.study.description.rule import Correction
from explainer.study.load import load_study, open_workspace
from explainer.words.glossary.of_study import glossary_for

HOME = Path(__file__).resolve().parents[2]
EDITIONS = ("sheet", "back", "card", "page", "pdf", "script", "description")


def loaded(study: str):
    """An example; that with a rule about texture has a limit of 50 microinches here."""
    read = load_study(HOME / "studies" / study, open_workspace(HOME))
    return limited(50.0)(read) if study == "cover-texture" else read


def texts(pdf: bytes) -> list[str]:
    with pypdfium2.PdfDocument(pdf) as doc:
        return [" ".join(p.get_textpage().get_text_range().split()) for p in doc]


def told(study) -> dict[str, str]:
    """Every edition of a study as text."""
    judgement, glossary = judge(study), glossary_for(study)
    folders = study.workspace.template_folders
    settings = study.workspace.settings.model_copy(update={"sheet_sides": 2})
    both = replace(study, workspace=replace(study.workspace, settings=settings))
    article = compose(judgement)
    script = compose_script(judgement, article)
    front, back = texts(render_handout(judge(both), glossary).pdf)
    said = {
        "sheet": front, "back": back, "card": " ".join(texts(render_rule_card(judgement).pdf)),
        "page": _visible(render(article, glossary, folders, "screen")),
        "pdf": _visible(render(article, glossary, folders, "print")),
        "script": render_markdown(script, folders),
        "description": description(article, script.cuts[-1]),
    }  # fmt: skip
    return {name: text.replace("’", "'").replace("−", "-") for name, text in said.items()}


def _visible(html: str) -> str:
    html = re.sub(r"<(style|script)\b.*?</\1>", " ", html, flags=re.DOTALL)
    html = re.sub(r'data:image/svg\+xml;base64,[^"]*', "", html)
    return " ".join(re.sub(r"<[^>]*>", " ", html).split())


def rougher(study):
    """The same balls, worn down by seven microinches less."""
    table = study.tables["checkpoints"]
    frame = table.frame.copy()
    frame.loc[frame["games"] == 60, "texture"] += 7
    return replace(study, tables={**study.tables, "checkpoints": replace(table, frame=frame)})


def ruled(**changes):
    def change(study):
        rule = study.description.rule.model_copy(update=changes)
        said = study.description.model_copy(update={"rule": rule})
        return replace(study, description=said)

    return change


def limited(value):
    def change(study):
        limit = study.description.rule.limit.model_copy(update={"at_least": value})
        words = f"Covers must read at least {value:g} microinches before league play."
        return ruled(limit=limit, change=words)(study)

    return change


def put_right(study):
    made = Correction.model_validate({
        "date": "2026-06-17", "what": "A column was read twice.",
        "was": {"worn-hooks-less": "backed"},
    })  # fmt: skip
    return replace(study, description=study.description.model_copy(
        update={"corrections": (made,), "edition": None}))  # fmt: skip


#: What changes, what was told before and is told then, and by which editions.
MUTATIONS = {
    "the size of a change": (
        rougher, r"\b22 microinches", r"\b15 microinches",
        ("sheet", "back", "card", "page", "pdf"),
    ),
    "the same, read aloud": (rougher, "twenty-two microinches", "fifteen microinches", ("script",)),
    "the limit": (
        limited(55.0), r"at least 50\b", r"at least 55\b", ("sheet", "back", "card", "page", "pdf"),
    ),
    "the limit, read aloud": (limited(55.0), "at least fifty", "at least fifty-five", ("script",)),
    "the zone": (ruled(u=2.0), r"51\.6", r"53\.3", ("back", "card")),
    "how many readings count": (ruled(mean_of=1), r"51\.6", r"\b53\b", ("back", "card")),
    "a correction": (
        put_right, "No corrections so far", "June 17, 2026", EDITIONS,
    ),
    "a verdict that was another": (
        put_right, "No corrections so far",
        r"was “Backed by this data” before, and is now “Can't tell from this data”",
        ("sheet", "card", "page", "pdf", "script", "description"),
    ),
}  # fmt: skip


@pytest.fixture(scope="module")
def before():
    return told(loaded("cover-texture"))


@pytest.mark.parametrize("name", MUTATIONS)
def test_a_change_shows_wherever_the_number_was_told(before, name):
    change, old, new, editions = MUTATIONS[name]
    after = told(change(loaded("cover-texture")))
    for edition in editions:
        if edition == "back" and name.startswith("a "):
            continue  # corrections stand on the front
        assert re.search(old, before[edition]), (edition, old)
        assert re.search(new, after[edition]), (edition, new)
        assert not re.search(new, before[edition]), (edition, new)


def test_desks_and_tested_balls_on_the_card():
    study = loaded("gauge-check")
    table = study.tables["desks"]
    frame = table.frame.copy()
    frame.loc[frame["desk"] == "Desk two", "hardness"] -= 1.0
    other = replace(study, tables={**study.tables, "desks": replace(table, frame=frame)})
    one, two = (" ".join(texts(render_rule_card(judge(s)).pdf)) for s in (study, other))
    assert "1.1 Shore D points apart" in one
    assert "2.1 Shore D points apart" in two
    table = study.tables["checkin"]
    frame = table.frame.copy()
    frame["hardness"] -= 3.0
    softer = replace(study, tables={**study.tables, "checkin": replace(table, frame=frame)})
    assert "Six of 10 balls would meet" in one
    assert "Six of 10 balls would meet" not in " ".join(texts(render_rule_card(judge(softer)).pdf))
