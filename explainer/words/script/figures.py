"""Claims and figures in a talk: what the data say, built up step by step on the screen."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any, Literal, TypeGuard

from explainer.claims.figure_data import GroupsData
from explainer.claims.figures.kinds import FIGURE_KINDS
from explainer.claims.kinds import kind_of
from explainer.claims.verdict import FigureResult, Verdict
from explainer.study.description.study import RULE
from explainer.words.facts.figure import figure_facts
from explainer.words.facts.items import item_word
from explainer.words.facts.relations import subs, the_catch
from explainer.words.page.figures import CALLOUTS, shown_claim, sum_facts
from explainer.words.quantity.numbers import count_words, plural_of
from explainer.words.script.desk import (
    GUESS,
    KEY,
    LIMITS,
    OTHER,
    OWN,
    READING,
    TURN,
    Desk,
    Facts,
    found,
    part,
    plain,
    quote,
    stop,
)
from explainer.words.script.measure import split
from explainer.words.script.plan import (
    TalkPlan,
    by_figure,
    guess_first,
    own_lines,
    paired,
    turns,
    walked,
)
from explainer.words.script.screen import (
    AXES,
    DATA,
    FIRST_NOTE,
    SUMMARY,
    TAKEAWAY,
    guess,
    measures,
    one_by_one,
    screen_facts,
    whole,
)
from explainer.words.script.talk import Line, Part, Screen

# What the data say about a claim, as a voice says it: its meaning, its catch, its verdict.
# No link between items goes without the word that it compares different ones; no claim is held
# back by a catch that is not named in the next sentence.

#: Reasons that the finding itself tells, or that are no news to somebody who listens.
_TOLD = frozenset({
    "beyond-data", "not-a-data-question", "no-margin", "evenly-scattered", "real-but-small",
})


def says(desk: Desk, verdict: Verdict, rank: int) -> Line:
    """What the data say about a claim, with its catch where a catch holds it back."""
    desk.said.add(verdict.claim.id)
    if (before := _turned_round(desk, verdict, rank)) is not None:
        said = desk.tell(f"turned.{verdict.code}", verdict.claim.id)
        return Line(said, rank, key=found(verdict), needs=before, claim=verdict.claim.id)
    facts = desk.heard(verdict)
    between = links(verdict) and verdict.code not in ("not-tested", "cannot-tell")
    warning = desk.tell("between", verdict.claim.id, **_items(facts)) if between else ""
    whole = [finding(desk, verdict), caught(desk, verdict), warning]
    text = " ".join(s for s in whole if s)
    lead = verdict.claim.id in desk.key and not warning
    brief = _shorter(text) if lead else None
    return Line(text, rank, brief=brief, key=found(verdict), claim=verdict.claim.id)


def _shorter(text: str) -> str | None:
    """Without the cautious end of the range, which the answer gives at the end in any length."""
    kept = [s for s in split(text) if "cautious end" not in s and "At the very least" not in s]
    return " ".join(kept) if 0 < len(kept) < len(split(text)) else None


def finding(desk: Desk, verdict: Verdict) -> str:
    """What the data say, by the most particular phrase that is true and was not said too often;
    where none is true, in the page's own words."""
    code, finer = verdict.code, subs(verdict)
    kinds = ["any"] if len(verdict.parts) > 1 else [verdict.test.kind, "any"]
    names = [f"{kind}.{code}.{sub}" for kind in kinds for sub in finer]
    if not verdict.detail.one_item:  # the others speak of an average
        names += [f"{kind}.{code}" for kind in kinds]
    said = desk.hear(names, verdict)
    return said or desk.spoken(desk.words.claims[verdict.claim.id].says)


def why(desk: Desk, verdict: Verdict, reason: str) -> str:
    """One reason in a breath."""
    return desk.hear([f"why.{reason}.{verdict.test.kind}", f"why.{reason}"], verdict)


