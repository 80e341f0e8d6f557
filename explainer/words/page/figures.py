"""A figure in sentences: its answer as a title, the four explanations, axes and callouts."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from math import isclose
from typing import Any

from explainer.claims.figure_data import Walk, WalkStep, WalkSum, Yardstick
from explainer.claims.figures.pair import PairResult, measure_of
from explainer.claims.figures.stories import Story
from explainer.claims.kinds import kind_of, shown_by
from explainer.claims.verdict import FigureResult, Judgement, Verdict
from explainer.study.description.rule import Claim
from explainer.study.model import Study, Table
from explainer.words.facts import comparatives as ways
from explainer.words.facts.claim import shown
from explainer.words.facts.figure import figure_facts
from explainer.words.facts.items import item_word, named
from explainer.words.facts.relations import subs
from explainer.words.page.claims import claim_facts, some_only
from explainer.words.phrases.renderer import Teller
from explainer.words.quantity.everyday import Things
from explainer.words.quantity.numbers import (
    bare,
    count_words,
    fixed,
    nearest,
    place_beside,
    plural_of,
    quantity,
    rounded,
    told_apart,
    unit_words,
)
from explainer.words.quantity.numerals import cardinal
from explainer.words.quantity.sizes import (
    Sized,
    gap_unit,
    level,
    listed,
    number,
    reading,
    tally,
    with_unit,
)
from explainer.words.quantity.systems import told_unit
from explainer.words.quantity.when import past
from explainer.words.said import ClaimWords, FigureWords, PairWords
from explainer.words.sentence import joined

# A figure item by item, in sentences: each held to what the gauge behind it can tell.

Facts = dict[str, Any]


def walk_words(teller: Teller, result: FigureResult, study: Study) -> tuple[str, ...]:
    """One sentence or two for each item, in turn; empty where the author asked for no walk."""
    if result.walk is None:
        return ()
    return tuple(_told_steps(teller, result, study, result.walk))


def _told_steps(teller: Teller, result: FigureResult, study: Study, walk: Walk) -> Iterator[str]:
    table = study.tables[result.figure.table]
    for place, step in enumerate(walk.steps):
        facts = {**walk_facts(walk, step, study, table), "first": place == 0}
        about = f"{result.figure.id}.{step.item}"
        said = teller.tell([f"walk.{step.shape}"], facts, about=about, stream="walk")
        odd = teller.tell(["walk.odd"], facts, about=about) if step.odd else ""
        yield f"{said} {odd}".strip()
    if walk.left:
        items = plural_of(item_word(study, table))
        known = {"n": walk.left, "count": count_words(walk.left), "items": items}
        yield teller.tell(["walk.more"], known, about=result.figure.id)
    if walk.whole is not None:
        yield teller.tell(["walk.sum"], sum_facts(walk, walk.whole, study, table),
                          about=result.figure.id)  # fmt: skip


#: Named where so many were the first; more are counted.
MOST_FIRST = 3


def sum_facts(walk: Walk, whole: WalkSum, study: Study, table: Table) -> Facts:
    """What a phrase about a whole walk may say."""
    item = item_word(study, table)
    few = 0 < len(whole.first) <= MOST_FIRST and len(whole.first) < whole.n
    rates = bool(walk.sides)
    return {
        "n": whole.n, "items": plural_of(item), "sign": whole.sign, "rates": rates,
        "went": "all" if whole.went == whole.n else number(whole.went), "went_value": whole.went,
        "surely": number(whole.surely), "surely_value": whole.surely,
        "balls": tally(whole.n, item), "known": rates or walk.sees is not None,
        "partly": not rates and whole.n < len(walk.steps) + walk.left,
        "against": named(item, whole.against[0]) if len(whole.against) == 1 else "",
        "furthest": named(item, whole.furthest) if whole.furthest and not rates else "",
        "clear": whole.clear,
        "first": listed([named(item, i) for i in whole.first]) if few else "",
        "first_by": past(table, whole.first_by) if few and whole.first_by is not None else "",
        **ways.moves(whole.sign or 1),
    }  # fmt: skip


def walk_facts(walk: Walk, step: WalkStep, study: Study, table: Table) -> Facts:
    """What a phrase about one item may say; ``…_value`` are numbers for its condition."""
    if step.tries:
        return _tried_facts(walk, step, study, table)
    unit = study.measure(walk.measure).unit
    apart = gap_unit(unit)

    def size(value: float | None) -> str | None:
        return None if value is None else Sized(abs(value), None, None, apart).size

    item = item_word(study, table)
    total = step.end - step.start
    away = None if step.at is None else step.at - step.start
    back = None if step.at is None else step.end - step.at
    return {
        "who": named(item, step.item), "item": item, "items": plural_of(item), "odd": step.odd,
        "term": study.term(walk.measure),
        "start": level(step.start, unit, nearest(step.start, walk.limits)),
        "end": level(step.end, unit, nearest(step.end, walk.limits)),
        "at": None if step.at is None else level(step.at, unit),
        "turn": None if step.turn is None else past(table, step.turn),
        "size": size(total), "away": size(away), "back": size(back), "sees": size(walk.sees),
        "gap": size(step.gap), "call": step.call, "shape": step.shape,
        "total_value": abs(total), "rest_value": step.rest, "gap_value": step.gap,
        "away_value": abs(away or 0.0), "back_value": abs(back or 0.0),
        "sees_value": walk.sees, "p": step.p, "ahead": step.ahead,
        **ways.moves(-1 if (away or total) < 0 else 1),
        **(_across_facts(walk, step, study) if step.across else {}),
    }  # fmt: skip


def _tried_facts(walk: Walk, step: WalkStep, study: Study, table: Table) -> Facts:
    """Of whoever made so many of so many, first under one condition and then under the other."""
    (made, tried), (made_after, tried_after) = step.tries
    item = item_word(study, table)
    first, last = walk.sides
    return {
        "who": named(item, step.item), "item": item, "items": plural_of(item), "shape": step.shape,
        "odd": step.odd, "a": first, "b": last, "made": number(made), "tried": number(tried),
        "made_after": number(made_after), "tried_after": number(tried_after),
        "gap_value": step.end - step.start,
    }  # fmt: skip


def _across_facts(walk: Walk, step: WalkStep, study: Study) -> Facts:
    """The same of the measure along the bottom."""
    assert step.across is not None
    unit = study.measure(walk.across).unit
    start, end = step.across
    return {
        "x_term": study.term(walk.across), "x_start": level(start, unit), "x_end": level(end, unit),
        "x_value": abs(end - start), "x_sees_value": walk.sees_across,
    }  # fmt: skip


#: Most callouts on one figure, and the order in which they are wanted.
MOST_CALLOUTS = 3
CALLOUTS = ("early-step", "change", "odd-item", "one-item", "worst-item")


def figure_words(
    teller: Teller, judgement: Judgement, result: FigureResult, things: Things
) -> FigureWords:
    """Every word of one figure."""
    known = figure_known(teller, judgement, result, things)
    kind, about = result.figure.kind, result.figure.id

    def part(name: str) -> str:
        return teller.tell([f"{kind}.{name}"], known, about=about, stream=name)

    def label(name: str) -> str:
        return teller.fragment([f"{kind}.{name}"], known, about=about)

    return FigureWords(
        title=result.figure.title or title(teller, judgement, result, known),
        looking_at=part("looking"),
        how_to_read=part("how"),
        shows=part("shows"),
        cannot_show=part("cannot"),
        description=part("description"),
        **_axes(result, judgement, label),
        callouts=callouts(teller, result, known),
        note=label("note"),
        lines=known.get("short_names", ()),
        stories=_stories(teller, judgement.study, result),
        walk=walk_words(teller, result, judgement.study),
        yardstick=None
        if result.yardstick is None
        else yardstick_words(
            teller, result.yardstick, about, judgement.study.description.is_invented
        ),
    )


def figure_known(
    teller: Teller, judgement: Judgement, result: FigureResult, things: Things
) -> dict[str, Any]:
    """What the phrases of one figure may use, with what they owe to the claim it shows."""
    return {
        **figure_facts(result, judgement.study, things),
        "open_claim": _open_claim(judgement, result, _SAME.get(result.figure.kind, ())),
        "inner_open": _open_claim(judgement, result, ("tracks-within",)),
        **_claimed_range(shown_claim(judgement, result), result),
        **_windows(teller, judgement, result),
        "held": _held_alike(teller, judgement, result),
        "line_elsewhere": _line_elsewhere(judgement, result),
    }


def title(
    teller: Teller, judgement: Judgement, result: FigureResult, known: Mapping[str, Any]
) -> str:
    """The figure's answer at the strength of the claim it shows, or of its own range."""
    kind, about = result.figure.kind, result.figure.id
    verdict = shown_claim(judgement, result)
    names = [f"{kind}.title"]
    if verdict is not None:
        with_claim = {**known, **claim_facts(teller, judgement, verdict)}
        head = f"title.{verdict.test.kind}.{verdict.code}"
        of_claim = [f"{head}.{sub}" for sub in subs(verdict)] + [head]
        # A figure's own title speaks of the figure's facts: a claim's bear the same names.
        if teller.may(with_claim, *of_claim):
            said = teller.tell(of_claim, with_claim, about=about, stream="title").removesuffix(".")
            return _of_which(said, verdict, result, with_claim)
    return teller.tell(names, known, about=about, stream="title").removesuffix(".")


