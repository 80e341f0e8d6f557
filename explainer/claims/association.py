"""``association`` between items: do those with more x have more y?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations

import numpy as np

from explainer.analysis import association as stats, grouped, within as levels
from explainer.analysis.power import items_for_r, items_past, smallest_r, smallest_strong
from explainer.analysis.result import Estimate, Undefined
from explainer.claims import evidence, rules
from explainer.claims.build import Case, Story, nothing_to_test, settled, undefined, unsettled
from explainer.claims.change import FEW_GROUPS
from explainer.claims.detail import Detail, published
from explainer.claims.reading_error import reliability_between
from explainer.claims.shared_part import oldham, shared_part
from explainer.claims.verdict import Code, Power, Strip, Verdict
from explainer.study.description.tests import Association
from explainer.study.model import Study, Table

# What a claim wants held alike (``given``): each item's number or group, for every name.

@dataclass(frozen=True)
class HeldAlike:
    """One column per name, in the order of the items that are related."""

    numbers: tuple[evidence.Floats, ...] = ()
    groups: tuple[evidence.Words, ...] = ()

    @property
    def columns(self) -> int:
        """How many degrees of freedom it takes at most."""
        return len(self.numbers) + sum(np.unique(g).size - 1 for g in self.groups)

    def without(self, *drop: int) -> HeldAlike:
        """For the items that are left."""
        return HeldAlike(tuple(np.delete(v, drop) for v in self.numbers),
                    tuple(np.delete(g, drop) for g in self.groups))  # fmt: skip

    def design(self, more: evidence.Words | evidence.Floats | None) -> evidence.Floats:
        """What is held alike, ``more`` being the groups the items come in anyway."""
        return grouped.design(self.numbers, [*self.groups, *([] if more is None else [more])])


def held_alike(
    study: Study,
    given: Sequence[str] | None,
    tables: Sequence[Table],
    pairs: evidence.Pairs,
    point: evidence.Checkpoint | None,
) -> tuple[evidence.Pairs, HeldAlike | None]:
    """The pairs of the items that have all of ``given``, and what those items have of it.

    A measure gives each item's value at ``point`` (else its mean, as x and y do), any other column
    the group it stands in.  What lacks one is named among those without a partner.
    """
    if not given:
        return pairs, None
    known = {name: _of_items(study, name, tables, point) for name in given}
    here = np.array([all(item in of for of in known.values()) for item in pairs.items.tolist()],
                    dtype=bool)  # fmt: skip
    left = evidence.kept(pairs, here) if len(here) else pairs
    left = replace(left, alone=(*pairs.alone, *pairs.items[~here].tolist()) if len(here) else ())
    items = left.items.tolist()
    numbers, groups = [], []
    for name, of in known.items():
        if name in study.description.measures:
            numbers.append(np.array([of[i] for i in items], dtype=np.float64))
        else:
            groups.append(np.array([of[i] for i in items], dtype=np.str_))
    return left, HeldAlike(tuple(numbers), tuple(groups))


def _of_items(
    study: Study, name: str, tables: Sequence[Table], point: evidence.Checkpoint | None
) -> dict[str, float] | dict[str, str]:
    """Each item's value of a measure, or the one group of a column it stands in."""
    every = [*tables, *study.tables.values()]
    if name in study.description.measures:
        table = next((t for t in every if name in t.measures), None)
        return {} if table is None else evidence.at(table, name, point).as_dict()
    for table in every:
        if name in table.frame.columns:
            rows = table.frame[[table.item, name]].dropna().drop_duplicates()
            alone = rows[~rows[table.item].duplicated(keep=False)]
            return dict(zip(alone[table.item].astype(str), alone[name].astype(str), strict=True))
    return {}


Side = evidence.Side
#: Verdicts that a doubt can still take something from.
DECIDED = ("backed", "leans", "against")
#: From how many items on, and up to how many, two are left out at a time.
TWINS_FROM, TWINS_TO = 8, 60