def caught(desk: Desk, verdict: Verdict) -> str:
    """What holds a claim back whose range alone would let it pass; said once."""
    reason = the_catch(verdict)
    return why(desk, verdict, reason) if reason else ""


def because(desk: Desk, verdict: Verdict) -> Iterator[str]:
    """Why no more can be said, beside the catch; each kind of reason is given once in a talk."""
    catch = the_catch(verdict)
    told = _TOLD | ({"too-few-items"} if verdict.code == "not-tested" else set())
    for reason in verdict.reasons:
        if reason not in desk.reasons and reason != catch and reason not in told:
            desk.reasons.add(reason)
            if said := why(desk, verdict, reason):
                yield said


def links(verdict: Verdict) -> bool:
    """Whether the claim is about how two measures go together from one item to the next."""
    return any(kind_of(part).links for part in verdict.each)


def in_a_word(desk: Desk, verdict: Verdict, rank: int) -> Line:
    """Whether that bears out whoever made the claim; a finding that settles nothing says so."""
    if verdict.code not in ("backed", "against"):
        return Line("", rank)
    name = f"verdict.{verdict.code}" + ("" if verdict.claim.of_report else ".theirs")
    said = desk.spare(name, verdict.claim.id)
    return Line(said, rank, needs=f"quote {verdict.claim.id}")


def _items(facts: dict[str, object]) -> dict[str, object]:
    return {"item": facts["item"], "items": facts["items"]}


def _turned_round(desk: Desk, verdict: Verdict, rank: int) -> str | None:
    """The key of the line that said the same of another claim, which this one turns round."""
    if verdict.code not in ("backed", "against") or len(verdict.parts) > 1:
        return None
    facts = desk.heard(verdict)
    said = str(facts["contrary"] if verdict.code == "against" else facts["clause"])
    key, first = desk.told.get(said, ("", 0))
    if key and first <= rank:
        return key
    desk.told.setdefault(said, (found(verdict), rank))
    return None


Role = Literal["reveal", "setup", "twist", "open", "also", "more"]

#: Kinds whose second figure differs from the first in its height only.
AGAIN = frozenset(name for name, kind in FIGURE_KINDS.items() if kind.same_axes)
#: How needed a figure's finding is, and what the picture must be told for, by what it is for.
_RANK: Mapping[Role, int] = {"reveal": TURN, "twist": TURN, "open": TURN, "setup": KEY,
                              "also": KEY, "more": OTHER}
#: What heads the place of the twist: where nothing turns, what was not answered.
TITLED: Mapping[Role, str] = {"twist": "The twist", "open": "What stays open"}
#: Where nothing but its claim leads to a figure's finding.
_BOUND: frozenset[Role] = frozenset({"also", "more"})


def _fresh(result: FigureResult | None, desk: Desk) -> TypeGuard[FigureResult]:
    return result is not None and result.figure.id not in desk.shown


def reveal(desk: Desk, plan: TalkPlan) -> Iterator[Part]:
    """The figure that answers the question; where it turns round by itself, the twist with it."""
    if _fresh(plan.reveal, desk):
        turned = plan.twist if plan.turn is None and _shows(plan.reveal, plan.twist) else None
        yield _figure(desk, plan.reveal, "reveal", plan.lead, turned=turned)


def setup(desk: Desk, plan: TalkPlan) -> Iterator[Part]:
    """What the twist turns, with the twist's own reason kept for the twist."""
    if _fresh(plan.setup, desk):
        kept = set(plan.twist.reasons if plan.twist else ()) - desk.reasons
        desk.reasons |= kept
        yield _figure(desk, plan.setup, "setup")
        desk.reasons -= kept


def role_of(twist: Verdict | None) -> Role:
    """What stands at the place of the twist: one that turns, or what nobody could answer."""
    return "twist" if twist is None or turns(twist) else "open"


