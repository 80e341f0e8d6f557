"""One study into files: from its folder to everything that lies under ``site/<study>/``."""

from __future__ import annotations

import json
from collections.abc import Collection
from dataclasses import replace

from explainer.claims.judge import judge
from explainer.claims.results import results
from explainer.claims.verdict import Judgement
from explainer.editions.article import Article
from explainer.editions.compose import compose
from explainer.editions.embeds import PAGE_CARD as CARD, alone_pages, share_cards
from explainer.editions.handout import SheetMade, render_handout
from explainer.editions.page import render_page
from explainer.editions.pdf import paper_lacks
from explainer.editions.press import render_pdf
from explainer.editions.rule_card import render_rule_card
from explainer.editions.script import DOWNLOADS, compose_script, script_files
from explainer.errors import Problem
from explainer.publish.commands import EDITIONS, KIT
from explainer.publish.data import data_files
from explainer.publish.manifest import Built, Listing
from explainer.publish.ties import ties_of
from explainer.study.model import Study
from explainer.words.glossary.entries import Glossary
from explainer.words.glossary.of_study import glossary_for
from explainer.words.phrases.book import defects_of

PRINTED = "explainer.pdf"
#: Editions that are PDFs, and the file of each.
ON_PAPER = {"page": PRINTED, "handout": "handout.pdf", "rule-card": "rule-card.pdf"}


def build_study(study: Study, editions: Collection[str] | None = None) -> Built:
    """The files of one study, in memory; the same study gives the same bytes.

    The page itself and the numbers are always made; ``editions``, the study's own where it
    is None, say what goes with them, and the page leads to nothing else.  Where the PDFs cannot be
    made here, all else is, and what is lacking is said; such a study is built again each time,
    until they can.  Raises StudyError for
    what only shows when the study is judged, said or drawn.
    """
    if editions is None:
        editions = study.description.editions
    lacks = paper_lacks() if ON_PAPER.keys() & set(editions) else ""
    if lacks:
        editions = [edition for edition in editions if edition not in ON_PAPER]
    judgement = judge(study)
    glossary = glossary_for(study)
    article = compose(judgement)
    article = replace(article, downloads=(*article.downloads, *DOWNLOADS))
    sheets = paper(judgement, glossary, editions)
    script: dict[str, bytes] = {}
    unfit: tuple[Problem, ...] = ()
    if {"script", KIT} & set(editions):
        talk = compose_script(judgement, article)
        script = script_files(talk, study.workspace.template_folders)
        unfit = talk.recorded.problems if talk.recorded is not None else ()
        if KIT in editions:
            from explainer.editions.kit import kit_files  # only who asks for a kit pays for it

            script |= kit_files(talk, judgement)
    files = {**{name: sheet.pdf for name, sheet in sheets.items()}, **script, **numbers(judgement)}
    files |= share_cards(judgement, article)
    article = replace(
        article,
        still=CARD,
        downloads=tuple(
            d for d in article.downloads
            if d.path in files or (d.path == PRINTED and "page" in editions)
        ),
    )  # fmt: skip
    left_out = tuple(problem for sheet in sheets.values() for problem in sheet.left_out)
    warnings = (*left_out, *unfit, *defects_of(judgement))
    made = {**pages(article, glossary, study, editions), **files}
    read = {} if lacks else dict(study.sha256)
    return Built(listing(article, study), made, warnings, read, lacks)


def pages(
    article: Article, glossary: Glossary, study: Study, editions: Collection[str] = EDITIONS
) -> dict[str, bytes]:
    """The page and, where wanted, the same on paper."""
    folders = study.workspace.template_folders
    made = {"index.html": render_page(article, glossary, folders).encode("utf-8")}
    made |= alone_pages(article, folders)
    if "page" in editions:
        made[PRINTED] = render_pdf(article, glossary, folders)
    return made


def paper(
    judgement: Judgement, glossary: Glossary, editions: Collection[str] = EDITIONS
) -> dict[str, SheetMade]:
    """The sheets for a noticeboard and, where there is a rule, for a coach."""
    made: dict[str, SheetMade | None] = {}
    if "handout" in editions:
        made[ON_PAPER["handout"]] = render_handout(judgement, glossary)
    if "rule-card" in editions:
        made[ON_PAPER["rule-card"]] = render_rule_card(judgement)
    return {name: sheet for name, sheet in made.items() if sheet is not None}


def numbers(judgement: Judgement) -> dict[str, bytes]:
    """The editions machines read."""
    data = data_files(judgement.study, judgement.figures)
    said = json.dumps(results(judgement), ensure_ascii=False, indent=1, allow_nan=False)
    return {"results.json": (said + "\n").encode("utf-8"), **data}


def listing(article: Article, study: Study) -> Listing:
    """What the front page says of a study."""
    put_right = tuple((made.day, made.whole) for made in article.corrections)
    ties = ties_of(article, study.description)
    return Listing(
        id=article.id,
        title=article.title,
        question=article.question,
        answer=article.answer,
        invented=bool(article.disclaimer),
        claims=tuple((c.words.plainly, c.words.label) for c in article.claims),
        ties=replace(ties, edition=article.edition.line, corrections=put_right),
    )
