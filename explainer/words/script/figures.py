"""A figure in a talk: built up step by step, with the claims it shows."""

from __future__ import annotations

from collections.abc import Iterator

from explainer.claims.figures.kinds import FIGURE_KINDS
from explainer.claims.verdict import FigureResult, Verdict
from explainer.words.facts.figure import figure_facts
from explainer.words.page.figures import CALLOUTS, shown_claim
from explainer.words.page.prose import fill
from explainer.words.script.desk import (
    CHAIN,
    KEY,
    LIMITS,
    OTHER,
    OWN,
    QUOTE,
    READING,
    Desk,
    Facts,
    aloud,
    found,
    part,
    plain,
    quotes,
    stop,
)
from explainer.words.script.findings import because, in_a_word, links, says
from explainer.words.script.once import told
from explainer.words.script.screen import (
    AXES,
    DATA,
    FIRST_NOTE,
    SUMMARY,
    TAKEAWAY,
    guess,
    measures,
    screen_facts,
    whole,
)
from explainer.words.script.talk import Line, Part, Screen

#: Kinds whose second figure differs from the first in its height only.
AGAIN = frozenset(name for name, kind in FIGURE_KINDS.items() if kind.same_axes)


def figure_parts(desk: Desk) -> Iterator[Part]:
    for number, result in enumerate(desk.judgement.figures):
        yield _figure(desk, result, first=number == 0)


def _figure(desk: Desk, result: FigureResult, first: bool) -> Part:
    """A figure as it builds up, with the claims it shows."""
    id, kind, of = result.figure.id, result.figure.kind, f"figure:{result.figure.id}"
    verdicts = _in_order(desk, result)
    desk.said |= {v.claim.id for v in verdicts}
    key = any(v.claim.id in desk.key for v in verdicts)
    top, quote = (KEY, QUOTE) if key else (OTHER, OTHER)
    facts = _facts(desk, result)
    main, more = verdicts[:1], verdicts[1:]
    finding = _finding(desk, result, main, top)
    shots: dict[int, list[Line]] = {AXES: [], DATA: [], SUMMARY: []}
    shots[AXES] += [
        Line(desk.tell("to.first" if first else "to", id, **facts), top, key=f"to {id}"),
        *_means(desk, result, top),
        *quotes(desk, main, quote),
        _looks(desk, result, "axes", facts, OWN if key else OTHER),
    ]
    shots[DATA] += [_looks(desk, result, "look", facts, quote)]
    react = f"react.{kind}" if desk.has(f"react.{kind}") else "react"
    shots[guess(kind)] += [Line(desk.tell(react, id), READING, "react")]
    shots[whole(kind)] += [
        _looks(desk, result, "new", facts, quote),
        _looks(desk, result, "how", facts, READING),
        _own(desk, result),
        finding,
    ]
    shots |= _notes(desk, result, facts, [finding.text, *_why(desk, main)])
    shots[TAKEAWAY] = _takeaway(desk, result, main, more, key)
    desk.kinds.setdefault(_kind(result), id)
    at = [(Screen(of, step), lines) for step, lines in sorted(shots.items())]
    return part(id, _title(desk, result, facts), at, [_key(result, main)])


def _key(result: FigureResult, main: list[Verdict]) -> str:
    return found(main[0]) if main else f"shown {result.figure.id}"


def _why(desk: Desk, main: list[Verdict]) -> list[str]:
    return [text for v in main for text in desk.words.claims[v.claim.id].because]


def _own(desk: Desk, result: FigureResult) -> Line:
    """The author may speak of anything that is drawn, so these words wait until all of it is."""
    return Line(plain(fill(result.figure.say or "", desk.judgement)), OWN, "own")


def _means(desk: Desk, result: FigureResult, rank: int) -> list[Line]:
    """What the study itself says of its measures, where one is first on screen."""
    id, lines = result.figure.id, []
    for measure in measures(result):
        said = desk.judgement.study.measure(measure).means
        if said:
            before = desk.means.setdefault(measure, id)
            term = desk.judgement.study.term(measure)
            text = desk.tell("means", measure, y=term, means=stop(" ".join(said.split())))
            again: Facts = {} if before == id else {"again": "", "again_after": before}
            lines.append(Line(text, rank, key=f"to {id}", **again))
    return lines


def _notes(
    desk: Desk, result: FigureResult, facts: Facts, beside: list[str]
) -> dict[int, list[Line]]:
    """What the notes on a figure say, but for what is said beside them."""
    shots = {}
    places = {x.kind: x.at for x in reversed(result.findings)}
    for rank, (_, at) in enumerate(desk.words.figures[result.figure.id].callouts):
        kind = next((k for k in CALLOUTS if places.get(k) == at), "")
        if desk.has(f"note.{kind}"):
            text = desk.tell(f"note.{kind}", result.figure.id, **facts)
            if not told(text, beside):
                shots[FIRST_NOTE + rank] = [Line(text, READING)]
    return shots


