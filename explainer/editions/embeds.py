"""What a study gives to other people's pages: claims and figures alone, and share cards.

A page of one claim or figure has no script and no type of its own: letters are the reader's, so
that it weighs a few thousand bytes.  Each says what it is taken from, that its data are made up
where they are, and leads back.
"""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Any

from markupsafe import Markup

from explainer.charts.cards import claim_card, page_card
from explainer.charts.display_list import AXES, DisplayList
from explainer.charts.stills import small_pngs
from explainer.charts.svg import theme_css
from explainer.claims.verdict import STRENGTH, Judgement
from explainer.editions.article import Article
from explainer.editions.own_words import own_templates, said_whose
from explainer.editions.policy import style_policy
from explainer.editions.templates import environment, safe_source, template_faults

FOLDER = "alone"


def alone_pages(article: Article, folders: tuple[Path, ...]) -> dict[str, bytes]:
    """``alone/claim-ID.html`` for every claim and ``alone/fig-ID.html`` for every figure, by path.

    Raises WorkspaceError where a template is faulty.
    """
    with template_faults(folders):
        css = f"{theme_css()}\n{safe_source(folders, 'alone.css')}"
        template = environment(folders).get_template("alone.html.j2")
        whole = partial(
            template.render, article=article, css=Markup(css), policy=style_policy(css),
            medium="screen",
        )  # fmt: skip
        parts: dict[str, dict[str, Any]] = {
            f"claim-{claim.id}": {"claim": claim, "figure": None} for claim in article.claims
        }
        parts |= {f"fig-{figure.id}": {"claim": None, "figure": figure}
                  for figure in article.figures}  # fmt: skip
        pages = {place: whole(place=place, **part) for place, part in parts.items()}
    names = own_templates(folders)
    return {
        f"{FOLDER}/{place}.html": said_whose(page, names).encode("utf-8")
        for place, page in pages.items()
    }


# The share cards of a study as files: ``cards/page.png`` and ``cards/claim-ID.png``.

CARDS = "cards"
PAGE_CARD = f"{CARDS}/page.png"


def claim_path(claim: str) -> str:
    """Where a claim's card lies below its study."""
    return f"{CARDS}/claim-{claim}.png"


def share_cards(judgement: Judgement, article: Article) -> dict[str, bytes]:
    """Every card as PNG, 1200 by 630 pixels, by path; the same bytes on every run."""
    made_up = "Made-up data · " if article.disclaimer else ""
    kicker = f"{made_up}{article.site_title}"
    counted = {code: count for code, _, count in article.tally}
    tally = tuple((code, counted[code]) for code in reversed(STRENGTH) if code in counted)
    answer = article.headline or article.answer
    plates: dict[str, DisplayList] = {PAGE_CARD: page_card(article.question, answer, tally, kicker)}
    for claim in article.claims:
        verdict = judgement.verdict(claim.id)
        kicked = f"{made_up}{article.title}"
        plates[claim_path(claim.id)] = claim_card(
            verdict.code, claim.words, verdict.strip, kicked, claim.words.says
        )
    return {path: small_pngs(plate, "light", (AXES,))[AXES] for path, plate in plates.items()}