def _of_which(
    said: str, verdict: Verdict, result: FigureResult, known: Mapping[str, Any]
) -> str:
    """A title after a claim, with whom that is about and over what where the figure draws more."""
    some = some_only(verdict) if verdict.test.only != result.figure.only else ""
    drawn, over = getattr(result.data, "checkpoints", ()), known.get("over") or ""
    ends = [getattr(verdict.test, key, None) for key in ("from_", "to")]
    whole = None in ends or not drawn or ends == [drawn[0], drawn[-1]]
    told = [part for part in (some, "" if whole or over.lower() in said.lower() else over) if part]
    return joined("", (said, " (", joined(", ", told), ")")) if told else said


def _stories(
    teller: Teller, study: Study, result: FigureResult
) -> tuple[tuple[str, str, str], ...]:
    """Every item followed: each says how many went further, which a reader may count in what is
    printed, so the changes of one measure keep the digits that tell them apart."""
    ends: dict[str, list[tuple[float, float]]] = {}
    for told in result.stories:
        ends.setdefault(told.measure, []).append((told.start, told.end))
    places = {measure: place_beside(pairs) for measure, pairs in ends.items()}
    return tuple(_story(teller, study, result, s, places[s.measure]) for s in result.stories)


def _story(
    teller: Teller, study: Study, result: FigureResult, told: Story, place: int
) -> tuple[str, str, str]:
    """One item followed: its name as the table has it, what it did, and how that is to be taken."""
    measure, table = study.measure(told.measure), _table_of(study, result)
    first, last, apart = told_apart(told.start, told.end, place)
    if told.strayed is not None:
        last, strayed, _ = told_apart(told.end, told.strayed, place)
    start, end = bare(first, measure.unit), reading(last, measure.unit)
    change = Sized(told.change, None, None, gap_unit(measure.unit))
    ends = (table.checkpoints[0], table.checkpoints[-1]) if table.checkpoints else ()
    way = (measure.less_is if told.change < 0 else measure.more_is) or ""
    facts = {
        "name": named(table.item, told.item), "term": study.term(told.measure), "way": way,
        "from_": past(table, told.first), "to": past(table, told.last),
        "start": start, "end": end, "still": change.vanishes,
        "size": with_unit(apart, change.unit),
        "fell": told.change < 0, "rose": told.change > 0,
        "strayed": "" if told.strayed is None else bare(strayed, measure.unit),
        "strayed_up": told.strayed is not None and told.strayed > told.start,
        "strayed_too": "" if told.strayed_too is None else bare(
            told_apart(told.end, told.strayed_too, place)[1], measure.unit),
        "against": told.against,
        "level": told.start == told.end, "within": "" if (told.first, told.last) == ends
        else f" from {past(table, told.first)} to {past(table, told.last)}",
        "others": told.others, "further": told.further, "items": plural_of(table.item),
        # Of a figure some items may have one end alone: those are none of the others.
        "read": " drawn at both of these" if told.others < result.n_items - 1 else "",
        "others_told": cardinal(told.others), "further_told": cardinal(told.further),
        "seen": None if told.seen is None
        else Sized(told.seen, None, None, gap_unit(measure.unit)).rough,
        "past_gauge": told.seen is not None and abs(told.change) > told.seen,
    }  # fmt: skip
    about = f"{result.figure.id}.{told.item}"
    return (
        told.item, teller.tell(["story.path"], facts, about=about),
        " ".join(teller.tell([name], facts, about=about)
                 for name in ("story.others", "story.gauge") if teller.may(facts, name)),
    )  # fmt: skip