def _takeaway(
    desk: Desk, result: FigureResult, main: list[Verdict], more: list[Verdict], key: bool
) -> list[Line]:
    """The verdict in a word, why no more, and what else the report says of this figure."""
    lines = [in_a_word(desk, v, CHAIN if key else OTHER) for v in main]
    reasons = [(v, text, reason) for v in main for text, reason in because(desk, v)]
    cannot = aloud(desk.words.figures[result.figure.id].cannot_show)
    warning = _warning(desk, result, main, [(aloud(t), r) for _, t, r in reasons], cannot, key)
    for verdict, text, reason in reasons:
        rank = QUOTE if key and reason == "reversal" else LIMITS
        lines.append(Line(aloud(text), rank, needs=found(verdict)))
    lines.append(Line(cannot, LIMITS))
    if warning is not None:  # in the place of the line it is a stronger form of
        lines = [warning if line.text == warning.text else line for line in lines]
    for verdict in more:
        rank = KEY if verdict.claim.id in desk.key else OTHER
        finding = says(desk, verdict, rank)
        turned = bool(finding.needs)
        lines += quotes(desk, [verdict], rank, more=True, plainer=not turned, bound=finding)
        lines.append(finding)
    return lines


def _warning(
    desk: Desk, result: FigureResult, main: list[Verdict], reasons: list[tuple[str, str]],
    cannot: str, key: bool,
) -> Line | None:  # fmt: skip
    """What goes wherever a link between items goes: what one item does is another matter."""
    if not _warns(result, main):
        return None
    facts = _facts(desk, result)
    short = desk.tell("between", main[0].claim.id, item=facts["item"], items=facts["items"])
    text = next((text for text, reason in reasons if reason == "levels-disagree"), cannot)
    return Line(text, KEY if key else OTHER, brief=short, key=found(main[0]))


def _warns(result: FigureResult, main: list[Verdict]) -> bool:
    """Whether what this figure cannot show is just what a link between items must not hide."""
    plain_scatter = result.figure.kind == "scatter" and not getattr(result.figure, "joined", False)
    return plain_scatter and any(links(v) and v.code != "not-tested" for v in main)


def _in_order(desk: Desk, result: FigureResult) -> list[Verdict]:
    """The claims a figure shows that were not spoken of yet: the one its title answers first."""
    shown = shown_claim(desk.judgement, result)
    verdicts = [v for v in desk.judgement.verdicts if v.claim.id in result.claims]
    fresh = [v for v in verdicts if v.claim.id not in desk.said]
    lead = shown.claim.id if shown is not None else ""
    return sorted(fresh, key=lambda v: (v.claim.id != lead, v.code == "not-tested"))


def _finding(desk: Desk, result: FigureResult, main: list[Verdict], rank: int) -> Line:
    """What the claim's verdict lets one say; without a claim, what the figure shows."""
    if main and main[0].code != "not-tested":
        return says(desk, main[0], rank, warned=_warns(result, main))
    shows = desk.words.figures[result.figure.id].shows
    said = [shows, *(desk.words.claims[v.claim.id].says for v in main)]
    return Line(aloud(" ".join(said)), rank, key=_key(result, main))


def _kind(result: FigureResult) -> tuple[str, str, bool]:
    return result.figure.kind, result.figure.table, bool(getattr(result.figure, "joined", False))


def _looks(desk: Desk, result: FigureResult, what: str, facts: Facts, rank: int) -> Line:
    """A line on what is on the screen; less of it where such a figure was on screen before."""
    kind, _, joined = _kind(result)
    finer = f"{what}.{kind}.joined"
    name = finer if joined and desk.has(finer) else f"{what}.{kind}"
    text = desk.tell(name, result.figure.id, **facts)
    if what == "axes" and kind == "scatter":
        return Line(text, rank, **_same_axes(desk, result, facts))
    before = next((i for k, i in desk.kinds.items() if k[::2] == (kind, joined)), None)
    if before is None or (what == "axes" and kind not in AGAIN):
        return Line(text, rank)
    said = desk.tell("axes.again", result.figure.id, **facts) if what == "axes" else ""
    return Line(text, rank, again=said, again_after=before)


def _same_axes(desk: Desk, result: FigureResult, facts: Facts) -> Facts:
    """What is said of the axes of a scatter after another with the same one, or with both."""
    id, both, up = result.figure.id, (facts["x"], facts["y"]), ("", facts["y"])
    name, place = ("scatter.again", both) if both in desk.axes else ("scatter.up-again", up)
    before = desk.axes.get(place)
    desk.axes.setdefault(both, id)
    desk.axes.setdefault(up, id)
    if before is None:
        return {}
    return {"again": desk.tell(f"axes.{name}", id, **facts), "again_after": before}


def _facts(desk: Desk, result: FigureResult) -> Facts:
    study, id = desk.judgement.study, result.figure.id
    facts: Facts = {
        **figure_facts(result, study, desk.things), **screen_facts(result, study),
        "y_high": desk.words.figures[id].y_ends[1],
    }  # fmt: skip
    names = [f"topic.{result.figure.kind}"]
    if getattr(result.figure, "joined", False):
        names.insert(0, f"topic.{result.figure.kind}.joined")
    return {**facts, "topic": desk.fragment(*names, about=id, **facts)}


def _title(desk: Desk, result: FigureResult, facts: Facts) -> str:
    names = [f"chapter.{result.figure.kind}"]
    if getattr(result.figure, "joined", False):
        names.insert(0, f"chapter.{result.figure.kind}.joined")
    said = desk.fragment(*names, about=result.figure.id, **facts)
    return said[:1].upper() + said[1:]