@dataclass(frozen=True, kw_only=True)
class LinkDetail(Detail):
    """x and y, and both levels: from one item to the next, and within an item."""

    x: str = ""
    y: str = ""
    alone: tuple[str, ...] = ()
    """Readings without a partner."""
    flat: tuple[str, ...] = ()
    """What is the same for all, or for all of one group where they are compared inside it."""
    r_within: float | None = None
    slope_within: float | None = None
    slope_within_low: float | None = None
    slope_within_high: float | None = None
    slope_between: float | None = None
    p_slopes_differ: float | None = None
    r_over_all: float | None = None
    """r over all items, whatever their group, where the deciding one is that inside groups."""
    slopes_differ: str | None = None
    """``differ`` or ``cannot-tell``; None where there is one level only."""


@dataclass(frozen=True, kw_only=True)
class AssociationDetail(LinkDetail):
    r: float | None = published("r")
    r_spearman: float | None = published("r of the ranks (Spearman)")
    r_loo_min: float | None = published("Lowest r with one {item} left out")
    r_loo_max: float | None = published("Highest r with one {item} left out")
    slope: float | None = published("Slope", "slope")
    r_before: float | None = published("r with nothing held alike")
    slope_before: float | None = published("Slope with nothing held alike", "slope")
    share_left: float | None = published("Slope held alike, times that one")
    given: tuple[str, ...] = ()
    """What is held alike, by the names of the description."""
    inside_groups: bool = False
    """r is that among the items of one group: the group is held alike, too."""


@dataclass(frozen=True)
class ItemLink:
    """One x and y per item, and the groups the items come in (None: none to speak of)."""

    pairs: evidence.Pairs
    groups: evidence.Words | None
    held: HeldAlike | None = None
    """What the claim wants held alike, for the same items; None for nothing."""

    @property
    def result(self) -> Estimate | Undefined:
        """r over items; inside the groups and with the given held alike, where there are some."""
        if self.held is not None:
            return grouped.partial(self.pairs.x, self.pairs.y, self.held.design(self.groups))
        if self.groups is None:
            return stats.pearson(self.pairs.x, self.pairs.y)
        return grouped.within_groups(self.pairs.x, self.pairs.y, self.groups)

    def without(self, *drop: int) -> float | None:
        """r without some items; None where that leaves nothing to relate."""
        x, y = np.delete(self.pairs.x, drop), np.delete(self.pairs.y, drop)
        groups = np.zeros(len(x)) if self.groups is None else np.delete(self.groups, drop)
        if self.held is None:
            return grouped.r_within(x, y, groups)
        return grouped.r_left(x, y, self.held.without(*drop).design(groups)) if len(x) else None

    def at_other(self, means: evidence.Pairs) -> ItemLink | None:
        """Other points of (some of) the same items; None with points of others, or without any."""
        if not len(means.x):
            return None
        place = {item: i for i, item in enumerate(self.pairs.items.tolist())}
        kept = [place[item] for item in means.items.tolist() if item in place]
        gone = [i for i in range(len(place)) if i not in kept]
        if len(kept) < len(means.x):
            return None
        groups = None if self.groups is None else self.groups[kept]
        held = None if self.held is None else self.held.without(*gone)
        return ItemLink(means, groups, held)

    @cached_property
    def each_out(self) -> tuple[float | None, ...]:
        """r without each item in turn."""
        return tuple(self.without(i) for i in range(len(self.pairs.x)))

    @property
    def left(self) -> tuple[evidence.Floats, evidence.Floats]:
        """x and y once each group has its own mean and the given is held alike."""
        x, y = self.pairs.x, self.pairs.y
        if self.held is not None:
            given = self.held.design(self.groups)
            return grouped.left_of(x, given), grouped.left_of(y, given)
        if self.groups is not None:
            return grouped.about(x, self.groups), grouped.about(y, self.groups)
        return x, y

    @property
    def ranks(self) -> float | None:
        """r of the ranks, which knows no distances, of what is left of x and y."""
        return stats.spearman(*self.left).value

    @property
    def slope(self) -> float | None:
        """The line's slope over items, inside the groups, with the given held alike."""
        if self.held is not None:
            given = self.held.design(self.groups)
            return grouped.slope_left(self.pairs.x, self.pairs.y, given)
        if self.groups is None:
            return stats.slope(self.pairs.x, self.pairs.y).value
        return grouped.slope_within_groups(self.pairs.x, self.pairs.y, self.groups)


