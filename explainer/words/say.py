"""Stage 4's sentences: a judgement in words for one audience."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from types import MappingProxyType
from typing import TypeVar

from explainer.claims.verdict import Judgement
from explainer.words.facts.zone import limits_told
from explainer.words.page.claims import claim_words, which_read
from explainer.words.page.figures import figure_words
from explainer.words.page.headline import asked, headline, scope_of_page
from explainer.words.page.study import claims_told, study_words
from explainer.words.phrases.book import AUDIENCES as AUDIENCES, numbers_of, teller_for
from explainer.words.quantity.everyday import load_everyday
from explainer.words.quantity.systems import Ways, retold, written
from explainer.words.said import StudyWords

T = TypeVar("T")


def say(judgement: Judgement, audience: str = "viewer") -> StudyWords:
    """Every sentence a page, sheet, card or script shows.

    ``audience`` is ``viewer``, ``league`` or ``coach``.  The same judgement and templates give
    the same words.  Raises WorkspaceError for a faulty phrase (file and line) and DescriptionError
    for a reference in the author's prose that means nothing.
    """
    if audience not in AUDIENCES:
        raise ValueError(f"audience {audience!r}, expected one of {', '.join(AUDIENCES)}")
    study = judgement.study
    teller = teller_for(judgement, audience)
    things = load_everyday(study.workspace.template_folders)
    claims = {v.claim.id: claim_words(teller, judgement, v) for v in judgement.verdicts}
    for id, text in which_read(teller, judgement).items():
        claims[id] = replace(claims[id], which=text)
    said = study_words(
        teller,
        judgement,
        claims=claims,
        figures={
            f.figure.id: figure_words(teller, judgement, f, things) for f in judgement.figures
        },
    )
    facts = claims_told(teller, judgement, claims)
    top = replace(
        said,
        headline=headline(teller, judgement, facts),
        scope=scope_of_page(teller, judgement, asked(judgement, facts)) if claims else "",
    )
    return in_first_units(judgement, top)


def in_first_units(
    judgement: Judgement, words: T, ways: Ways = MappingProxyType({}), drawn: Iterable[type] = ()
) -> T:
    """``words`` in the units that the workspace puts first (metric, or as the study has them), with
    numbers as the language spoken writes them.  ``drawn``: see ``retold.written``."""
    if judgement.study.workspace.settings.units_first == "metric":
        words = retold(
            words, "metric", limits_told(judgement), ways, numbers_of(judgement)
        )
    return written(words, drawn)
