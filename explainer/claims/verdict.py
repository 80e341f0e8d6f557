"""What stage 3 hands on: verdicts, the reason chain, open questions, what figures show."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import Field, dataclass, field, fields
from inspect import get_annotations
from typing import Any, Literal

from explainer.claims.figure_data import Walk, Yardstick
from explainer.claims.luck import Luck
from explainer.study.description.figures import AnyFigure
from explainer.study.description.rule import Claim
from explainer.study.description.telling import Voice
from explainer.study.description.tests import AnyTest
from explainer.study.model import Study

# What a verdict knows beside its range: one frozen record a kind of claim.
# Sentences, strips, tables and the results file read these fields only. One made with
# ``published`` is an extra number of the kind: it goes into ``results.json`` under its own name
# and into the page's tables under its label. All are in the measure's own unit unless said.

#: What an extra number is counted in: the claim's own unit, its measure's, the unit of a slope,
#: a probability, or nothing.
In = Literal["claim", "measure", "slope", "p", "none"]


def published(label: str = "", unit: In = "none", beside: str = "") -> Any:
    """A field of the results file.  ``label`` names it for readers ({item}, {items} and {Items}
    are filled in; without one its own name does), ``beside`` the field it is read next to."""
    return field(default=None, metadata={"label": label, "unit": unit, "beside": beside})


@dataclass(frozen=True, kw_only=True)
class SecondLooks:
    """What the second looks (``claims/design``) found; numbers in the verdict's own unit."""

    cut_low: int = 0
    """Readings at the lowest and at the highest end of the scale, and of how many."""
    cut_high: int = 0
    cut_of: int = 0
    cut_piled: bool = False
    """No end is declared: the readings are piled up on the outermost value."""
    cut_two: bool = False
    """All of them stand on two values."""
    cut_many: bool = False
    """So many that nothing may rest on their being alike."""
    left: tuple[str, ...] = ()
    """Items that are not at every checkpoint, and how many are."""
    stayed: int = 0
    stayed_all: int = 0
    """All that were there throughout, where some of them say nothing of what is claimed."""
    left_tied: bool = False
    """Those who left had other first readings (``start``) or other changes up to their last."""
    left_by: str = ""
    left_p: float | None = None
    left_early: int = 0
    """Those in ``left`` that this rests on: read first (for a change: again), not at the end."""
    left_turns: bool = False
    """The verdict is another one for those who stayed, or for all that can be used."""
    left_moved: tuple[str, ...] = ()
    """Items that moved by more than counts in one of those two answers and hold that one back."""
    stayed_estimate: float | None = None
    stayed_low: float | None = None
    stayed_high: float | None = None
    whole_n: int = 0
    whole_estimate: float | None = None
    whole_low: float | None = None
    whole_high: float | None = None
    excluded: tuple[str, ...] = ()
    """Readings that the author left out, as item and row; and the answer with them."""
    exclusion_turns: bool = False
    with_estimate: float | None = None
    with_low: float | None = None
    with_high: float | None = None
    with_moved: tuple[str, ...] = ()
    """Items that then moved by more than counts, which holds the answer with them back."""
    confounder: str = ""
    """A column of who or where whose values part as the comparison does, and what it goes with."""
    confounded_with: str = ""
    confounder_a: str = ""
    confounder_b: str = ""
    confounder_then: str = ""
    """What came after ``confounder_a`` each time, in a column of time; no ``confounder_b`` then."""
    turn_by: str = ""
    """A column of order or time by which some had the one condition first, and some the other."""
    turn_a: int = 0
    turn_b: int = 0
    turn_estimate: float | None = None
    """The answer with each order counted once; None where as many had either, or too few one."""
    turn_low: float | None = None
    turn_high: float | None = None
    turn_decides: bool = False
    operators_apart: float | None = None
    """How far the study's own gauge check sets operators apart."""
    confounder_within: bool = False
    """What was found may be no more than that."""
    chosen_by: str = ""
    """What the items were picked by, and whether the study says so."""
    chosen_who: tuple[str, ...] = ()
    """What those that were picked are called, where not all of them were."""
    chosen_declared: bool = False
    chosen_side: int = 0
    """1: the highest were picked, −1: the lowest; 0: it is not known which."""
    falls_back: float | None = None
    """How far their mean comes back by itself when it is read again; None where nobody knows."""
    chosen_holds: bool = False
    """Whether the verdict stands all the same."""
    chosen_apart: bool = False
    """Only one side of the comparison was picked, so that the two were made to differ."""
    unequal: bool = False
    """Those compared were not read over the same stretch of use or of a series."""
    unequal_from: float | None = None
    """The stretch that all of them share, and the answer there; None where there is none."""
    unequal_to: float | None = None
    unequal_estimate: float | None = None
    unequal_low: float | None = None
    unequal_high: float | None = None
    shared_sd: float | None = None
    """Spread of an error that all items share at a checkpoint, as allowed for."""
    shared_from: str = ""
    """declared, or the reference item it is worked out from."""
    unshared: bool = False
    """A change over checkpoints, and nobody looked whether the gauge was off on one day."""

    alone: tuple[tuple[str, str], ...] = ()
    """The verdicts that such answers would get by themselves, and the claim's (``left_own``)."""

    def found(self) -> dict[str, Any]:
        """Every field that says something, by name."""
        every = {f.name: (getattr(self, f.name), f.default) for f in fields(self)}
        return {name: value for name, (value, default) in every.items() if value != default}


