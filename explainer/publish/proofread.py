"""``explainer proof``: everything wrong or weak in a study, found without writing anything."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from explainer.claims.verdict import Judgement
from explainer.errors import Problem, StudyError
from explainer.study.load import DESCRIPTION, load_study
from explainer.study.model import Study, Workspace
from explainer.words.glossary import Glossary

#: Where a value stands in study.yaml.
Path_ = tuple[str | int, ...]


def proofread(folder: Path, workspace: Workspace) -> tuple[Problem, ...]:
    """Every problem of the study, errors and warnings, in the order to mend them.

    A sound study is also judged, said and set once, so that what shows only there shows here.
    """
    try:
        study = load_study(folder, workspace)
    except StudyError as fault:
        return fault.problems
    from explainer.claims.judge import judge
    from explainer.editions.compose import compose
    from explainer.editions.page import render_page
    from explainer.publish.glossaries import glossary_of

    try:
        judgement, glossary = judge(study), glossary_of(workspace)
        render_page(compose(judgement), glossary, workspace.template_folders)
    except StudyError as fault:
        return (*fault.problems, *study.warnings)
    return (*study.warnings, *_terms(study, glossary), *_prose(study, judgement, glossary))


def _terms(study: Study, glossary: Glossary) -> Iterator[Problem]:
    """Terms of measures that the glossary does not have: the page cannot explain them."""
    for name, measure in study.description.measures.items():
        if measure.term is not None and glossary.find(measure.term) is None:
            near = ", ".join(e.term for e in glossary.nearest(measure.term, 3))
            yield _weak(
                study, ("measures", name, "term"),
                f"the term `{measure.term}`", "a term of the glossary",
                "it stands on the page without an explanation",
                f"nearest: {near}" if near else "",
            )  # fmt: skip


def _prose(study: Study, judgement: Judgement, glossary: Glossary) -> Iterator[Problem]:
    """The author's own words: typed numbers, marks that name no term, links that are not kept."""
    from explainer.words.linker import TermLinker
    from explainer.words.prose import typed_numbers

    for path, text in _own_words(study):
        for number in typed_numbers(text, judgement):
            yield _weak(
                study, path, f"the typed number {number.text}", "a number this data gives",
                "it is shown as it stands",
                f"the nearest is {number.nearest}" if number.nearest else "",
            )  # fmt: skip
        linker = TermLinker(glossary, lambda entry: None)
        linker.prose(text)
        for word in linker.unknown:
            yield _weak(study, path, f"the mark [[{word}]]", "a term of the glossary",
                        "it is shown as plain words")  # fmt: skip
        for address in linker.refused:
            yield _weak(study, path, f"a link to {address[:60]}", "https, http, mailto or #",
                        "only its words are shown")  # fmt: skip


def _own_words(study: Study) -> Iterator[tuple[Path_, str]]:
    """Every text of the author's that a page shows, with its place in the description."""
    said = study.description
    if said.intro:
        yield ("intro",), said.intro
    for i, figure in enumerate(said.figures):
        if figure.say:
            yield ("figures", i, "say"), figure.say
    for i, claim in enumerate(said.claims):
        if claim.plainly:
            yield ("claims", i, "plainly"), claim.plainly
    for i, advice in enumerate(said.advice):
        yield ("advice", i, "do"), advice.do


def _weak(
    study: Study, path: Path_, found: str, expected: str, happens: str, hint: str = ""
) -> Problem:
    line, column = study.places.get(path, (1, 1))
    return Problem(
        DESCRIPTION, line, column, found=found, expected=expected, happens=happens, hint=hint,
        severity="warning",
    )  # fmt: skip