def _windows(teller: Teller, judgement: Judgement, result: FigureResult) -> dict[str, str]:
    """Where the claim goes by windows and the figure's ends are single checkpoints: both, named."""
    none = {"windows": "", "ends_told": ""}
    verdict, table = shown_claim(judgement, result), _table_of(judgement.study, result)
    if verdict is None or not table.checkpoints or table.order is not None:
        return none
    if not isinstance(getattr(verdict.test, "from_", None), tuple):
        return none
    ends = listed([past(table, table.checkpoints[0]), past(table, table.checkpoints[-1])])
    return {"windows": str(claim_facts(teller, judgement, verdict).get("over") or ""),
            "ends_told": ends}  # fmt: skip


def _held_alike(teller: Teller, judgement: Judgement, result: FigureResult) -> str:
    """What the claim holds alike; the figure under it draws all as it was read."""
    verdict = shown_claim(judgement, result)
    if verdict is None or verdict.test.kind != "association":
        return ""
    return str(claim_facts(teller, judgement, verdict)["given"])


def _line_elsewhere(judgement: Judgement, result: FigureResult) -> bool:
    """Whether a claim on these two measures has a line between items that is not the figure's."""
    drawn = (getattr(result.figure, "x", None), getattr(result.figure, "y", None))
    return any(
        getattr(part.detail, "line_own", False)
        and (getattr(part.test, "x", None), getattr(part.test, "y", None)) == drawn
        for verdict in judgement.verdicts for part in verdict.each
    )  # fmt: skip