@dataclass(frozen=True, kw_only=True)
class Detail:
    """What any kind may say: why nothing was tested, and what holds a verdict back."""

    undefined: str = ""
    """Why stage 2 had nothing to work out; empty where it had."""
    takes: int | None = None
    """How many it takes at the least, of what were too few."""
    one_item: str | None = None
    """The one item that the claim is about, held to the gauge; None where it is about items."""
    mean_of: int | None = None
    """Each row is a published average of so many items."""
    reaches: float | None = None
    """The checkpoint (or reading, for `same-line`) past what was measured that decides."""
    measured_from: float | None = None
    measured_to: float | None = None
    fragile_item: str | None = None
    """The item without which the verdict does not stand, and the estimate without it."""
    fragile_without: float | None = None
    fragile_count: int = 1
    """Of how many it is true, each taken alone."""
    fragile_range: bool = False
    """Without it the range no longer fits, though the estimate may stay where the claim needs it,
    or there is none to judge by."""
    fragile_pair: str | None = None
    """A second item that carries the verdict together with the first, where it takes two."""
    ranks_opposite: bool = False
    """The items' ranks go the other way than their numbers do."""
    n_groups: int | None = None
    """How many groups the items come in, where the study sorts them."""
    groups_uneven: bool = False
    """Some groups have more items than others, so that counting each once makes a difference."""
    groups_apart: bool = False
    """Groups' own means lie on both sides of nothing; of `no-change`, two moved apart and count."""
    groups_by: str = ""
    """The column that sorts items so, where it is not the study's own."""
    between_groups: bool = False
    """The link is one between groups: among the items of one group it is not shown."""
    lacking: tuple[str, ...] = ()
    """Items that were not read under every condition the others were read under."""
    lacking_by: str = ""
    """The column of these conditions."""
    mixed: bool = False
    """They count all the same, since they are most: averages are of different conditions."""
    shared_checkpoints: int | None = None
    """At how many checkpoints all items were read, where they were read at different ones."""
    shared_at: float | None = None
    """The one they were all read at, where it is one."""
    each_alone: bool | None = False
    """They share none of those, and at each one alone the verdict is the same; None where too few
    stood at any one to look."""
    shared_part: str | None = None
    """What x and y have in common: ``start``, ``denominator`` or ``part``."""
    moved_items: tuple[str, ...] = ()
    """Items that moved past the margin by more than the gauge explains."""
    gauge_unknown: bool = False
    step_at: float | None = None
    """Where a series jumps, if a jump fits it better than a drift."""
    one_step_at: float | None = None
    """The checkpoint without which the verdict does not stand, and the estimate without it."""
    one_step_without: float | None = None
    group_only: str | None = None
    """The one group that all tested items belong to, where the study sorts them."""
    mdd: float | None = None
    """Smallest difference that the gauge can tell from its own noise (95%)."""
    margin: float | None = None
    """The smallest size that matters; in r for `no-association`."""
    at_least: float | None = None
    """The size the claim says, at least."""
    strong: bool = False
    flags_decide: bool = False
    """The verdict is another one without the readings that stand apart."""
    flagged: tuple[str, ...] = ()
    """Readings that stand apart, as ``item place``."""
    because: str = ""
    reading_error: float | None = None
    p_line: float | None = None
    """p against the claimed size, where the verdict rests on that one."""
    p_alone: float | None = None
    """The deciding p before and after the Holm correction."""
    p_after: float | None = None
    smallest_p: float | None = None
    """Smallest p a sign-flip test of this many items can give."""
    without: tuple[str, ...] = ()
    """Items that could not be used, in the table's order."""
    outside_items: tuple[str, ...] = ()
    idle: tuple[str, ...] = ()
    """Reasons of second looks that took nothing from the verdict: they stand beside it only."""
    design: SecondLooks = SecondLooks()
    """What the second looks found."""

    def numbers(self) -> dict[str, Any]:
        """The extra numbers of the results file, in the order of the kind's own fields."""
        return {f.name: getattr(self, f.name) for f in extra_fields(type(self))}

    def known(self) -> dict[str, Any]:
        """Every field that says something, by name."""
        every = {f.name: getattr(self, f.name) for f in fields(self)}
        del every["design"], every["idle"]
        return {k: v for k, v in every.items() if v is not None and v is not False and v != ""}


