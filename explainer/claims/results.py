"""The results file: every number unrounded, for whoever wants to check the page."""

from __future__ import annotations

import math
from collections import Counter
from typing import Any

from explainer import __version__
from explainer.claims.figure_data import Walk
from explainer.claims.verdict import STRENGTH, Judgement, OpenQuestion, Verdict
from explainer.study.description.telling import Voice
from explainer.study.model import Table


def results(judgement: Judgement) -> dict[str, Any]:
    """The contract's record: plain types only, None where a number does not exist."""
    study = judgement.study
    record: dict[str, Any] = plain({
        "format": 1,
        "study": study.id,
        "explainer": __version__,
        "invented": study.description.is_invented,
        "data_sha256": study.data_sha256,
        "edition": study.description.edition,
        "corrections": [
            {"date": c.date, "what": c.what, "found_by": c.found_by, "was": c.was}
            for c in sorted(study.description.corrections, key=lambda c: c.date, reverse=True)
        ],
        **_lifted(judgement),
        "thresholds": dict(judgement.thresholds),
        "tables": [_table(t) for t in study.tables.values()],
        "claims": [_claim(v) for v in judgement.verdicts],
        "chain": None if judgement.chain is None else {
            "verdict": judgement.chain.code,
            "weakest": judgement.chain.weakest,
            "links": [
                {"claim": link.claim, "verdict": link.code, "therefore": link.therefore,
                 "step_by": voice(link.said_by) if link.therefore else None}
                for link in judgement.chain.links
            ],
        },
        "rule": _rule(judgement),
        "stated": [
            {"what": s.what, "where": s.where, "stated": s.stated, "recomputed": s.recomputed,
             "agrees": s.agrees, "possible": s.possible,
             **({"over": s.over, "other": s.other} if s.over else {})}
            for s in judgement.stated
        ],
        "questions": [_question(q) for q in judgement.questions],
        "holds_up": _holds_up(judgement),
        "luck": {
            "alone": judgement.luck.alone, "backed": judgement.luck.backed,
            "judged": judgement.luck.judged, "leaning": judgement.luck.leaning,
        },
        "figures": [
            {"id": f.figure.id, "kind": f.figure.kind, "n_items": f.n_items, "n_rows": f.n_rows,
             "findings": [{"kind": x.kind, "numbers": dict(x.numbers)} for x in f.findings],
             **({"walk": _walk(f.walk)} if f.walk is not None else {}),
             **({"stories": [_story(s) for s in f.stories]} if f.stories else {})}
            for f in judgement.figures
        ],
    })  # fmt: skip
    return record


def _walk(walk: Walk) -> dict[str, Any]:
    """A figure item by item: what each did, and the smallest difference its gauge can tell."""
    return {
        "measure": walk.measure, "sees": walk.sees, "left": walk.left,
        "items": [
            {"item": s.item, "did": s.shape, "start": s.start, "end": s.end, "turn": s.turn,
             "at": s.at, "gap": s.gap, "apart": s.rest, "change": s.end - s.start,
             "away": None if s.at is None else s.at - s.start,
             "back": None if s.at is None else s.end - s.at,
             **({"tries": [list(pair) for pair in s.tries]} if s.tries else {}),
             **({"across": list(s.across)} if s.across else {}),
             **({"p": s.p} if s.p is not None else {}),
             **({"ahead": s.ahead} if s.ahead is not None else {})}
            for s in walk.steps
        ],
        **({"sides": list(walk.sides)} if walk.sides else {}),
        **({"across": walk.across, "sees_across": walk.sees_across} if walk.across else {}),
    }  # fmt: skip


def _story(story: Any) -> dict[str, Any]:
    """What one item did between its own ends, and how many of the others went further."""
    return {
        "item": story.item, "measure": story.measure, "from": story.first, "to": story.last,
        "start": story.start, "end": story.end, "change": story.change, "others": story.others,
        "further": story.further, "sees": story.seen,
    }  # fmt: skip


def _holds_up(judgement: Judgement) -> dict[str, int]:
    """How many of the report's own claims got each verdict; other voices do not count for it."""
    counted = Counter(v.code for v in judgement.verdicts if v.claim.of_report)
    return {code: counted[code] for code in reversed(STRENGTH)}