def lead_in(desk: Desk, twist: Verdict, key: str) -> Line:
    """The line before it."""
    name = "to.turn" if role_of(twist) == "twist" else "to.turn.open"
    return Line(desk.tell(name, "twist"), TURN, key=key)


def turn(desk: Desk, plan: TalkPlan) -> Iterator[Part]:
    """The twist, where a figure of its own shows it."""
    if _fresh(plan.turn, desk):
        yield _figure(desk, plan.turn, role_of(plan.twist), plan.twist)


def told(
    desk: Desk, plan: TalkPlan, result: FigureResult, wanted: Verdict | None = None
) -> Iterator[Part]:
    """A figure at the place its author gives it, as what it is to the question; a twist needs the
    reveal before it."""
    started = plan.reveal is not None and plan.reveal.figure.id in desk.shown
    if result is plan.reveal:
        yield from reveal(desk, plan)
    elif result is plan.setup:
        yield from setup(desk, plan)
    elif result is plan.turn and started:
        yield from turn(desk, plan)
    elif result.figure.id not in desk.shown:
        yield _figure(desk, result, "more", _first(desk, result, wanted),
                      beside=_beside_last(desk, plan, result))  # fmt: skip


def _first(desk: Desk, result: FigureResult, wanted: Verdict | None) -> Verdict | None:
    """The claim a figure is told for at its author's place for it: not one that has a place of its
    own, nor a reason of the rule's makers, which waits for the rule."""
    if wanted is not None:
        return wanted
    order = desk.judgement.study.description.order
    free = [
        v for v in desk.judgement.verdicts
        if v.claim.id in result.claims and v.claim.id not in {*order, *desk.said}
        and (RULE not in order or v.claim.said_by != "rule")
    ]  # fmt: skip
    own = [v for v in free if v.claim.figure == result.figure.id]
    return next(iter([*own, *free]), None)


def _beside_last(desk: Desk, plan: TalkPlan, result: FigureResult) -> bool:
    """Whether the figure shown last is the other one of its pair."""
    last = next(reversed(desk.shown), "")
    return any({last, result.figure.id} == set(pair) for pair in plan.sides)


def also(desk: Desk, plan: TalkPlan, verdict: Verdict) -> Part | None:
    """A figure of its own for something else that the question turns on; None without one."""
    result = by_figure(desk.judgement, plan, verdict)
    if result is None or result.figure.id in desk.shown:
        return None
    return _figure(desk, result, "also", verdict)


def others(desk: Desk, plan: TalkPlan) -> Iterator[Part]:
    """The other figures; the second of a pair is set beside the first."""
    for result in plan.rest:
        if result.figure.id not in desk.shown:
            yield _figure(desk, result, "more", beside=_beside_last(desk, plan, result))


def _shows(result: FigureResult, verdict: Verdict | None) -> bool:
    return verdict is not None and verdict.claim.id in result.claims