def extra_fields(kind: type[Detail]) -> Iterator[Field[Any]]:
    """The published fields of a kind, in the order in which its own record names them."""
    by_name = {f.name: f for f in fields(kind)}
    own = (by_name[name] for name in get_annotations(kind))
    return (f for f in own if "label" in f.metadata)


def made(kind: type[Detail], known: Mapping[str, Any]) -> Detail:
    """The record of ``kind``, with None for whatever is not a number a page can show.

    TypeError for a name the kind does not declare.
    """
    return kind(**{name: _shown(value) for name, value in known.items()})


def _shown(value: Any) -> Any:
    if isinstance(value, list | tuple):
        return tuple(value)
    if isinstance(value, bool) or value is None or isinstance(value, str | int | dict):
        return value
    number = float(value)
    return number if math.isfinite(number) else None


Code = Literal["backed", "leans", "cannot-tell", "against", "not-tested"]

#: From weakest to strongest; a chain is as strong as its weakest link.
STRENGTH: tuple[Code, ...] = ("against", "not-tested", "cannot-tell", "leans", "backed")
#: A claim of these is neither so nor not so.
UNANSWERED: tuple[Code, ...] = ("cannot-tell", "not-tested")

REASONS = (
    "beyond-data",
    "too-few-items",
    "fragile",
    "one-step",
    "real-but-small",
    "holm",
    "levels-disagree",
    "reversal",
    "gauge-too-coarse",
    "shared-trend",
    "only-averages",
    "one-group",
    "mixture",
    "no-margin",
    "reading-error",
    "not-a-data-question",
    "groups",
    "unequal-use",
    "shared-part",
    "items-moved",
    "evenly-scattered",
    "overshoots",
    "narrow-zone",
    "straight",
    "step",
    "pairs",
    "cut-off",
    "dropouts",
    "exclusion-decides",
    "confounded",
    "chosen",
)


@dataclass(frozen=True)
class Strip:
    """The range strip: a number line with the zones a claim is judged by, in the test's unit.

    ``claim_zone`` is where the claim needs the whole range to lie (an end may be None: open);
    ``small_zone`` is too small to matter; ``null`` the value of "nothing there".
    """

    value: float | None
    low: float | None
    high: float | None
    claim_zone: tuple[float | None, float | None] | None
    small_zone: tuple[float, float] | None
    null: float | None
    unit: str
    less_is: str = ""
    more_is: str = ""
    measured: tuple[float, ...] | None = None
    """For `limit`: what each item reads, lowest first."""
    small_too: tuple[float, float] | None = None
    """For `limit` with two sides: the zone about the upper one; ``small_zone``: the lower's."""
    beyond: float | None = None
    """In place of ``claim_zone`` for a claim of no way: the range lies past this, either side."""
    sure: tuple[float, float] | None = None
    """The part of ``claim_zone`` that backs the claim; in the rest it would do in a pinch."""
    level: float = 0.95
    """The range drawn is the one that decides: 95%, or 90% where equivalence does."""
    inner: tuple[float, float] | None = None
    """The 80% range, by which a claim leans; None where it rests on calls."""
    rough: bool = False
    """A number that has no range of its own and is told in two digits."""
    seen: float | None = None
    """Of a slope: how far what it is per was seen to go, in all readings; None where unknown."""
    outcomes: tuple[float, ...] = ()
    """Twenty equally likely answers, lowest first; empty where the range gives none."""

    @property
    def small_drawn(self) -> tuple[float, float] | None:
        """``small_zone``, but for a claim of a smaller size, which is held to its own."""
        ends = self.claim_zone or (self.beyond, None)
        size = abs(next((end for end in ends if end is not None), 0.0))
        zone, one_sided = self.small_zone, None in ends and self.measured is None
        return None if zone is not None and one_sided and 0.0 < size < zone[1] else zone

    @property
    def sizes(self) -> tuple[float, ...]:
        """The sizes above 0 that its number and range are held against; none for readings."""
        edges = [self.beyond, *(self.claim_zone or ()), *(self.small_zone or ())]
        return () if self.measured else tuple(sorted({abs(edge) for edge in edges if edge}))


