"""Verdicts that a published page gives and this version does not: what moved, and why.

The last published results stand in the site's own folder (``site/STUDY/results.json``), with the
version that wrote them.  Where the data and the description are the same, another verdict comes
from another rule, and its author has to know before readers do.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from explainer.claims.verdict import Judgement, Verdict
from explainer.errors import Problem
from explainer.proof.place import Places
from explainer.study.description.tests import RateDifference
from explainer.study.files import FileFault, read_file, sound_json
from explainer.words.glossary.entries import Glossary

#: A results file larger than this is none of ours.
MAX_BYTES = 20_000_000
#: Where `explainer publish` puts a site unless told otherwise.
SITE = "site"


def verdicts_moved(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """Each claim whose verdict differs from the one on the published page over the same data."""
    before = _published(judgement)
    if before is None or before.get("data_sha256") != _digests(judgement):
        return
    old = {c["id"]: c for c in before["claims"] if isinstance(c, dict) and "id" in c}
    for place, claim in enumerate(judgement.study.description.claims):
        verdict, was = judgement.verdict(claim.id), old.get(claim.id)
        if was is None or was.get("test") != verdict.test.kind:
            continue
        if was.get("verdict") == verdict.code:
            continue
        written = before.get("explainer", "another version")
        yield places.weak(
            ("claims", place, "id"),
            f"the verdict `{verdict.code}` for `{claim.id}`, where the published page says "
            f"`{was.get('verdict')}` (written by {written})",
            "a look at why it moved", _why(verdict, was), "verdict-moved",
        )  # fmt: skip


def _published(judgement: Judgement) -> dict[str, Any] | None:
    """The last published results of this study; None where there are none that can be read."""
    study = judgement.study
    folder = study.workspace.root / SITE / study.id
    if not folder.is_dir():
        return None
    try:
        record = sound_json(read_file(folder, "results.json", MAX_BYTES))
    except (FileFault, ValueError, RecursionError):
        return None
    return record if isinstance(record, dict) and isinstance(record.get("claims"), list) else None


def _digests(judgement: Judgement) -> dict[str, str]:
    return judgement.study.data_sha256


def _why(verdict: Verdict, was: dict[str, Any]) -> str:
    """The reasons that came and went, or the numbers that did."""
    before = set(was.get("reasons") or ())
    came = [r for r in verdict.reasons if r not in before]
    gone = sorted(before - set(verdict.reasons))
    said = [f"new: {', '.join(came)}"] if came else []
    said += [f"no longer: {', '.join(gone)}"] if gone else []
    if was.get("method") != verdict.method and verdict.method:
        said.append(f"worked out by {verdict.method}")
    return f"the page will say so ({'; '.join(said) or 'the rule itself is another one'})"


def keys_changed(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """Keys that once meant something else, with what to write now."""
    claims = judgement.study.description.claims
    if any(c.is_key for c in claims) and not any(
        c.answers_question in (True, "yes") for c in claims
    ):
        place = next(i for i, c in enumerate(claims) if c.is_key)
        yield places.weak(
            ("claims", place, "key"), "`key` without any `answers_question`",
            "`answers_question: yes` on the claims that the question turns on",
            "`key` says which findings are the report's main ones, no longer what is told first",
            "key-changed",
        )  # fmt: skip
    for i, claim in enumerate(claims):
        for j, test in enumerate(claim.all_tests):
            verdict = judgement.verdict(claim.id).each[j]
            if isinstance(test, RateDifference) and getattr(verdict.detail, "n_strata", None):
                key = "tests" if claim.test is None else "test"
                alone = key == "test" and not isinstance(claim.test, tuple)
                path = ("claims", i, key) if alone else ("claims", i, key, j)
                yield places.weak(
                    (*path, "within"), f"`within: {test.within}`, whose parts are strata",
                    f"`tested: {{each: {test.within}}}` if each {test.within} is one of the sample",
                    "what is counted is people, compared within each part", "key-changed",
                )  # fmt: skip