def _figure(
    desk: Desk, result: FigureResult, role: Role, wanted: Verdict | None = None,
    turned: Verdict | None = None, beside: bool = False,
) -> Part:  # fmt: skip
    """A figure as it builds up.  What it takes to see the finding is said or dropped with it.

    turned: the twist, where this figure shows it, too.
    """
    id, kind, of = result.figure.id, result.figure.kind, f"figure:{result.figure.id}"
    lumped = turned is not None and "reversal" in turned.reasons  # the total is what it turns
    main = turned if lumped else _main(desk, result, wanted)
    desk.shown[id] = None
    rank, facts = _RANK[role], _facts(desk, result)
    finding = _finding(desk, result, main, rank)
    key = finding.key
    shots: dict[int, list[Line]] = {AXES: [], DATA: [], SUMMARY: []}
    shots[AXES] += [
        Line(_on_to(desk, result, role, facts, beside), rank, key=key),
        *_means(desk, result, rank, key),
        *(_quoted(desk, main, role) if main and role != "reveal" else []),
        _looks(desk, result, "axes", facts, READING),
        *_guess(desk, result, role),
    ]  # fmt: skip
    look = replace(_looks(desk, result, "look", facts, rank), key=key)
    shots[DATA] += [replace(look, brief=_brief(desk, result, facts))]
    if role == "more" and not result.figure.ask_first:
        shots[guess(kind)].append(Line(desk.tell("react", id), LIMITS, "react"))
    end = shots[whole(kind)]
    end += [replace(_looks(desk, result, "new", facts, rank), key=key)]
    end += [Line(desk.tell("twist", id), rank, key=key)] if lumped else []
    end += [finding, *_catch(desk, main, role)]
    end += own_lines(desk, main.claim, found(main)) if main is not None else []
    # The author may speak of anything that is drawn, so these words wait until all of it is.
    end += [*_turned(desk, turned, main), *own_lines(desk, result.figure)]
    end += [_looks(desk, result, "how", facts, READING), *_one_by_one(desk, result)]
    shots |= _notes(desk, result, facts)
    shots[TAKEAWAY] = _takeaway(desk, result, main, role)
    desk.kinds.setdefault(_kind(result), id)
    at = [(Screen(of, step), lines) for step, lines in sorted(shots.items())]
    at += _both(desk, result, key)
    title = _title(desk, result, facts)
    return part(id, _named(title, role), at, [key])


def _both(desk: Desk, result: FigureResult, key: str) -> list[tuple[Screen, list[Line]]]:
    """Both figures of a pair on one picture, once the second of them was told."""
    shots = []
    for other in desk.judgement.figures:
        pair = other.figure.pair
        if not pair or result.figure.id not in pair or not set(pair) <= set(desk.shown):
            continue
        topics = [_facts(desk, desk.judgement.figure(id))["topic"] for id in pair]
        under = other.figure.id
        said = desk.tell("pair", under, first=topics[0], second=topics[1])
        scale = desk.spoken(desk.words.pairs[under].scale)
        lines = [Line(said, OTHER, needs=key), Line(scale, READING, needs=key)]
        shots.append((Screen(f"pair:{under}", AXES), lines))
    return shots


def _on_to(
    desk: Desk, result: FigureResult, role: Role, facts: Facts, beside: bool
) -> str:  # fmt: skip
    """On to a figure; one that the author pairs with a figure shown before is set beside it."""
    id = result.figure.id
    if beside:
        return desk.tell("to.beside", id, **facts)
    pair = next((p for p in paired(desk.judgement.figures) if id in p and role != "reveal"), ())
    earlier = next((one for one in pair if one != id and one in desk.shown), "")
    if earlier:
        seen = _facts(desk, desk.judgement.figure(earlier))["topic"]
        name = f"to.beside.{role if role in TITLED else 'earlier'}"
        return desk.tell(name, id, **{**facts, "earlier": seen})
    return desk.tell(f"to.{role}" if desk.has(f"to.{role}") else "to", id, **facts)


def _quoted(desk: Desk, main: Verdict, role: Role) -> list[Line]:
    """The claim a figure is told for, and a guess at it where the author asks for one.

    Where nothing else leads to the finding, claim and finding are both said, or none: an answer
    to what nobody heard is none.
    """
    bound = role in _BOUND
    quoted = quote(desk, main, _RANK[role] if bound else OWN, key=found(main) if bound else "")
    return [quoted, *guess_first(desk, main.claim, quoted)]


def _named(title: str, role: Role) -> str:
    return f"{TITLED[role]}: {title[:1].lower()}{title[1:]}" if role in TITLED else title


def _main(desk: Desk, result: FigureResult, wanted: Verdict | None) -> Verdict | None:
    """The claim a figure is told for: the one it is wanted for, else the one its title answers,
    else the first that was not spoken of yet."""
    if wanted is not None and wanted.claim.id in result.claims:
        return wanted
    shown = shown_claim(desk.judgement, result)
    verdicts = [v for v in desk.judgement.verdicts if v.claim.id in result.claims]
    fresh = [v for v in verdicts if v.claim.id not in desk.said]
    lead = shown.claim.id if shown is not None else ""
    ranked = sorted(fresh, key=lambda v: (v.claim.id != lead, v.code == "not-tested"))
    return next(iter(ranked), None)


