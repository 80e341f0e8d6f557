"""What stage 3 hands on: verdicts, the reason chain, open questions, what figures show."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from explainer.claims.detail import Detail
from explainer.claims.figure_data import Walk, Yardstick
from explainer.claims.luck import Luck
from explainer.study.description.figures import AnyFigure
from explainer.study.description.rule import Claim
from explainer.study.description.telling import Voice
from explainer.study.description.tests import AnyTest
from explainer.study.model import Study

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