def judge(case: Case) -> Verdict:
    """r over items with its Fisher range (Fisher 1921); "strong" has its own rule.

    Where items come in groups r is that inside them; where x and y contain one another it is that
    of the change with the mean of both readings.
    """
    test = case.test
    assert isinstance(test, Association)
    x, y = operands(case, test)
    if refused := cannot_pair(case, x, y, test.at):
        return refused
    pairs = evidence.pairs_of_items(x, y, test.at)
    pairs, held = held_alike(case.study, test.given, (y[0], x[0]), pairs, test.at)
    link = ItemLink(pairs, evidence.groups_of(case.study, (y[0], x[0]), pairs.items.tolist()), held)
    strong = test.strong in (True, "yes")
    detail = {**story(case, x, y, pairs), **grouping(link.groups), "given": test.given or (),
              "strong": strong}  # fmt: skip
    if link.held is None:
        detail["flat"] = evidence.flat((x, y), link.left)
    result = link.result
    if isinstance(result, Undefined):
        return _nothing(case, link, result, (x, y), detail)
    side = rules.SIDE[test.direction]
    reasons = level_reasons(detail)
    decides, code = _sound(case, x, y, result, reasons, detail)
    detail |= before_held(link, of_link=decides is result)
    result = decides
    code = doubted(code, case, x, y, link, result, reasons, detail)
    code = _of_groups(code, case, link, result, reasons, detail)
    code = _at_unequal_use(code, case, x, y, link, result, reasons, detail)
    code = gauge_doubts(code, case, x, y, link, reasons)
    if code == "cannot-tell" and len(pairs.x) <= 4:
        reasons.append("too-few-items")
    held_columns = (0 if held is None else held.columns) + max(0, detail.get("n_groups", 1) - 1)
    return settled(
        case, code, result,
        unit="r", n_rows=pairs.n_rows, table=y[0].name, reasons=reasons,
        strip=r_strip(result, side, case.limits["strong_inner"] if strong else 0.0),
        power=_seen_by(len(pairs.x), held_columns, strong, case.limits),
        detail={**detail, "r": result.value, "r_spearman": link.ranks, **loo_range(link),
                "slope": link.slope,
                "p_line": _p_strong(result, side, case.limits) if strong else result.p},
    )  # fmt: skip


def _seen_by(n: int, held: int, strong: bool, limits: rules.Thresholds) -> Power:
    """What ``n`` items could show with ``held`` columns held alike: some link, or a strong one.

    A strong link is told from one on the line that its range has to pass, not from none at all.
    """
    line, least, power = limits["strong_inner"], limits["strong_r"], limits["power"]
    needed = items_past(line, least, power) if strong else items_for_r(line, power)
    return Power(
        smallest_strong(n - held, line, least, power) if strong else smallest_r(n - held, power),
        None if needed is None else needed + held,
        least if strong else line, "r", told_from=line if strong else None,
    )  # fmt: skip


def verdict_of(case: Case, result: Estimate) -> Code:
    """What the range alone says."""
    test = case.test
    assert isinstance(test, Association)
    side = rules.SIDE[test.direction]
    if test.strong in (True, "yes"):
        return rules.strongly_related(result, side, case.limits)
    return rules.related(result, side)


def before_held(link: ItemLink, of_link: bool) -> Story:
    """The link with nothing held alike, and how much of its slope is left with it.

    To compare items inside their groups is to hold the group alike, so that a sentence owes its
    reader the link across all of them as well; ``of_link`` False: another r decides, over all.
    """
    if not of_link or (link.held is None and link.groups is None):
        return {}
    before = replace(link, held=None, groups=None)
    r, slope, left = before.without(), before.slope, link.slope
    share = left / slope if left is not None and slope else None
    return {"r_before": r, "slope_before": slope, "share_left": share,
            "inside_groups": link.groups is not None,
            "with_mates": None if link.groups is None else grouped.with_mates(link.groups),
            }  # fmt: skip


def grouping(groups: evidence.Words | None) -> Story:
    """How many groups there are, for sentences."""
    return {} if groups is None else {"n_groups": len(set(groups.tolist()))}