def _finding(desk: Desk, result: FigureResult, main: Verdict | None, rank: int) -> Line:
    """What the claim's verdict lets one say; without a claim, what the figure shows."""
    if main is not None:
        return says(desk, main, rank)
    id = result.figure.id
    name = f"shown.{result.figure.kind}"
    facts = {**desk.facts, **_facts(desk, result)}
    if desk.may(name, facts):
        return Line(desk.tell(name, id, **facts), rank, key=f"shown {id}")
    return Line(desk.spoken(desk.words.figures[id].shows), rank, key=f"shown {id}")


def _guess(desk: Desk, result: FigureResult, role: Role) -> list[Line]:
    """Everybody may guess while nothing is drawn yet: before the reveal, and where the author
    asks something."""
    id, kind = result.figure.id, result.figure.kind
    if result.figure.ask_first:
        asked = Line(plain(result.figure.ask_first), GUESS, "own", key=f"guess {id}")
        return [asked, Line(desk.tell("react", id), LIMITS, "react", needs=f"guess {id}")]
    alone = isinstance(result.data, GroupsData) and len(result.data.groups) < 2
    if role != "reveal" or alone:  # a single column comes out ahead of none
        return []
    asked = Line(desk.tell(f"guess.{kind}", id, "guess", **_facts(desk, result)), GUESS,
                 key="guess")  # fmt: skip
    return [asked, Line(desk.tell("react", id), LIMITS, "react")]


def _catch(desk: Desk, main: Verdict | None, role: Role) -> list[Line]:
    """What the twist turns on, in every length that has the twist."""
    if main is None:
        return []
    if role in TITLED or "reversal" in main.reasons:
        reasons = list(because(desk, main))
        rank = TURN if role in TITLED or role == "reveal" else KEY
        return [Line(reasons[0], rank, key=found(main))] if reasons else []
    return []


def _turned(desk: Desk, turned: Verdict | None, main: Verdict | None) -> list[Line]:
    """The twist over the picture of the reveal, where it is another claim of the same figure."""
    if turned is None or turned is main:
        return []
    said = says(desk, turned, TURN)
    return [lead_in(desk, turned, said.key), quote(desk, turned, OWN), said,
            *own_lines(desk, turned.claim, said.key)]  # fmt: skip


def _one_by_one(desk: Desk, result: FigureResult) -> list[Line]:
    """Item by item, where the author asks for it."""
    if not walked(result):
        return []
    told = one_by_one(result, desk.judgement.study)
    if not told:
        return []
    # Nobody is led into a walk that does not follow: all of it is said, or none.
    whole = f"walk {result.figure.id}"
    lines = [Line(desk.tell("walk", result.figure.id), OTHER, key=whole)]
    for shape, facts in told:
        said = desk.tell(f"walk.{shape}", str(facts["who"]), **facts)
        lines.append(Line(said, OTHER, key=whole))
    if result.walk is not None and result.walk.left:
        study = desk.judgement.study
        items = plural_of(item_word(study, study.tables[result.figure.table]))
        more = {"n": result.walk.left, "count": count_words(result.walk.left), "items": items}
        said = desk.tell("walk.more", result.figure.id, **more)
        lines.append(Line(said, OTHER, key=whole))
    if result.walk is not None and result.walk.whole is not None:
        study = desk.judgement.study
        facts = sum_facts(result.walk, result.walk.whole, study, study.tables[result.figure.table])
        said = desk.tell("walk.sum", result.figure.id, **facts)
        lines.append(Line(said, OTHER, key=whole))
    return lines


