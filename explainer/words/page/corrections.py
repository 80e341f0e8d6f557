"""Which edition a reader holds, and what was put right in it: told alike in every edition."""

from __future__ import annotations

from explainer.claims.verdict import STRENGTH, Judgement
from explainer.study.description.rule import Correction
from explainer.words.page.prose import fill, plain_claim
from explainer.words.phrases.renderer import Teller, stopped
from explainer.words.quantity.numbers import count_words
from explainer.words.quantity.when import day_words
from explainer.words.said import CorrectionWords, EditionWords


def edition_words(teller: Teller, judgement: Judgement) -> EditionWords:
    """The edition's day and its corrections, newest first.  Raises as ``say`` does.

    The day is the author's ``edition``, else that of the latest correction; no clock is asked, so
    that the same study gives the same bytes on any day.
    """
    said = judgement.study.description
    newest = sorted(said.corrections, key=lambda c: c.date, reverse=True)
    corrected = newest[0].date if newest else ""
    day = said.edition or corrected
    facts = {
        "day": day_words(day), "corrected": day_words(corrected), "n": len(newest),
        "report": day_words(said.report.date) if said.report else "",
        "count": count_words(len(newest)),
    }  # fmt: skip
    return EditionWords(
        day=day,
        corrected=corrected,
        line=teller.tell(["edition.line"], facts, about="edition"),
        stale=teller.tell(["edition.stale"], facts, about="edition") if newest else "",
        corrections=tuple(_correction(teller, judgement, c) for c in newest),
    )


def _correction(teller: Teller, judgement: Judgement, made: Correction) -> CorrectionWords:
    before = made.was if isinstance(made.was, str) else ""
    known = before in STRENGTH
    label = teller.fragment([f"label.{before}"], {}, about=made.date) if known else ""
    facts = {
        "day": day_words(made.date), "what": stopped(fill(made.what, judgement).strip()),
        "found_by": stopped(fill(made.found_by or "", judgement).strip()),
        "before": stopped(f"“{label}”" if label else fill(before, judgement).strip()),
    }  # fmt: skip
    return CorrectionWords(
        date=made.date,
        day=facts["day"],
        says=teller.tell(["correction.one"], facts, about=made.date),
        changed=_changed(teller, judgement, made),
    )


def _changed(teller: Teller, judgement: Judgement, made: Correction) -> tuple[str, ...]:
    """One sentence for each verdict that the author says was another before."""
    if not isinstance(made.was, dict):
        return ()
    said = []
    for id, was in made.was.items():
        verdict = judgement.verdict(id)
        labels = {
            name: teller.fragment([f"label.{code}"], {}, about=id)
            for name, code in (("was", was), ("now", verdict.code))
        }
        facts = {
            **labels, "same": was == verdict.code,
            "plainly": plain_claim(verdict.claim, judgement).rstrip("."),
        }  # fmt: skip
        said.append(teller.tell(["correction.verdict"], facts, about=id, stream="corrections"))
    return tuple(said)