def _nothing(
    case: Case, link: ItemLink, result: Undefined, sides: tuple[Side, Side], detail: Story
) -> Verdict:
    """No r: too few items, or too few of each group to see a link inside one.

    An item alone in its group is the same as itself: ``flat`` is then what all of them have alike.
    """
    n_rows, table = link.pairs.n_rows, sides[1][0].name
    if link.groups is None or result.why not in ("too-few-items", "none-free"):
        return undefined(case, result, unit="r", n_rows=n_rows, table=table, detail=detail)
    detail["flat"] = evidence.flat(sides, (link.pairs.x, link.pairs.y))
    return unsettled(
        case, "not-tested", ["groups"], unit="r", n_items=result.n_items, n_rows=n_rows,
        method=result.method, table=table, detail=detail,
    )  # fmt: skip


def _sound(
    case: Case, x: Side, y: Side, result: Estimate, reasons: list[str], detail: Story
) -> tuple[Estimate, Code]:
    """The estimate that decides and its verdict: nothing is backed on what x and y share."""
    test = case.test
    assert isinstance(test, Association)
    shared = shared_part(case.study, x, y, test.at)
    if shared is None:
        return result, verdict_of(case, result)
    reasons.append("shared-part")
    detail["shared_part"] = shared.kind
    other = oldham(shared, test.at) if not test.given else None
    if other is None:
        return result, "cannot-tell"
    # Items that change each in its own way also make this one positive (Hayes 1988), so that it
    # leans at most.
    return replace(other, method="r of change and mean of both readings (Oldham)"), rules.demoted(
        verdict_of(case, other)
    )


def _of_groups(
    code: Code, case: Case, link: ItemLink, result: Estimate, reasons: list[str], detail: Story
) -> Code:
    """Few groups are few, and a link between their means only is none among items."""
    if link.groups is None:
        return code
    plain = stats.pearson(link.pairs.x, link.pairs.y)
    if isinstance(plain, Estimate):
        less = grouped.lies_between(plain.value, result.value)
        detail["between_groups"] = bool(
            less and _shows(case, plain) and not _shows(case, result))
        detail["r_over_all"] = plain.value
    if detail.get("between_groups") or (code in DECIDED and detail["n_groups"] <= FEW_GROUPS):
        reasons.append("groups")
    return code


def _shows(case: Case, result: Estimate) -> bool:
    """Whether there is a link at all by its range; one that falls short of strong may be none."""
    if isinstance(case.test, Association) and case.test.strong in (True, "yes"):
        return verdict_of(case, result) == "backed"
    return verdict_of(case, result) in DECIDED


def _at_unequal_use(
    code: Code,
    case: Case,
    x: Side,
    y: Side,
    link: ItemLink,
    result: Estimate,
    reasons: list[str],
    detail: Story,
) -> Code:
    """Items read at different checkpoints are compared at those that all of them share.

    Where they share none, how far each was used makes a link by itself, unless the verdict is the
    same at each checkpoint alone; and so may conditions that each was read under, where hardly any
    was read under all of them.
    """
    shared = link.pairs.shared
    if link.pairs.mixed:
        reasons.append("unequal-use")
        return rules.unseated(code)
    if shared is None:
        return code
    every = evidence.pairs_of_checkpoints(x, y)
    if shared == 0:
        alone = {_alone(case, link, points) for points in evidence.at_each(every)}
        own = verdict_of(case, result)
        detail |= {"each_alone": alone == {own} if alone else None, "none_alone": own not in alone}
        if alone == {own}:
            return code
        reasons.append("unequal-use")
        return rules.unseated(code)
    mine = evidence.kept(every, np.isin(every.items, link.pairs.items))
    again = replace(link, pairs=evidence.means_of_items(mine)).result
    if isinstance(again, Undefined) or verdict_of(case, again) != verdict_of(case, result):
        reasons.append("unequal-use")
    return code


def _alone(case: Case, link: ItemLink, points: evidence.Pairs) -> Code | None:
    """What the range at one checkpoint says; None where there is none."""
    other = link.at_other(points)
    result = None if other is None else other.result
    return verdict_of(case, result) if isinstance(result, Estimate) else None