@dataclass(frozen=True)
class Power:
    """What this design could see, and what would settle the claim (80% power, 5%)."""

    smallest_effect: float | None
    """In the claim's unit: the smallest true size this many items would usually find."""
    items_needed: int | None
    """About how many items would settle a size of ``at_effect``; None where unknown."""
    at_effect: float | None = None
    unit: str = ""
    told_from: float | None = None
    """What ``at_effect`` is to be told from; None: from nothing there."""


@dataclass(frozen=True)
class Verdict:
    """One claim (or one part of it) held against the data."""

    claim: Claim
    test: AnyTest
    code: Code
    reasons: tuple[str, ...]
    estimate: float | None
    low: float | None
    high: float | None
    level: float | None
    unit: str
    p: float | None
    p_holm: float | None
    n_items: int
    n_rows: int
    method: str
    strip: Strip | None = None
    power: Power | None = None
    detail: Detail = field(default_factory=Detail)
    """The record of the claim's kind: everything else that sentences and tables may use."""
    parts: tuple[Verdict, ...] = ()
    """The verdicts of a claim with several ``tests``; the claim's own is the weakest."""
    table: str = ""

    @property
    def extra(self) -> dict[str, Any]:
        """The extra numbers of the results file, by the names of the contract."""
        return self.detail.numbers()

    @property
    def each(self) -> tuple[Verdict, ...]:
        """The verdict of each test: its parts, or itself."""
        return self.parts or (self,)


@dataclass(frozen=True)
class ChainLink:
    """One reason of a rule, with the step to the next."""

    claim: str
    code: Code
    therefore: str | None
    weakest: bool
    said_by: Voice = "rule"
    """Who takes the step to the next."""


@dataclass(frozen=True)
class Chain:
    """The reasons given for a rule; as strong as the weakest."""

    code: Code
    weakest: str
    links: tuple[ChainLink, ...]


@dataclass(frozen=True)
class StatedCheck:
    """A number the report prints, worked out again.  ``stated`` is kept as printed."""

    what: str
    where: str
    stated: str
    recomputed: float | None
    agrees: bool | None
    possible: bool | None
    unit: str = ""
    tolerance: float | None = None
    note: str = ""
    over: str = ""
    """For an r: whether it is over ``items`` or over all ``points``; empty for other numbers."""
    other: float | None = None
    """For an r: the one over the other, where that is a number of its own."""


@dataclass(frozen=True)
class OpenQuestion:
    """What nobody knows yet.  ``source`` is ``author`` or the code that raised it."""

    source: str
    ask: str | None
    settled_by: str | None
    claim: str | None = None
    items_needed: int | None = None


@dataclass(frozen=True)
class Finding:
    """One thing a figure shows: a kind that phrases know, numbers, and where (in the figure's own
    units) a callout points."""

    kind: str
    numbers: Mapping[str, float | int | str | None]
    at: tuple[float, float] | None = None


@dataclass(frozen=True)
class NumbersTable:
    """The numbers behind a figure, as shown beneath it and as CSV."""

    columns: tuple[str, ...]
    units: tuple[str, ...]
    rows: tuple[tuple[str | float | None, ...], ...]


