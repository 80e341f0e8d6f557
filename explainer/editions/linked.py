"""What a page says of itself to machines, in schema.org's words: an article about a dataset.

Vocabulary: schema.org Article, Report, Dataset, Claim and ClaimReview.  A verdict is given as its
label only: a number on some scale would claim more than the label does.
"""

from __future__ import annotations

import json
from typing import Any

from explainer.editions.article import Article, ClaimView

REPORT = "#report"
"""What the reviews call the report by."""


def linked_data(article: Article) -> str:
    """JSON-LD fit to stand inside a ``<script type="application/ld+json">``.

    Addresses are absolute where the site has a base address, else relative to the page.
    """
    said = _known({
        "@context": "https://schema.org",
        "@type": "Article",
        "headline": article.title,
        "description": article.description,
        "abstract": " ".join(article.short),
        "inLanguage": article.lang,
        "url": _address(article),
        "datePublished": article.report.published if article.report else "",
        "dateModified": article.updated,
        "isAccessibleForFree": True,
        "publisher": {"@type": "Organization", "name": article.site_title},
        "about": _dataset(article),
        "isBasedOn": _report(article),
        "review": [_review(article, c) for c in article.claims if c.of_report],
    })  # fmt: skip
    # No "<" at all: whatever a study says, it cannot end the element.
    return json.dumps(said, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c")


def _dataset(article: Article) -> dict[str, Any]:
    """The data beside the page; made-up data says so here, too."""
    about = " ".join(text for text in (article.tested, article.disclaimer) if text)
    return _known({
        "@type": "Dataset",
        "name": f"Data behind: {article.title}",
        "description": about,
        "distribution": [
            {"@type": "DataDownload", "contentUrl": _address(article, file.path),
             "encodingFormat": "text/csv"}
            for file in article.downloads
            if file.path.endswith(".csv")
        ],
    })  # fmt: skip


def _report(article: Article) -> dict[str, Any]:
    report = article.report
    if report is None:
        return {}
    publisher = {"@type": "Organization", "name": report.publisher} if report.publisher else {}
    return _known({
        "@type": "Report",
        "@id": REPORT,
        "name": report.title,
        "publisher": publisher,
        "datePublished": report.published,
        "url": report.link,
    })  # fmt: skip


def _review(article: Article, claim: ClaimView) -> dict[str, Any]:
    """One claim of the report and what its data say about it."""
    return _known({
        "@type": "ClaimReview",
        "url": _address(article, f"#claim-{claim.id}"),
        "claimReviewed": claim.report_says,
        "reviewRating": {"@type": "Rating", "alternateName": claim.words.label},
        "itemReviewed": {"@type": "Claim", "appearance": {"@id": REPORT}},
    })  # fmt: skip


def _address(article: Article, place: str = "") -> str:
    return f"{article.address}{place}" if article.address else place


def _known(said: dict[str, Any]) -> dict[str, Any]:
    """Without what is not known."""
    return {name: value for name, value in said.items() if value not in ("", {}, [])}
