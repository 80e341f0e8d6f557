"""The numbers each kind of figure draws: one frozen record per kind, no words, no colours."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise
from typing import Literal

from explainer.analysis.grouped import with_mates
from explainer.analysis.pathcurves import goes_one_way
from explainer.units import LANE_BOARDS


@dataclass(frozen=True)
class ItemLine:
    """One item over the checkpoints: ``use`` and ``y`` of equal length, in order of use."""

    item: str
    group: str
    use: tuple[float, ...]
    y: tuple[float, ...]


@dataclass(frozen=True)
class MeanPoint:
    """The mean over items at one checkpoint, with its 95% range (None below 3 items)."""

    use: float
    mean: float
    low: float | None
    high: float | None
    n_items: int


@dataclass(frozen=True)
class OverUseData:
    """``over-use``: each item's line, and the means."""

    lines: tuple[ItemLine, ...]
    means: tuple[MeanPoint, ...]
    checkpoints: tuple[float, ...]
    """All checkpoints of the table: the last is the edge of the data."""
    matters_from: float | None
    claimed_to: float | None = None
    """A checkpoint past the data that a claim reaches for."""
    averages: bool = False
    """Lines are averages as printed, not items: nothing says how sure their own average is."""
    claimed_elsewhere: bool = False
    """Nobody in the report goes that far: it is another voice that does."""
    limit_low: float | None = None
    limit_high: float | None = None
    """The rule's limit on this measure, if any."""
    models: Mapping[str, str] = field(default_factory=dict)
    """The group of each item as the study sorts them, by which claims are worked out: then each
    group counts once in every average.  Empty where there are none."""
    sorted_as: str = "group"
    """What such a group is called."""
    changes: tuple[tuple[str, float], ...] = ()
    """Each item's change from its own start, of those read at both ends."""
    change: tuple[float, float | None, float | None] | None = None
    """The average of ``changes`` with its 95% range (None below 3 items)."""
    by: str | None = None
    """The column whose values are the lines' groups."""

    @property
    def averaged(self) -> tuple[str, ...]:
        """The items whose average is drawn: those read at both ends, or all where fewer than two
        were."""
        ends = {self.checkpoints[0], self.checkpoints[-1]} if self.checkpoints else set()
        both = tuple(line.item for line in self.lines if ends <= set(line.use))
        return both if len(both) > 1 else tuple(line.item for line in self.lines if line.use)

    @property
    def fewer(self) -> frozenset[float]:
        """The checkpoints at which the mean is of fewer than its whole line is of."""
        return frozenset(m.use for m in self.means if m.n_items < len(self.averaged))

    @property
    def fewer_alike(self) -> bool:
        """Whether each step of the mean line to or from such a checkpoint is one that those read at
        both of its ends made, by half of it at least: then it is more than who was not read."""
        own = {line.item: dict(zip(line.use, line.y, strict=True)) for line in self.lines}
        read = [own[item] for item in self.averaged]
        for a, b in pairwise(self.means):
            made = [y[b.use] - y[a.use] for y in read if a.use in y and b.use in y]
            step = b.mean - a.mean
            if {a.use, b.use} & self.fewer and not (
                    made and sum(made) / len(made) * math.copysign(1, step) >= abs(step) / 2 > 0):
                return False
        return bool(self.fewer)

    @property
    def gaps(self) -> bool:
        """Some line goes on past a checkpoint at which it was not read."""
        place = {use: rank for rank, use in enumerate(self.checkpoints)}
        return any(place[line.use[-1]] - place[line.use[0]] >= len(line.use)
                   for line in self.lines if line.use)  # fmt: skip

    @property
    def drawn(self) -> tuple[tuple[tuple[float, ...], tuple[float, ...]], ...]:
        """The places of each line; one read once only has a lone mark, and no line."""
        return tuple((line.use, line.y) for line in self.lines if len(line.use) > 1)

    @property
    def covered(self) -> int:
        """How many lone marks lie on a mark of another item."""
        marks = Counter(m for line in self.lines for m in zip(line.use, line.y, strict=True))
        return sum(marks[line.use[0], line.y[0]] > 1 for line in self.lines if len(line.use) == 1)

    @property
    def uneven(self) -> bool:
        """Some groups have more of these items than others, so that counting each once tells."""
        of = [self.models[item] for item in self.averaged if item in self.models]
        return len(set(Counter(of).values())) > 1

    @property
    def uneven_between(self) -> bool:
        """So it is at some checkpoint, where those of them count that were read there."""
        read = {line.item: set(line.use) for line in self.lines}
        of = [Counter(self.models[item] for item in self.averaged
                      if item in self.models and use in read[item]) for use in self.checkpoints]
        return any(len(set(counts.values())) > 1 for counts in of)

    @property
    def range_from(self) -> int:
        """Of how many items the scatter is that the range of the change goes by where each group
        counts once: those that have others in theirs.  0 where it is that of all of them."""
        return with_mates([self.models.get(item, "") for item, _ in self.changes]) or 0

    @property
    def named_by(self) -> int:
        """Columns ahead of the readings in the figure's table: item, and group if there is one."""
        return 2 if any(line.group for line in self.lines) else 1