def _rule(judgement: Judgement) -> dict[str, Any] | None:
    """What a reading near the limit can decide, and how this study's own readings stand to it."""
    zone, read = judgement.rule_zone, judgement.rule_readings
    if zone is None:
        return None
    return {
        "measure": zone.measure, "unit": zone.unit, "at_least": zone.at_least,
        "at_most": zone.at_most, "readings": zone.readings, "u": zone.u, "u_from": zone.source,
        "u_checked": zone.checked, "guard": zone.guard, "meets": zone.meets, "misses": zone.misses,
        **({"meets_to": zone.meets_to, "misses_from": zone.misses_from} if zone.both else {}),
        "stands": [
            {"table": s.table, "at": s.at, "n": s.n, "meets": s.meets, "too_close": s.close,
             "misses": s.misses, "guard": s.guard}
            for s in read.stands
        ],
        "operators": [{"name": d.name, "apart": d.apart} for d in read.desks],
    }  # fmt: skip
def _lifted(judgement: Judgement) -> dict[str, Any]:
    """Where in a report the numbers of each file were lifted from; left out where none were."""
    said = {
        t.file: {
            "page": t.lifted.page, "to_page": t.lifted.to_page, "what": t.lifted.what,
            "method": t.lifted.method, "read": t.lifted.read,
            "report_sha256": t.lifted.report.sha256,
            "reading_error": dict(t.lifted.reading_error),
            "axis_error": dict(t.lifted.axis_error),
            "repeated": dict(t.lifted.repeated) or None, "edited": t.edited,
        }
        for t in judgement.study.tables.values() if t.lifted is not None
    }  # fmt: skip
    return {"lifted": said} if said else {}


def _claim(v: Verdict) -> dict[str, Any]:
    record: dict[str, Any] = {
        "id": v.claim.id, "said_by": voice(v.claim.said_by), "test": v.test.kind,
        "verdict": v.code, "reasons": list(v.reasons),
        "estimate": v.estimate, "low": v.low, "high": v.high, "level": v.level, "unit": v.unit,
        "p": v.p, "p_holm": v.p_holm, "n_items": v.n_items, "n_rows": v.n_rows,
        "method": v.method, "extra": v.extra,
    }  # fmt: skip
    if shown := _shown(v):
        record["shown"] = shown
    beside = {k: x for k, x in v.detail.known().items() if k not in v.extra and x != ()}
    if beside:
        record["worked_out"] = beside
    if found := v.detail.design.found():
        record["design"] = found | dict(found.pop("alone", ()))
    if v.power is not None:
        record["power"] = {
            "smallest_effect": v.power.smallest_effect, "items_needed": v.power.items_needed,
            "at_effect": v.power.at_effect,
        }  # fmt: skip
    if v.strip is not None and v.strip.outcomes:
        record["outcomes"] = list(v.strip.outcomes)
    if v.parts:
        record["parts"] = [_claim(p) for p in v.parts]
    return record


def voice(said_by: Voice) -> str | dict[str, str]:
    """Who says it, as study.yaml has it."""
    return said_by if isinstance(said_by, str) else {"other": said_by.other}


def _table(table: Table) -> dict[str, Any]:
    """How many items were read how often, and how many of each group."""
    groups: dict[str, int] = {}
    if table.group is not None and table.group in table.frame:
        first = table.frame.drop_duplicates(table.item)
        groups = Counter(str(g) for g in first[table.group])
    return {
        "table": table.name, "item": table.item, "n_items": len(table.items),
        "n_rows": len(table.frame), "checkpoints": list(table.checkpoints), "groups": groups,
        "reaches": {term: table.checkpoints[-1] / each for term, each in table.use_as
                    if table.checkpoints},
    }  # fmt: skip


def _shown(v: Verdict) -> dict[str, Any] | None:
    """The range that decides and is drawn, where it is another than the one above; in the unit of
    the strip, which is a share for `same-line`."""
    strip = v.strip
    if strip is None or (strip.low, strip.high) in ((v.low, v.high), (None, None)):
        return None
    return {"low": strip.low, "high": strip.high, "level": strip.level}


def _question(q: OpenQuestion) -> dict[str, Any]:
    return {
        "ask": q.ask, "why": q.source, "settled_by": q.settled_by, "claim": q.claim,
        "items_needed": q.items_needed,
    }  # fmt: skip


def plain(value: Any) -> Any:
    """JSON types only; what is not finite becomes None."""
    if isinstance(value, dict):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [plain(v) for v in value]
    if isinstance(value, bool) or value is None or isinstance(value, str | int):
        return value
    number = float(value)
    return number if math.isfinite(number) else None
