"""The share cards of a study as files: ``cards/page.png`` and ``cards/claim-ID.png``."""

from __future__ import annotations

from explainer.charts.display_list import AXES, DisplayList
from explainer.charts.share import claim_card, page_card
from explainer.charts.stills import small_pngs
from explainer.claims.verdict import STRENGTH, Judgement
from explainer.editions.article import Article

FOLDER = "cards"
PAGE = f"{FOLDER}/page.png"


def claim_path(claim: str) -> str:
    """Where a claim's card lies below its study."""
    return f"{FOLDER}/claim-{claim}.png"


def share_cards(judgement: Judgement, article: Article) -> dict[str, bytes]:
    """Every card as PNG, 1200 by 630 pixels, by path; the same bytes on every run."""
    made_up = "Made-up data · " if article.disclaimer else ""
    kicker = f"{made_up}{article.site_title}"
    counted = {code: count for code, _, count in article.tally}
    tally = tuple((code, counted[code]) for code in reversed(STRENGTH) if code in counted)
    answer = article.headline or article.answer
    plates: dict[str, DisplayList] = {PAGE: page_card(article.question, answer, tally, kicker)}
    for claim in article.claims:
        verdict = judgement.verdict(claim.id)
        kicked = f"{made_up}{article.title}"
        plates[claim_path(claim.id)] = claim_card(
            verdict.code, claim.words, verdict.strip, kicked, claim.words.says
        )
    return {path: small_pngs(plate, "light", (AXES,))[AXES] for path, plate in plates.items()}