@dataclass(frozen=True)
class Point:
    """One item at one checkpoint (``use`` None: the item's mean)."""

    item: str
    group: str
    use: float | None
    x: float
    y: float


@dataclass(frozen=True)
class FitLine:
    """A straight line y = intercept + slope·x, drawn over [x_from, x_to] only."""

    slope: float
    intercept: float
    x_from: float
    x_to: float


@dataclass(frozen=True)
class ScatterData:
    """``scatter``: item means, or (joined) every checkpoint, with the lines at both levels."""

    points: tuple[Point, ...]
    item_means: tuple[Point, ...]
    between: FitLine | None
    """Across items: through the item means (or through ``line_from``)."""
    within: FitLine | None
    """Each item's own journey, pooled; drawn through the overall mean."""
    joined: bool
    line_points: tuple[Point, ...] = ()
    """Items of ``line_from`` that give the line, if another table does."""
    sure: bool = True
    """Whether the line across items has a slope: the 95% range of their link leaves 0 out."""
    without: FitLine | None = None
    """The line across the others, where one item makes most of the link; its name in ``one``."""
    one: str = ""
    at: float | None = None
    """The one checkpoint the dots stand for, where its claims are tested at that alone; else each
    is an average."""
    shared: int | None = None
    """Over how many checkpoints an average goes where not all items were read at the same: those
    that all share; 0 where they share none and each has its own.  None where all were read alike.
    """
    shared_at: float | None = None
    """Which one that is, where they share one."""
    unmatched: bool = False
    """Some items have readings of x or of y alone, which their averages leave out."""
    expected: tuple[tuple[float, float], tuple[float, float]] | None = None
    """(x, y) where journeys start on average, and where one from there would end that changed by
    their average x along the line across items."""
    by: str | None = None
    """The column whose values are the dots' groups."""

    @property
    def lone(self) -> int:
        """Of how many items one point alone is drawn."""
        return sum(count == 1 for count in Counter(p.item for p in self.points).values())

    @property
    def still(self) -> int:
        """How many have several points, all at one place across."""
        at = {item: [p.x for p in self.points if p.item == item]
              for item in {p.item for p in self.points}}
        return sum(len(xs) > 1 and len(set(xs)) == 1 for xs in at.values())

    @property
    def back(self) -> int:
        """How many items end on the very spot where they began, with no arrow between."""
        ends: dict[str, list[tuple[float, float]]] = {}
        for p in self.points:
            ends.setdefault(p.item, []).append((p.x, p.y))
        return sum(len(at) > 1 and at[0] == at[-1] for at in ends.values())

    @property
    def spots(self) -> int:
        """How many places the items' own dots take: averages that differ by the last digit of a
        float lie on one."""
        return len({(f"{p.x:.9g}", f"{p.y:.9g}") for p in self.item_means or self.points})


PANELS = 6
"""Of more items than this a ``shot-series`` shows only each one's robust line."""
SHOTS = 400
"""More shots than this in one panel are drawn as ranges."""


@dataclass(frozen=True)
class OneShot:
    """One value of a series, in order; ``flagged`` stands apart from its neighbors."""

    order: float
    y: float
    flagged: bool