def _p_strong(e: Estimate, side: int, limits: rules.Thresholds) -> float | None:
    """Two-sided p of r against the size that "strong" asks of its near end, by Fisher's z."""
    r = e.value if side > 0 else -e.value if side < 0 else abs(e.value)
    df = e.n_items - 2 if e.df is None else e.df
    if abs(r) >= 1 or limits["strong_inner"] >= 1 or df < 2:
        return e.p
    away = math.atanh(r) - math.atanh(limits["strong_inner"])
    return math.erfc(abs(away) * math.sqrt((df - 1) / 2))


def operands(case: Case, test: object) -> tuple[Side, Side]:
    """The two measures, each with the table it is read from."""
    x = evidence.operand(case.study, test.x, test.table)  # type: ignore[attr-defined]
    return x, evidence.operand(case.study, test.y, test.table)  # type: ignore[attr-defined]


def cannot_pair(
    case: Case, x: Side, y: Side, at: evidence.Checkpoint | None = None
) -> Verdict | None:
    """Averages, or a checkpoint nobody measured at: nothing to hold against anything."""
    for table, _ in (x, y):
        if nothing := nothing_to_test(case, table, "r", at):
            return nothing
    return None


def story(case: Case, x: Side, y: Side, pairs: evidence.Pairs) -> Story:
    """Both levels, always: what sentences need to say whether they agree."""
    detail: Story = {"x": x[1], "y": y[1], "alone": list(pairs.alone),
                     "flat": evidence.flat((x, y), (pairs.x, pairs.y))}  # fmt: skip
    if pairs.shared is not None:
        detail |= {"shared_checkpoints": pairs.shared, "shared_at": pairs.shared_at}
    detail |= {"lacking": pairs.lacking, "lacking_by": pairs.lacking_by, "mixed": pairs.mixed,
               "unmatched": pairs.unmatched}  # fmt: skip
    if not evidence.several_each(x, y):
        return detail
    both = both_levels(case.study, x, y, evidence.pairs_of_checkpoints(x, y))
    if isinstance(both, Undefined):
        return detail
    between = both.slope_between
    detail |= {
        "r_within": both.r,
        "slope_within": both.slope.value,
        "slope_within_low": both.slope.at95.low,
        "slope_within_high": both.slope.at95.high,
        "slope_between": between.value if between is not None else None,
        "p_slopes_differ": both.p_slopes_differ,
        "slopes_differ": differ(both),
    }
    return detail


def both_levels(
    study: Study, x: Side, y: Side, pairs: evidence.Pairs
) -> levels.Within | Undefined:
    """The relation of y to x within items and between them, wherever one is told: of items that
    come in groups each group counts once, so that no page has two slopes of one name."""
    groups = evidence.groups_of(study, (y[0], x[0]), pairs.names)
    of = group_of_each(pairs.names, groups)
    return levels.within(pairs.x, pairs.y, pairs.items, pairs.checkpoints, of)


def group_of_each(names: Sequence[str], groups: evidence.Words | None) -> dict[str, str] | None:
    """Each item's group, by its name; None where items come in none."""
    return None if groups is None else dict(zip(names, groups.tolist(), strict=True))


def differ(both: levels.Within) -> str:
    """Whether the two slopes differ: said only when shown, over readings and over items.

    "The same" is never said from a large p; only an equivalence test could say that.
    """
    ps = (both.p_slopes_differ, both.p_slopes_differ_items)
    return "differ" if all(p is not None and p < 0.05 for p in ps) else "cannot-tell"


def level_reasons(detail: Story) -> list[str]:
    return ["levels-disagree"] if detail.get("slopes_differ") == "differ" else []


def loo_range(link: ItemLink) -> dict[str, float | None]:
    """Smallest and largest r when each item is left out in turn."""
    each = [r for r in link.each_out if r is not None]
    return {"r_loo_min": min(each, default=None), "r_loo_max": max(each, default=None)}


