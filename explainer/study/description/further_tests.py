"""Further ways a claim can be held against the data: spread, shares, ranks, what others do."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from pydantic import Field, model_validator

from explainer.study.description.base import (
    Checkpoint,
    ClaimTest,
    Finite,
    Name,
    Positive,
    UpDown,
)


class MeanIs(ClaimTest):
    """The average of the items is a number, or at least or at most one."""

    kind: Literal["mean-is"]
    several: ClassVar[bool] = True
    of_one: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("The average hook is about twelve boards.",
         "One average against a number: `value` with `within`, or `at_least`, or `at_most`."),
        ("Covers average 60 or more when they leave the box.",
         "`at_least: 60`. Whether every single ball does is `limit`."),
        ("Hardness averaged 76.",
         "About a number, which takes `within` or `matters_from`."),
    )  # fmt: skip
    of_people: ClassVar[str] = "The league averages about 170 pins."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"\baverag(?:e|ed|es|ing) (?:is |of |was |about |at |around |out at |"
         r"some |close to |just over |just under |\w+ of )*\d", 9),
        (r"\b(?:the )?(?:average|mean) [\w ]{0,30}(?:is|was|of|about|at least|"
         r"at most|exceeds?) (?:about |around |at least |at most )?\d", 9),
        (r"\bon average,? \d|\bsits? (?:right )?(?:at|about)|\bis about \d", 6),
    )  # fmt: skip
    measure: Name = Field(description="the measure")
    value: Finite | None = Field(None, description="the number it is said to be about")
    within: Positive | None = Field(
        None, description="how far from `value` still counts; else the measure's `matters_from`"
    )
    at_least: Finite | None = Field(None, description="in place of `value`: so much or more")
    at_most: Finite | None = Field(None, description="in place of `value`: so much or less")
    at: Checkpoint | None = Field(
        None, description="checkpoint, or a window of two; else the item's mean"
    )

    @model_validator(mode="after")
    def _one_number(self) -> MeanIs:
        if self.at_least is not None and self.at_most is not None:
            raise ValueError("one of `value` with `within`, `at_least` or `at_most`")
        line = self.at_least if self.at_least is not None else self.at_most
        if line is None and self.value is None:
            raise ValueError("`value` (with `within`), `at_least` or `at_most`")
        if line is not None and (self.within is not None or self.value not in (None, line)):
            raise ValueError("one of `value` with `within`, `at_least` or `at_most`")
        return self


class Ranking(ClaimTest):
    """Which of several groups comes first, in what order they stand, or that none stands out."""

    kind: Literal["ranking"]
    without_each: ClassVar[bool] = True
    sorting: ClassVar[tuple[str, ...]] = ("by", "within")
    several: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("Of the four covers, solid hooks the most.",
         "`first: solid`: it has to beat each of the others, not the average of them."),
        ("There was no difference between the four covers.",
         "`same:` with the gap that would matter; all pairs have to fit inside it."),
        ("Pearl first, then hybrid, then solid.",
         "`order:`, from the most to the least."),
        ("On long oil the same balls hook the most of all.",
         "`within: ball`: each ball is held against itself on the other oils."),
    )  # fmt: skip
    of_people: ClassVar[str] = "Of the four teams, the first one scores the most."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"\bthe (?:most|least|largest|highest|lowest|biggest|smallest|best|worst|"
         r"\w+est)\b.*\b(?:of|among) (?:the|all|them|any|\d)", 8),
        (r"^of the \d+", 4),
        (r"\bno difference.*\bbetween the (?:\d+ )?\w+s\b(?! and)", 9),
        (r"\b(?:ranks?|ranked|came|comes) (?:first|last|second)|\bfirst, then\b|"
         r"\bin that order\b|, then \w+, then|nothing (?:hooks|rolls|lasts) like|"
         r"\bbeats? (?:all|every|each|the other)", 8),
        (r"\bhooks? the most\b|\bis the (?:hardest|softest|roughest)\b", 6),
        (r"\bcan be\b", -6),
    )  # fmt: skip
    measure: Name = Field(description="the measure")
    by: Name = Field(description="the column that names the groups")
    first: str | Finite | None = Field(None, description="the group said to have the most")
    order: tuple[str | Finite, ...] | None = Field(
        None, min_length=2, max_length=20, description="groups from the most to the least"
    )
    same: Positive | None = Field(
        None, description="in place of both: no two groups differ by as much as this"
    )
    direction: Literal["higher", "lower"] = Field(
        "higher", description="`lower`: first is the one with the least"
    )
    within: Name | None = Field(
        None, description="the same item under each condition: every pair is compared within it"
    )
    at: Checkpoint | None = Field(
        None, description="checkpoint, or a window of two; else the item's mean"
    )

    @model_validator(mode="after")
    def _one_way(self) -> Ranking:
        if sum(given is not None for given in (self.first, self.order, self.same)) != 1:
            raise ValueError("one of `first`, `order` or `same`")
        if self.order is not None and len(set(map(str, self.order))) < len(self.order):
            raise ValueError("each group in `order` once")
        return self

    @property
    def named_values(self) -> tuple[tuple[str, str | float], ...]:
        """The groups the claim names, each with the key it stands under."""
        alone = () if self.first is None else (("first", self.first),)
        return (*alone, *(("order", value) for value in self.order or ()))


class Spread(ClaimTest):
    """Is one group of items (or one checkpoint) more even than another?"""

    kind: Literal["spread"]
    sorting: ClassVar[tuple[str, ...]] = ("by",)
    conditions: ClassVar[tuple[str, ...]] = ("a", "b")
    several: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("Pearl covers are more consistent.",
         "How far readings scatter, not where their average lies; `direction: less`."),
        ("The balls drift apart as they are used.",
         "`from` and `to` in place of `by`: the same balls, more scattered later."),
        ("Readings vary less on the bench.",
         "`direction: less`; that they lie lower is `difference`."),
    )  # fmt: skip
    of_people: ClassVar[str] = "Seniors are more consistent."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"\bconsistent\w*|\bconsistency|\bmore (?:even|alike|uniform|scattered)|"
         r"\bscatter\w*|\bspread\b|\bvar(?:y|ies|ied|iation|iable|iability)\b|"
         r"\btight(?:er|ly)\b|drift apart|all over the place", 9),
    )  # fmt: skip
    measure: Name = Field(description="the measure")
    by: Name | None = Field(None, description="the column that tells a from b")
    a: str | Finite | None = Field(None, description="the value of `by` the claim speaks of")
    b: str | Finite | None = Field(None, description="the value of `by` it is held against")
    from_: Checkpoint | None = Field(
        None, alias="from", description="in place of `by`: checkpoint (or window) before"
    )
    to: Checkpoint | None = Field(None, description="and after")
    direction: Literal["more", "less", "any"] = Field(
        "any", description="the scatter of a against b, or after against before"
    )
    at: Checkpoint | None = Field(
        None, description="with `by`: checkpoint, or a window of two; else all of them"
    )

    @model_validator(mode="after")
    def _two_sides(self) -> Spread:
        _either_pair(self.by, self.a, self.b, self.from_, self.to)
        return self


class ShareOfItems(ClaimTest):
    """Every, most or so many of the items changed that way."""

    kind: Literal["share-of-items"]
    several: ClassVar[bool] = True
    of_one: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("Every ball went smoother.",
         "`share: every` is about these balls, each held to the gauge by itself."),
        ("Most balls lose hook.",
         "`share: most` is about balls like them. It takes six at least, even if all of them do."),
        ("Nine of ten bowlers gained.",
         "`share: 0.9`."),
        ("Nine of ten balls fell by at least 2.",
         "`share: 0.9` with `at_least: 2`: each of them has to pass that size."),
    )  # fmt: skip
    of_people: ClassVar[str] = "Nine of ten bowlers gained."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"\b(?:every|each) (?:one of them|ball|cover|bowler|"
         r"single \w+)\b(?!.*(?:limit|at least|at most|between|pass))", 8),
        (r"\b(?:most|half|a majority|nearly all|almost all|all) (?:of the |"
         r"of them |the |bowlers|balls|covers)", 5),
        (r"\b(?:\d+) (?:of|in|out of) (?:the |every )?\d+\b(?!.*(?:such|pass|meet))", 9),
        (r"\bmost (?:balls|bowlers|covers|of them)\b", 4),
        (r"\bmost of (?:the|it|its|that) (?:change|loss|drop|gain|effect)", -8),
    )  # fmt: skip
    measure: Name = Field(description="the measure")
    from_: Checkpoint = Field(alias="from", description="checkpoint (or window) before")
    to: Checkpoint = Field(description="checkpoint (or window) after")
    direction: UpDown = Field("any", description="which way the claim says")
    share: Literal["every", "most"] | Annotated[float, Field(gt=0, lt=1, strict=True)] = Field(
        description="every, most, or a share such as 0.9 (nine of ten)"
    )
    at_least: Positive | None = Field(
        None, description="how far each of them moved, at least, in the measure's unit"
    )


class NoWorse(ClaimTest):
    """Not worse than before (or than another group) by as much as would matter."""

    kind: Literal["no-worse"]
    sorting: ClassVar[tuple[str, ...]] = ("by",)
    conditions: ClassVar[tuple[str, ...]] = ("a", "b")
    several: ClassVar[bool] = True
    needs_margin: ClassVar[bool] = True
    of_one: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("The new finish hooks no less than the old one.",
         "One side only: how much worse would still do is the `margin`."),
        ("Balls hook no more after sixty games.",
         "`worse: up`. That they hook the same, neither more nor less, is `no-change`."),
        ("Nothing is lost by sanding.",
         "`worse: down`, up to the margin."),
    )  # fmt: skip
    of_people: ClassVar[str] = "Left-handers score no less than right-handers."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"\bno (?:less|more|worse|lower|higher|softer|harder|rougher|"
         r"slower)\b(?! than \d)", 9),
        (r"(?:not|n't|never) (?:\w+ )?(?:worse|less|suffer|lose|hurt|cost)", 8),
        (r"\bat least as (?:well|much|good|hard|far)|\bjust as (?:well|good|"
         r"much) or better|nothing is lost", 9),
    )  # fmt: skip
    measure: Name = Field(description="the measure")
    from_: Checkpoint | None = Field(
        None, alias="from", description="checkpoint (or window) before"
    )
    to: Checkpoint | None = Field(None, description="checkpoint (or window) after")
    by: Name | None = Field(
        None, description="in place of `from` and `to`: the column that tells a from b"
    )
    a: str | Finite | None = Field(None, description="the value of `by` the claim speaks of")
    b: str | Finite | None = Field(None, description="the value of `by` it is held against")
    worse: Literal["up", "down"] = Field(description="which way is worse")
    margin: Positive | None = Field(
        None, description="how much worse would matter; else the measure's `matters_from`"
    )
    at: Checkpoint | None = Field(
        None, description="with `by`: checkpoint, or a window of two; else the item's mean"
    )

    @model_validator(mode="after")
    def _two_sides(self) -> NoWorse:
        _either_pair(self.by, self.a, self.b, self.from_, self.to)
        return self


class NoDifference(ClaimTest):
    """Two groups, or two instruments on the same items, are alike on average."""

    kind: Literal["no-difference"]
    sorting: ClassVar[tuple[str, ...]] = ("by", "within")
    conditions: ClassVar[tuple[str, ...]] = ("a", "b")
    several: ClassVar[bool] = True
    of_one: ClassVar[bool] = True
    needs_margin: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("Pearl and solid covers hook the same.",
         "Two groups inside a `margin`; three or more of them are `ranking` with `same`."),
        ("There is no difference between the shop gauge and the bench gauge.",
         "On average, over the same balls; that single readings agree is `agreement`."),
    )  # fmt: skip
    of_people: ClassVar[str] = "Left-handers and right-handers score the same."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"\bno difference\b.*\b(?:between|in)\b.* and\b", 9),
        (r"\b(?:do|does|did)(?: not|n't) differ\b", 9),
        (r" and .*\b(?:\w+) (?:just |much |exactly )?(?:the same|alike|equally)\b"
         r"(?! answer| reading)", 8),
        (r"\bno \w+er or \w+er than\b|\bmakes no difference\b", 9),
        (r"\bas \w+ as (?:the )?\w+ (?:ones?|balls?|covers?)\b", 9),
        (r"\b(?:before|after|twice)\b|\bgauges? agree", -5),
    )  # fmt: skip
    measure: Name = Field(description="the measure")
    by: Name = Field(description="the column that tells a from b")
    a: str | Finite = Field(description="one side: a group, or an instrument")
    b: str | Finite = Field(description="the other; items that stand on both sides are paired")
    margin: Positive | None = Field(
        None, description="how far apart still counts as alike; else the measure's `matters_from`"
    )
    at: Checkpoint | None = Field(
        None, description="checkpoint, or a window of two; else the item's mean"
    )
    within: Name | None = Field(
        None, description="the same item under both: paired, even where some stand on one side only"
    )


class Settles(ClaimTest):
    """It changed at first, and then no more: both halves, by a checkpoint named beforehand."""

    kind: Literal["settles"]
    several: ClassVar[bool] = True
    needs_margin: ClassVar[bool] = True
    of_one: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("It drops at first and then settles.",
         "A change up to `by`, and none that matters after it. How much of the whole change is "
         "done by then is `break-in`."),
        ("The cover levels off by game twenty.",
         "The second half is about not changing, and so takes a margin."),
    )  # fmt: skip
    of_people: ClassVar[str] = "Scores rise at first and then settle."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"\bsettl\w+|\blevel(?:s|ed|led)? off|stabili[sz]\w+|\bplateau|"
         r"\bflattens?|\bbottoms? out", 8),
        (r"\bat first\b|\bthen (?:no more|stays?|stayed|holds?|nothing)|"
         r"\bafter that (?:it )?(?:stays|holds|no|nothing)", 6),
    )  # fmt: skip
    measure: Name = Field(description="the measure")
    by: Checkpoint = Field(description="the checkpoint by which it is said to have settled")
    from_: Checkpoint = Field(alias="from", description="checkpoint (or window) before")
    to: Checkpoint = Field(description="checkpoint (or window) after")
    direction: UpDown = Field("any", description="which way it changed at first")
    margin: Positive | None = Field(
        None, description="what counts as a change after `by`; else the measure's `matters_from`"
    )


class Since(ClaimTest):
    """A jump at a place named beforehand: another level since then, and one before."""

    kind: Literal["since"]
    numbering: ClassVar[tuple[str, ...]] = ("over",)
    several: ClassVar[bool] = True
    needs_margin: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("Hook has been lower since game twenty.",
         "Another level, and that it changed there and not before or after; a drift has no since."),
        ("From the fortieth shot on, the ball came back later.",
         "`since: 40`, and `within` for how near to it is near enough."),
    )  # fmt: skip
    of_people: ClassVar[str] = "Scores have been higher since week ten."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"\b(?:ever )?since\b(?! (?:it|they|he|she|we|the ball) )", 10),
        (r"\bfrom (?:the )?(?:(?:game|shot|frame|set|hour) )?\w+"
         r"(?: (?:game|shot|frame|set|hour))? on(?:ward|wards)?\b", 10),
        (r"\bsuddenly\b|\bjump(?:s|ed)?\b|\ball at once\b|\bfrom one (?:shot|game) to the next\b",
         7),
    )  # fmt: skip
    measure: Name = Field(description="the measure")
    over: Name = Field(description="the column that counts use, or numbers the series")
    since: Finite = Field(description="the first place of `over` that the claim calls after")
    within: Positive | None = Field(
        None, description="how far from `since` still counts as there; else exactly there"
    )
    direction: UpDown = Field("any", description="which way it went")


class Crossing(ClaimTest):
    """How much use it takes until an item reaches a limit."""

    kind: Literal["crossing"]
    numbering: ClassVar[tuple[str, ...]] = ("over",)
    several: ClassVar[bool] = True
    of_one: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("A cover is down to the limit after about thirty games.",
         "When each ball crosses the line. Between two readings nobody knows when exactly."),
        ("It takes about thirty games to get to the limit.",
         "`after: 30` with `within`."),
        ("P4 was down to the limit after 30 games.",
         "`only: {ball: P4}`: between which two readings, as far as the gauge can tell."),
    )  # fmt: skip
    of_people: ClassVar[str] = "It takes about eight weeks to get to 150."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"\b(?:reach\w*|down to|up to|below|past|under|hits?|gets? to|falls? to|"
         r"comes? down to|drops? to|worn to)\b.*\b(?:after|by|within|"
         r"in)\b.*\d+ (?:games?|shots?|hours?|sets?)", 9),
        (r"\btakes? (?:about |some |around )?\d+ (?:games?|shots?|hours?|weeks?|nights?)|"
         r"\b(?:lasts|good for) (?:about |some |around )?\d+ (?:games?|shots?)", 9),
    )  # fmt: skip
    measure: Name = Field(description="the measure")
    limit: Finite = Field(description="the reading that is crossed")
    over: Name = Field(description="the column that counts use")
    after: Finite | None = Field(None, description="when the claim says it is reached")
    within: Positive | None = Field(None, description="how far from `after` still counts as about")


class PopulationLimit(ClaimTest):
    """A share of all such items, tested or not, meets a limit."""

    kind: Literal["population-limit"]
    several: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("95 of 100 balls of this kind pass.",
         "About all such balls and not just these: `limit` is about the ones that were read."),
        ("The softest one can be is 72.",
         "`at_least: 72`, `share: 0.99`: nobody can promise more than a share."),
        ("Any ball of this model is at least 74.",
         "All of them is more than data can say; `share` says how nearly all."),
    )  # fmt: skip
    of_people: ClassVar[str] = "95 of 100 such bowlers reach 120."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"\b\d+ (?:percent|%|of (?:every |a )?\d+|"
         r"in \d+) (?:of )?(?:all )?(?:such |the )?(?:balls|covers|bowlers|of this)", 7),
        (r"\b(?:softest|lowest|highest|hardest|roughest|smoothest|"
         r"heaviest) (?:one |ball )?(?:\w+ )?(?:can|could|will ever)", 9),
        (r"\bof this (?:model|kind|make|sort)\b.*\d|\ball such|\bany (?:ball|"
         r"cover) (?:you|of)|\bbuy one\b|\ball balls (?:of|like)", 8),
    )  # fmt: skip
    measure: Name = Field(description="the measure")
    at_least: Finite | None = Field(
        None, description="lower limit, or else `at_most`: a claim that says both takes two tests "
        "under `tests`, one limit each"
    )
    at_most: Finite | None = Field(None, description="upper limit, in place of `at_least`")
    share: Annotated[float, Field(gt=0.5, lt=1, strict=True)] = Field(
        0.95, description="the share of all such items said to meet it"
    )
    at: Checkpoint | None = Field(
        None, description="checkpoint, or a window of two; else the item's mean"
    )

    @model_validator(mode="after")
    def _one_limit(self) -> PopulationLimit:
        if (self.at_least is None) == (self.at_most is None):
            raise ValueError("either `at_least` or `at_most` (a claim that says both: two tests "
                             "under `tests`, one limit each)")  # fmt: skip
        return self


class Agreement(ClaimTest):
    """Two instruments (or people) read the same items: do their readings agree?"""

    kind: Literal["agreement"]
    sorting: ClassVar[tuple[str, ...]] = ("by",)
    conditions: ClassVar[tuple[str, ...]] = ("a", "b")
    several: ClassVar[bool] = True
    needs_margin: ClassVar[bool] = True
    margin_key: ClassVar[str] = "within"
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("The two gauges agree.",
         "Ball by ball, how far two readings may lie apart; a high correlation is no agreement."),
        ("It makes no odds which gauge reads your ball.",
         "In single readings, which is more than on average."),
    )  # fmt: skip
    of_people: ClassVar[str] = "The two scorers agree."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"\bagree(?:s|d|ment)?\b|interchangeab|\bread(?:s)? (?:the same|alike)|"
         r"makes no odds which gauge|give the same (?:reading|number)|"
         r"match(?:es)? the other gauge", 9),
    )  # fmt: skip
    measure: Name = Field(description="the measure")
    by: Name = Field(description="the column that tells a from b")
    a: str | Finite = Field(description="one instrument")
    b: str | Finite = Field(description="the other")
    within: Positive | None = Field(
        None, description="how far apart 95 of 100 pairs may lie; else `matters_from`"
    )
    limit: Finite | None = Field(
        None, description="a rule's limit: how often the two are on different sides is told"
    )


class Steps(ClaimTest):
    """The more of a treatment, in ordered steps, the more (or less) of a measure."""

    kind: Literal["steps"]
    sorting: ClassVar[tuple[str, ...]] = ("by",)
    several: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("The more you sand, the more it hooks.",
         "Ordered steps, all the way: a highest point in the middle speaks against it."),
        ("Every coarser pad adds hook.",
         "`order:` where the steps are words."),
    )  # fmt: skip
    of_people: ClassVar[str] = "The more you practice, the higher the average."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"\bthe (?:more|longer|coarser|finer|harder|rougher|older|further) (?:you|"
         r"the|it|we|a)\b.*\bthe (?:more|less|\w+er)\b", 9),
        (r"\b(?:each|every) (?:coarser|finer|further|added|extra|next|step)\b|"
         r"\bwith each\b|\bstep by step\b|\bone step (?:finer|coarser)|"
         r"\bgrit by grit", 9),
    )  # fmt: skip
    measure: Name = Field(description="the measure")
    by: Name = Field(description="the column of the steps; numbers are taken in their order")
    order: tuple[str | Finite, ...] | None = Field(
        None, min_length=3, max_length=50, description="the steps from least to most, as words"
    )
    direction: UpDown = Field("any", description="what the measure does as the steps go up")
    at: Checkpoint | None = Field(
        None, description="checkpoint, or a window of two; else the item's mean"
    )

    @property
    def named_values(self) -> tuple[tuple[str, str | float], ...]:
        """The steps the claim names, each with the key it stands under."""
        return tuple(("order", value) for value in self.order or ())


def _either_pair(by: object, a: object, b: object, start: object, end: object) -> None:
    """ValueError unless the two sides are given one way: by, a and b, or from and to."""
    sides, points = (by, a, b), (start, end)
    whole = (None not in sides and points == (None, None)) or (
        None not in points and sides == (None, None, None)
    )
    if not whole:
        raise ValueError("either `by`, `a` and `b`, or `from` and `to`")


#: The models of this file, in the order of the handbook; ``tests.AnyTest`` has them after its own.
FurtherTest = (
    MeanIs
    | Ranking
    | Spread
    | ShareOfItems
    | NoWorse
    | NoDifference
    | Settles
    | Since
    | Crossing
    | PopulationLimit
    | Agreement
    | Steps
)