def _means(desk: Desk, result: FigureResult, rank: int, key: str) -> list[Line]:
    """What the study itself says of its measures, where one is first on screen."""
    id, lines = result.figure.id, []
    for measure in measures(result):
        said = desk.judgement.study.measure(measure).means
        if said:
            before = desk.means.setdefault(measure, id)
            term = desk.judgement.study.term(measure)
            text = desk.tell("means", measure, y=term, means=stop(" ".join(said.split())))
            again: Facts = {} if before == id else {"again": "", "again_after": before}
            lines.append(Line(text, rank, key=key, **again))
    return lines


def _notes(desk: Desk, result: FigureResult, facts: Facts) -> dict[int, list[Line]]:
    """What the notes on a figure say."""
    shots = {}
    places = {x.kind: x.at for x in reversed(result.findings)}
    for rank, (_, at) in enumerate(desk.words.figures[result.figure.id].callouts):
        kind = next((k for k in CALLOUTS if places.get(k) == at), "")
        if desk.has(f"note.{kind}"):
            text = desk.tell(f"note.{kind}", result.figure.id, **facts)
            shots[FIRST_NOTE + rank] = [Line(text, READING)]
    return shots


def _takeaway(desk: Desk, result: FigureResult, main: Verdict | None, role: Role) -> list[Line]:
    """How the report puts it, whether that holds, why no more, and what the figure cannot show."""
    lines = []
    if main is not None and role == "reveal":
        if desk.facts["n_shots"]:  # one reading each is nobody's temptation
            lines.append(Line(desk.tell("counts", "counts"), READING, needs=found(main)))
        lines += [_whence(desk), quote(desk, main, OWN, how="first")]
    if main is not None:
        rank = KEY if role in TITLED or role == "reveal" else OTHER
        word = in_a_word(desk, main, OWN if role == "reveal" else rank)
        # A quote that is left hanging sounds as if it were so.
        if role == "reveal":
            word = replace(word, key=f"quote {main.claim.id}")
        elif role in _BOUND:
            word = replace(word, needs=found(main))
        lines.append(word)
        lines += [Line(text, LIMITS, needs=found(main)) for text in because(desk, main)]
    cannot = desk.spoken(desk.words.figures[result.figure.id].cannot_show)
    lines.append(Line(cannot, LIMITS))
    return lines


def _whence(desk: Desk) -> Line:
    """Which report all of this is about, ahead of its first own word."""
    report = desk.judgement.study.description.report
    if report is None:
        return Line("", OWN)
    known = {"title": report.title, "publisher": report.publisher}
    return Line(desk.tell("report", "report", **known), READING)


def _looks(desk: Desk, result: FigureResult, what: str, facts: Facts, rank: int) -> Line:
    """What a figure looks like; a second one of a kind need not say it all again."""
    kind, joined = result.figure.kind, _kind(result)[2]
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


def _brief(desk: Desk, result: FigureResult, facts: Facts) -> str | None:
    """What the readings look like, where there is little time."""
    name = f"look.{result.figure.kind}{'.joined' if _kind(result)[2] else ''}.brief"
    return desk.tell(name, result.figure.id, **facts) if desk.has(name) else None


def _same_axes(desk: Desk, result: FigureResult, facts: Facts) -> dict[str, Any]:
    """What is said of the axes of a scatter after another with the same one, or with both."""
    id, both, up = result.figure.id, (facts["x"], facts["y"]), ("", facts["y"])
    name, place = ("scatter.again", both) if both in desk.axes else ("scatter.up-again", up)
    before = desk.axes.get(place)
    desk.axes.setdefault(both, id)
    desk.axes.setdefault(up, id)
    if before is None:
        return {}
    return {"again": desk.tell(f"axes.{name}", id, **facts), "again_after": before}


def _kind(result: FigureResult) -> tuple[str, str, bool]:
    return result.figure.kind, result.figure.table, bool(getattr(result.figure, "joined", False))


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
