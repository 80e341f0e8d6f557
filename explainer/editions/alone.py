"""A claim or a figure as a page of its own, small enough to be set into somebody else's page.

No script, no type of its own: letters are the reader's, so that a page weighs a few thousand bytes.
Each says what it is taken from, that its data are made up where they are, and leads back.
"""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Any

from markupsafe import Markup

from explainer.charts.svg import theme_css
from explainer.editions.article import Article
from explainer.editions.own_words import said_whose
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
    return {
        f"{FOLDER}/{place}.html": said_whose(page, folders).encode("utf-8")
        for place, page in pages.items()
    }