def _table_of(study: Study, result: FigureResult) -> Table:
    """The table whose checkpoints a figure's stories run over."""
    y = getattr(result.figure, "y", None)
    return study.tables[getattr(y, "table", None) or result.figure.table]


#: The kinds of claim that say what a figure's own title says, by the kind of figure.
_SAME = {
    "over-use": ("change", "trend", "no-change"), "shot-series": ("trend",),
    "scatter": ("association",), "groups": ("difference",), "rates": ("rate-difference",),
}  # fmt: skip
#: What makes a claim one of another size than a title speaks of.
_SIZED = ("at_least", "about", "strong")


def _open_claim(judgement: Judgement, result: FigureResult, kinds: tuple[str, ...]) -> bool:
    """Whether some claim of these kinds on what is drawn, that it is so or not, is not settled."""
    return any(
        part.code in ("leans", "cannot-tell") and part.test.kind in kinds
        and _of_what(part.test) == _of_what(result.figure)
        and getattr(part.test, "table", None) in (None, result.figure.table)
        and not any(getattr(part.test, key, None) for key in _SIZED)
        for verdict in judgement.verdicts for part in verdict.each
    )  # fmt: skip


def _of_what(told: Any) -> tuple[Any, ...]:
    """The measures or counts that a figure or a test is of, and the column that sorts them."""
    measure = getattr(told, "measure", None) or getattr(told, "y", None)
    return measure, *(getattr(told, key, None) for key in ("x", "successes", "attempts", "by"))