@dataclass(frozen=True)
class ItemSeries:
    """One item's shots, their median and robust line, and the ends a claim compares."""

    item: str
    group: str
    shots: tuple[OneShot, ...]
    median: float
    slope: float | None
    """Theil–Sen slope per step of the order; the line passes through the medians."""
    intercept: float | None
    first_mean: float | None = None
    last_mean: float | None = None
    runs: tuple[tuple[float, float, float], ...] = ()
    """First and last order and average of shots in a row, so many as the figure says, from the
    first to the last; none that shares a shot with the ends compared."""


@dataclass(frozen=True)
class ShotSeriesData:
    """``shot-series``: every shot of every item."""

    series: tuple[ItemSeries, ...]
    first: int | None
    last: int | None
    order_name: str
    run: int = 0
    """How many shots in a row each average takes; 0 where items have too few for two averages."""


#: Where the last third of the lane begins, in feet.
LAST_THIRD = 40.0


@dataclass(frozen=True)
class PathLine:
    """A mean path over items, as far as all of them were read, with its simultaneous 95% band
    (None where no band exists)."""

    name: str
    distance: tuple[float, ...]
    board: tuple[float, ...]
    low: tuple[float | None, ...]
    high: tuple[float | None, ...]
    n_items: int
    breakpoint: float | None
    """Feet down the lane of the extreme board, known only to ± ``spacing``."""
    spacing: float | None

    @property
    def turns(self) -> bool:
        """Whether that says anything: of three marks a path can turn at the middle one only, one
        that goes to and fro turns more than once, and where a band tells nothing, at that mark or
        a neighbour's, the average may turn anywhere."""
        if self.breakpoint is None or len(self.distance) <= 3:
            return False
        at = self.distance.index(self.breakpoint)
        there, back = self.board[: at + 1], self.board[at:]
        return (goes_one_way(there) and goes_one_way(back)
                and not any(self.past_lane[at - 1 : at + 2]))  # fmt: skip

    @property
    def past_lane(self) -> tuple[bool, ...]:
        """At each mark, whether its band is wider than a lane: where no band tells anything."""
        return tuple(low is not None and high is not None and high - low > LANE_BOARDS
                     for low, high in zip(self.low, self.high, strict=True))  # fmt: skip


@dataclass(frozen=True)
class PathGap:
    """How far the last mean path lies from the first at one distance, in boards."""

    distance: float
    mean: float
    low: float | None
    high: float | None
    """Its 95% band, simultaneous over all distances."""


@dataclass(frozen=True)
class BallPathsData:
    """``ball-paths``: mean paths and, faintly, each item's own."""

    lines: tuple[PathLine, ...]
    items: tuple[tuple[str, str, tuple[float, ...], tuple[float, ...]], ...]
    """(item, name of its line, distances, boards)."""
    hand: str
    gaps: tuple[PathGap, ...] = ()
    """From the first to the last of ``lines``, where both were read."""
    averaged: bool = False
    """Some item was read more than once at a mark of one line: its own line is of averages."""
    patched: bool = False
    """Of more readings at some marks than at others: which they are changes along the lane."""

    @property
    def late(self) -> bool:
        """Every mean path was read at two distances of the last third: that part is drawn large,
        and the whole lane small beside it."""
        return bool(self.lines) and all(
            sum(feet >= LAST_THIRD for feet in line.distance) > 1 for line in self.lines
        )

    @property
    def unaveraged(self) -> tuple[str, ...]:
        """Those that would be a line, had all of their paths been read at any one distance."""
        named = dict.fromkeys(name for _, name, *_ in self.items)
        return tuple(name for name in named if name not in {line.name for line in self.lines})

    @property
    def read_between(self) -> bool:
        """Some path was read between two marks of the line that averages it."""
        feet = {line.name: line.distance for line in self.lines}
        return any(
            feet[name][0] < mark < feet[name][-1] and mark not in feet[name]
            for _, name, read, _ in self.items if name in feet for mark in read
        )  # fmt: skip

    @property
    def short(self) -> bool:
        """A path goes on to where the line that averages it does not."""
        feet = {line.name: set(line.distance) for line in self.lines}
        return any(not feet[name].issuperset(read)
                   for _, name, read, _ in self.items if name in feet)  # fmt: skip