def doubted(
    code: Code,
    case: Case,
    x: Side,
    y: Side,
    link: ItemLink,
    result: Estimate,
    reasons: list[str],
    detail: Story,
) -> Code:
    """Fragile: one item carries r, or two.  One-step: one checkpoint carries it."""
    test = case.test
    assert isinstance(test, Association)
    if code not in DECIDED or detail.get("shared_part"):
        return code
    halving, before = case.limits["fragile_halving"], code
    side, line = rules.SIDE[test.direction], case.limits["strong_inner"] if test.strong else None
    found = _carriers(code, link, result, halving, side, line)
    if found:
        reasons.append("fragile")
        detail |= found
        code = rules.unseated(code)
    if test.at is None and x[0].use is not None and y[0].use is not None:
        uses, without = _without_each_checkpoint(x, y, link)
        stepped, step = rules.carried(before, result.value, without, halving, side, line)
        if stepped and len(uses) > 2:
            reasons.append("one-step")
            detail |= {"one_step_at": uses[step], "one_step_without": without[step]}
            code = rules.demoted(code)
    return code


def _carriers(
    code: Code, link: ItemLink, result: Estimate, halving: float, side: int, line: float | None
) -> Story:
    """The item without which r turns round or halves, or the two; empty where none does.

    Two twins far out carry a link that neither carries alone, since the other stays.  Leaving two
    out costs about a tenth of honest links from eight items on and a quarter below; there the
    ranks, which know no distance, must only not go the other way.  A lean says little enough, and
    how far r falls short of "strong" does not hang on twins.
    """
    names, n = link.pairs.items, len(link.pairs.items)
    each = link.each_out
    fragile, which = rules.carried(code, result.value, each, halving, side, line)
    if fragile:
        return {"fragile_item": str(names[which]), "fragile_without": each[which]}
    if n < TWINS_FROM:
        ranks = link.ranks
        if ranks is None or ranks * result.value >= 0:
            return {}
        return {"fragile_item": str(names[which]), "fragile_without": each[which],
                "ranks_opposite": True}  # fmt: skip
    if n > TWINS_TO or code == "leans" or (code == "against" and line is not None):
        return {}
    two = list(combinations(range(n), 2))
    left = [link.without(*pair) for pair in two]
    fragile, which = rules.carried(code, result.value, left, halving, side, line)
    if not fragile:
        return {}
    first, second = two[which]
    return {"fragile_item": str(names[first]), "fragile_pair": str(names[second]),
            "fragile_without": left[which]}  # fmt: skip


def _without_each_checkpoint(
    x: Side, y: Side, link: ItemLink
) -> tuple[list[float], list[float | None]]:
    many = evidence.at_shared(evidence.pairs_of_checkpoints(x, y))[0]
    uses = sorted(set(many.use.tolist()))
    answers: list[float | None] = []
    for use in uses:
        means = evidence.means_of_items(evidence.kept(many, many.use != use))
        other = link.at_other(means)
        answers.append(None if other is None else other.without())
    return uses, answers


def gauge_doubts(
    code: Code, case: Case, x: Side, y: Side, link: ItemLink, reasons: list[str]
) -> Code:
    """Where half of what sets items apart may be the gauge's own scatter, r says little of them.

    Scatter of the gauge pulls r towards 0, so that allowing for it may hold back and never
    strengthens a verdict.
    """
    if code not in DECIDED:
        return code
    readings = link.pairs.n_rows / max(1, len(link.pairs.x))
    apart = link.left if link.held is not None else (link.pairs.x, link.pairs.y)
    shares = [reliability_between(case.study, side, values, readings)
              for side, values in zip((x, y), apart, strict=True)]  # fmt: skip
    if any(share is not None and share < case.limits["gauge_half"] for share in shares):
        reasons.append("gauge-too-coarse")
        return rules.demoted(code)
    return code


def r_strip(e: Estimate, side: int, line: float) -> Strip:
    """r on its own number line from −1 to 1."""
    zone = (line, 1.0) if side > 0 else (-1.0, -line) if side < 0 else None
    return Strip(
        value=e.value, low=e.at95.low, high=e.at95.high, claim_zone=zone, small_zone=None,
        null=0.0, unit="r", less_is="one up, the other down",
        more_is="both up together", beyond=None if side else line,
    )  # fmt: skip