def shown_claim(judgement: Judgement, result: FigureResult) -> Verdict | None:
    """The claim whose answer this figure carries: tested, and of a kind it can show."""
    wanted = shown_by(result.figure.kind)
    if getattr(result.figure, "joined", False):
        wanted = ("tracks-within", "same-line", *wanted)
    shown = [
        part
        for v in judgement.verdicts
        if v.claim.id in result.claims
        for part in v.each
        if part.test.kind in wanted and part.code != "not-tested"
        if kind_of(part).calls or _has_answer(part)
    ]
    # What is compared by the column that the figure sorts by before what is compared by another:
    # else the title would speak of sides that nobody sees.
    sorts = getattr(result.figure, "by", None)
    seen = [v for v in shown if getattr(v.test, "by", None) in (None, sorts)]
    shown = seen if sorts is not None and result.figure.kind == "rates" else shown
    # The report's own before anybody else's, whatever the kind.
    return min(
        shown, key=lambda v: (not v.claim.of_report, wanted.index(v.test.kind)), default=None
    )


def _has_answer(part: Verdict) -> bool:
    """An estimate with its range; of a gauge read by too few for a range, the estimate alone."""
    return part.estimate is not None and (part.low is not None or part.test.kind == "repeatability")


def _claimed_range(verdict: Verdict | None, result: FigureResult) -> dict[str, str]:
    """The range of the same change as its claim of no change gives it, by its own name.

    Such a claim rests on a 90% range (two one-sided tests); a 95% one beside it would read as a
    second answer.
    """
    found = {x.kind: x.numbers for x in result.findings}.get("change", {})
    change, said = found.get("change"), {"claim_range": ""}
    if verdict is None or verdict.test.kind != "no-change" or verdict.estimate is None:
        return said
    if not isinstance(change, float) or not isclose(change, verdict.estimate, abs_tol=1e-9):
        return said
    sized = shown(verdict)
    if not sized.ranged:
        return said
    said |= {"change": sized.size, "range": sized.range, "range_unit": sized.range_unit}
    return said | {"claim_range": ", the 90% range the claim is held to"}


def callouts(
    teller: Teller, result: FigureResult, known: Mapping[str, Any]
) -> tuple[tuple[str, tuple[float, float]], ...]:
    """Short texts on the points they speak of, at most three."""
    placed = {x.kind: x.at for x in reversed(result.findings) if x.at is not None}
    said = []
    for kind in CALLOUTS:
        name = f"{result.figure.kind}.callout.{kind}"
        at = placed.get(kind)
        if at is not None and teller.has(name):
            text = teller.fragment([name], known, about=f"{result.figure.id}.{kind}")
            if text:
                said.append((text, at))
    return tuple(said[:MOST_CALLOUTS])


def _axes(
    result: FigureResult, judgement: Judgement, label: Callable[[str], str]
) -> dict[str, Any]:
    """Axis labels with units, and the words at the ends of each axis."""
    figure, study = result.figure, judgement.study
    y = getattr(figure, "y", None)
    y = getattr(y, "measure", y)
    x = getattr(figure, "x", None)
    x = getattr(x, "measure", x)
    return {
        "x_label": _axis(study, x) if x is not None else label("x"),
        "y_label": _axis(study, y) if y is not None else label("y"),
        "x_unit": _unit(study, x) if x is not None else _use_unit(result, study),
        "y_unit": _unit(study, y) if y is not None else "%" if figure.kind == "rates" else "",
        "x_told": _told(study, x), "y_told": _told(study, y),
        "x_ends": _ends(study, x) if x is not None else ("", ""),
        "y_ends": _ends(study, y) if y is not None else ("", ""),
    }