@dataclass(frozen=True)
class FigureResult:
    """Everything a figure draws and says; ``data`` is the kind's own frozen dataclass."""

    figure: AnyFigure
    data: Any
    findings: tuple[Finding, ...]
    table: NumbersTable
    n_items: int
    n_rows: int
    claims: tuple[str, ...] = ()
    """Ids of the claims this figure shows."""
    yardstick: Yardstick | None = None
    """A physics curve the author asked for beside it."""
    stories: tuple[Any, ...] = ()
    """A ``figures.stories.Story`` of each item it follows through use."""
    y_also: tuple[float, ...] = ()
    """What its scale up the side must show, too: what a figure beside it reaches to."""
    walk: Walk | None = None
    """Its items one by one, where the author asked for that."""


@dataclass(frozen=True)
class RuleZone:
    """Readings about a rule's limit: called, or too close to call (JCGM 106:2012)."""

    measure: str
    unit: str
    at_least: float | None
    at_most: float | None
    u: float | None
    """Standard uncertainty of one reading, in ``unit``; None where nobody knows it."""
    guard: float | None
    """Half-width of the zone that is too close to call, before rounding."""
    meets: float | None
    """A reading at this mark or beyond (away from the limit) meets it, the gauge allowed for."""
    misses: float | None
    """A reading at this mark or beyond, on the other side, does not."""
    confidence: float
    source: str
    """Where ``u`` comes from: given (by the rule), gauge, step (of the display alone), unknown."""
    measured: float | None = None
    """What this study's own gauge test says of ``u``, where it says clearly more; else None."""
    checked: float | None = None
    """What it says of ``u`` in any case; None where no gauge test read the rule's measure."""
    readings: int = 1
    """Of how many readings the one that counts is the average; ``u`` is that of the average."""
    meets_to: float | None = None
    """Of two limits, ``meets`` and ``misses`` of the upper one: from ``meets`` up to here a reading
    meets both.  None where this gauge can show that of no reading."""
    misses_from: float | None = None

    @property
    def both(self) -> bool:
        """There are two limits."""
        return self.at_least is not None and self.at_most is not None

    @property
    def limit(self) -> float:
        """The limit, or the lower of two."""
        return self.at_least if self.at_least is not None else self.at_most or 0.0

    @property
    def marks(self) -> tuple[float, ...]:
        """Every mark of the zone that there is."""
        every = (self.meets, self.misses, self.meets_to, self.misses_from)
        return tuple(mark for mark in every if mark is not None)


@dataclass(frozen=True)
class Stand:
    """How the tested items stand to a rule's limit, each by its own readings in this study."""

    n: int
    meets: int
    close: int
    misses: int
    at: float | None
    """The checkpoint; None where there is none."""
    table: str
    readings: int
    """Readings averaged for each item."""
    guard: float
    """Half-width of the zone that is too close to call with so many, the chart's error in it."""


@dataclass(frozen=True)
class OperatorLevel:
    """How one operator reads against all of them on the same items, each item counting once."""

    name: str
    apart: float
    """Its level less the mean level of all operators, in the measure's unit."""


@dataclass(frozen=True)
class RuleReadings:
    """What this study's own readings say about reading against a rule's limit."""

    stands: tuple[Stand, ...] = ()
    """At the first checkpoint and at the last, or once."""
    column: str = ""
    """The column that names the operators."""
    desks: tuple[OperatorLevel, ...] = ()
    """Highest first; empty where nobody compared them."""
    n_items: int = 0
    """Items that all of them read."""


@dataclass(frozen=True)
class Judgement:
    """A study, reanalysed and judged: the input of words, charts and editions."""

    study: Study
    verdicts: tuple[Verdict, ...]
    chain: Chain | None
    stated: tuple[StatedCheck, ...]
    questions: tuple[OpenQuestion, ...]
    figures: tuple[FigureResult, ...]
    thresholds: Mapping[str, float] = field(default_factory=dict)
    rule_zone: RuleZone | None = None
    """What a reading near the rule's limit can decide; None without a limit."""
    rule_readings: RuleReadings = field(default_factory=RuleReadings)
    luck: Luck = field(default_factory=Luck)

    memo: dict[Any, Any] = field(default_factory=dict, init=False, compare=False, repr=False)
    """What later stages worked out from it, so that no edition works it out again."""

    def verdict(self, claim: str) -> Verdict:
        return next(v for v in self.verdicts if v.claim.id == claim)

    def figure(self, figure: str) -> FigureResult:
        return next(f for f in self.figures if f.figure.id == figure)