@dataclass(frozen=True)
class Group:
    """Items of one group side by side: (item, value), their mean and its 95% range."""

    name: str
    items: tuple[tuple[str, float], ...]
    mean: float
    low: float | None
    high: float | None


@dataclass(frozen=True)
class GroupsData:
    """``groups``: one column of dots per group; ``paired`` joins the same item across groups."""

    groups: tuple[Group, ...]
    matters_from: float | None
    paired: bool
    models: Mapping[str, str] = field(default_factory=dict)
    """The group of each item as the study sorts them, where it stands in every column: then each
    counts once in every average.  Empty elsewhere."""

    @property
    def uneven(self) -> bool:
        """Some of them have more items in a column than others."""
        columns = [Counter(map(self.models.get, (i for i, _ in g.items))) for g in self.groups]
        return bool(self.models) and any(len(set(c.values())) > 1 for c in columns)


@dataclass(frozen=True)
class Rate:
    """Successes out of attempts, 0 to 1, with its 95% range where one is drawn."""

    name: str
    successes: int
    attempts: int
    rate: float
    low: float | None = None
    high: float | None = None


CROWD = 14
"""Of more people than this, heavy lines would make one tangle."""


@dataclass(frozen=True)
class RatesData:
    """``rates``: pooled per condition, and each one's own pair of rates where there is one."""

    pooled: tuple[Rate, ...]
    within: tuple[tuple[str, tuple[Rate, ...]], ...]
    """(who, one rate per condition, in the order of ``pooled``)."""
    once: bool = False
    """Every attempt is another one of what counts, so that the ranges rest on attempts; else on
    those who made them."""
    apart: bool = False
    """Nobody tried under both of the first two conditions."""

    @property
    def turned(self) -> frozenset[str]:
        """Whose own rates go the other way than the totals do, where they are few enough to be told
        apart."""
        if len(self.pooled) < 2 or len(self.within) > CROWD:
            return frozenset()
        total = self.pooled[-1].rate - self.pooled[0].rate
        return frozenset(who for who, own in self.within
                         if len(own) > 1 and (own[-1].rate - own[0].rate) * total < 0)  # fmt: skip

    @property
    def uneven_weights(self) -> bool:
        """Whether some count for more in the gap: those who tried both often, n₁n₂/(n₁ + n₂)."""
        return len({Fraction(math.prod(n), sum(n) or 1) for _, own in self.within
                    if (n := [rate.attempts for rate in own])}) > 1  # fmt: skip


@dataclass(frozen=True)
class GaugeReading:
    """One reading of a part by an operator."""

    part: str
    operator: str
    repeat: int
    y: float


@dataclass(frozen=True)
class GaugeData:
    """``gauge``: every reading, part by part and operator by operator."""

    readings: tuple[GaugeReading, ...]
    parts: tuple[str, ...]
    operators: tuple[str, ...]
    grr: float | None
    mdd: float | None


@dataclass(frozen=True)
class LimitReading:
    """One item's value against the limit."""

    item: str
    value: float
    call: str
    """``pass``, ``fail`` or ``too-close``."""
    p_conform: float | None
    """None where nobody knows the gauge."""


@dataclass(frozen=True)
class LimitData:
    """``limit``: readings, the limit, and the zone that is too close to call on both sides."""

    readings: tuple[LimitReading, ...]
    at_least: float | None
    at_most: float | None
    guard: float
    people: bool = False
    """Readings on people: ranked, and nobody passes or fails."""
    exact: bool = False
    """The study takes the readings as exact; without, a guard of 0 means that nobody knows."""
    claimed: tuple[tuple[float | None, float | None], ...] = ()
    """Other limits (at_least, at_most) that claims hold these very readings to."""
    otherwise: Counter[str] | None = None
    """The calls by the first of them, where one counts otherwise than is drawn."""
    larger_u: bool = False
    """Another place of the study gives these readings a larger uncertainty than the figure does."""
    all_read: str = ""
    """On which side of the limit every reading lies, where all lie on one."""