def _axis(study: Study, name: str) -> str:
    """An axis label: the measure and its unit."""
    said = _unit(study, name)
    return f"{study.term(name)} ({said})" if said else study.term(name)


def _unit(study: Study, name: str) -> str:
    """The unit in words that a measure's axis is told in; empty for a count."""
    unit, _ = told_unit(study.measure(name).unit, study)
    return "%" if unit == "percent" else "" if unit == "count" else unit_words(unit)


def _use_unit(result: FigureResult, study: Study) -> str:
    """What use is counted in: ``games``."""
    unit = study.tables[result.figure.table].use_unit
    return plural_of(unit) if unit not in ("", "count") else ""


def _told(study: Study, name: str | None) -> float:
    """How many of the unit on the axis make one of the measure's own."""
    return 1.0 if name is None else told_unit(study.measure(name).unit, study)[1]


def _ends(study: Study, name: str) -> tuple[str, str]:
    """Words for the low and the high end of a measure's axis."""
    measure = study.measure(name)
    return measure.less_is or "", measure.more_is or ""


# --- The words of a physics yardstick: what the formula says, and that it judges nothing

def yardstick_words(teller: Teller, curve: Yardstick, figure: str, invented: bool) -> FigureWords:
    """Title, what is drawn, what it says at its two ends, and the source on the drawing."""
    known = _facts(curve)

    def said(part: str) -> str:
        return teller.tell([f"{curve.kind}.{part}"], known, about=figure)

    def label(part: str) -> str:
        return teller.fragment([f"{curve.kind}.{part}"], known, about=figure)

    return FigureWords(
        title=said("title"),
        looking_at=said("looking_at"),
        how_to_read="",
        shows=said("shows"),
        cannot_show="",
        description=f"{said('looking_at')} {said('shows')}",
        x_label=label("x_label"),
        y_label=label("y_label"),
        note=label("source") + (" Beside made-up data." if invented else ""),
    )


def _facts(curve: Yardstick) -> dict[str, Any]:
    """Numbers and names for the phrases, in words."""
    hard = curve.kind == "contact-patch"
    unit = "Shore D" if hard else "mph"
    return {
        "reference": quantity(curve.reference, unit),
        "first": quantity(curve.x[0], unit) if hard else bare(rounded(curve.x[0]), unit),
        "last": quantity(curve.x[-1], unit) if hard else bare(rounded(curve.x[-1]), unit),
        "first_value": _value(curve.y[0], hard),
        "last_value": _value(curve.y[-1], hard),
        "speed_from": "the speed measured here" if curve.measure else "a usual speed",
    }


def _value(value: float, ratio: bool) -> str:
    return bare(fixed(value, -2)) if ratio else with_unit(fixed(value, 0), "foot")


# Two figures side by side, in words: what changes from one to the other is the title.

def pair_words(
    teller: Teller, judgement: Judgement, pair: PairResult, claims: Mapping[str, ClaimWords]
) -> PairWords:
    """The title and how the two are to be read beside each other."""
    facts: dict[str, Any] = {
        **{f"{key}_1": value for key, value in _pair_facts(judgement, pair.first, claims).items()},
        **{f"{key}_2": value for key, value in _pair_facts(judgement, pair.second, claims).items()},
        "differs": pair.differs, "one_scale": pair.one_scale, "corner": pair.corner,
    }  # fmt: skip
    about = pair.under
    return PairWords(
        title=teller.tell([f"pair.title.{pair.differs}"], facts, about=about).removesuffix("."),
        scale=teller.tell(["pair.scale"], facts, about=about),
    )


def _in_few(claim: Claim, claims: Mapping[str, ClaimWords]) -> str:
    """A claim in as few of the author's words as there are."""
    return (claim.briefly or claims[claim.id].plainly).strip().rstrip(".")


def _pair_facts(
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
        "said": _in_few(verdict.claim, claims) if verdict is not None else "",
        "label": claims[verdict.claim.id].label.lower() if verdict is not None else "",
        "code": verdict.code if verdict is not None else "",
    }  # fmt: skip
