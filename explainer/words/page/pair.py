"""Two figures side by side, in words: what changes from one to the other is the title."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from explainer.claims.figures.pair import PairResult, measure_of
from explainer.claims.verdict import FigureResult, Judgement
from explainer.words.facts.items import item_word
from explainer.words.page.figures import shown_claim
from explainer.words.phrases.renderer import Teller
from explainer.words.quantity.sizes import tally
from explainer.words.said import ClaimWords, PairWords


def pair_words(
    teller: Teller, judgement: Judgement, pair: PairResult, claims: Mapping[str, ClaimWords]
) -> PairWords:
    """The title and how the two are to be read beside each other."""
    facts: dict[str, Any] = {
        **{f"{key}_1": value for key, value in _facts(judgement, pair.first, claims).items()},
        **{f"{key}_2": value for key, value in _facts(judgement, pair.second, claims).items()},
        "differs": pair.differs, "one_scale": pair.one_scale, "corner": pair.corner,
    }  # fmt: skip
    about = pair.under
    return PairWords(
        title=teller.tell([f"pair.title.{pair.differs}"], facts, about=about).removesuffix("."),
        scale=teller.tell(["pair.scale"], facts, about=about),
    )


def _facts(
    judgement: Judgement, result: FigureResult, claims: Mapping[str, ClaimWords]
) -> dict[str, Any]:
    study = judgement.study
    table = study.tables[result.figure.table]
    verdict = shown_claim(judgement, result)
    measure = measure_of(result)
    picked = [str(value) for value in (result.figure.only or {}).values()]
    return {
        "term": (study.term(measure) if measure in study.description.measures
                 else measure.replace("_", " ")),
        "balls": tally(result.n_items, item_word(study, table)),
        "rows": ", ".join(picked) or table.source or table.name,
        "label": claims[verdict.claim.id].label.lower() if verdict is not None else "",
        "code": verdict.code if verdict is not None else "",
    }  # fmt: skip