@dataclass(frozen=True)
class Yardstick:
    """A curve from a physics formula, drawn beside a figure and never a verdict."""

    kind: str
    """``contact-patch`` (x in Shore D, y a ratio) or ``roll-out`` (x friction, y in feet)."""
    measure: str
    """The study's measure it leans on; empty where it leans on none."""
    x: tuple[float, ...]
    y: tuple[float, ...]
    reference: float
    """The hardness that counts as 1, or the ball speed in miles an hour."""


WalkShape = Literal[
    "flat", "jump", "slide", "back", "wobble", "read", "next", "close", "call",
    "raised", "lowered", "luck", "drift", "leap", "wander",
    "both", "across", "upright", "neither", "point",
]


@dataclass(frozen=True)
class WalkStep:
    """One item: where it started, where it ended, and what it did on the way."""

    item: str
    shape: WalkShape
    """``flat``: never further apart than the gauge sees; ``jump``: one step, then flat; ``slide``:
    from end to end; ``back``: away and back again; ``wobble``: further apart on the way than from
    end to end, which the gauge cannot tell apart; ``read``: nobody knows what the gauge sees.
    Of items without a journey ``next`` and ``close``: apart from the one before, or not; ``call``:
    held against a limit.  Of rates ``raised``, ``lowered``: further apart than the luck of so many
    tries explains (95%), or not: ``luck``.  Of shots in order ``drift`` or ``wander``: with a
    direction that their own scatter leaves standing (``p``), or without; ``leap``: with one, and a
    jump fits it better than a drift (then ``start`` and ``end`` are the means before it and from it
    on, else the ends of a straight line).  Of two measures ``both``,
    ``across`` (x alone), ``upright`` (y alone), ``neither``: which of them moved by more than its
    gauge blurs; ``point``: one reading of each, or nothing known of a gauge."""
    start: float
    end: float
    turn: float | None = None
    """The checkpoint of the jump, or of the farthest reading before it came back."""
    at: float | None = None
    """The reading there."""
    gap: float = 0.0
    """From the item before, in the measure's unit."""
    rest: float = 0.0
    """How far apart the readings from the jump on lie, or all of them."""
    call: str = ""
    odd: bool = False
    """Whether its change stands apart from the others'."""
    tries: tuple[tuple[int, int], ...] = ()
    """Successes and attempts under the first condition and the last; of rates alone."""
    across: tuple[float, float] | None = None
    """The first and last x of two measures."""
    p: float | None = None
    """Of a series: how often luck alone drifts so (Mann-Kendall, neighbors allowed to be alike)."""
    ahead: float | None = None
    """Of a leap: by how much it fits better than a straight line (AICc)."""


@dataclass(frozen=True)
class WalkSum:
    """What a walk comes to: which way they went by their readings, who went first and furthest."""

    n: int
    sign: int
    """The way most went: 1 up, -1 down, 0 as many one way as the other."""
    went: int
    """How many went that way, by their readings; where none is ahead, how many went each way."""
    surely: int
    """How many of these by more than the gauge, or the luck of tries, explains."""
    against: tuple[str, ...] = ()
    """Who went the other way, by their readings."""
    furthest: str = ""
    """Who went furthest that way; empty where several did."""
    clear: bool = False
    """Whether by more than the gauge sees further than the next."""
    first: tuple[str, ...] = ()
    """Who moved first by more than the gauge sees; empty where nobody did, or nobody knows it."""
    first_by: float | None = None
    """The checkpoint by which they had."""


@dataclass(frozen=True)
class Walk:
    """Every item in turn."""

    measure: str
    sees: float | None
    """The smallest difference between two values that is not the gauge's own scatter, in the
    measure's unit; None where the study knows nothing of its gauge."""
    steps: tuple[WalkStep, ...]
    left: int
    """How many more items there are."""
    sides: tuple[str, ...] = ()
    """Of rates: the two conditions, as the rows have them."""
    across: str = ""
    """Of two measures: the one along the bottom; ``measure`` is the one up the side."""
    sees_across: float | None = None
    whole: WalkSum | None = None
    """What all of it comes to; None of items that went nowhere, or of fewer than three."""
    limits: tuple[float | None, ...] = ()
    """What each of them is held to."""
