"""The ways a claim can be held against the data: one model per test kind."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal, get_args

from pydantic import Field, model_validator

from explainer.study.description.base import (
    XY as XY,
    Checkpoint,
    ClaimTest as ClaimTest,
    Finite,
    Name,
    NotNegative,
    Operand as Operand,
    Positive,
    Text,
    UpDown as UpDown,
    YesNo,
)
from explainer.study.description.further_tests import (
    Agreement as Agreement,
    Crossing as Crossing,
    FurtherTest,
    MeanIs as MeanIs,
    NoDifference as NoDifference,
    NoWorse as NoWorse,
    PopulationLimit as PopulationLimit,
    Ranking as Ranking,
    Settles as Settles,
    ShareOfItems as ShareOfItems,
    Since as Since,
    Spread as Spread,
    Steps as Steps,
)


class Change(ClaimTest):
    """Each item's change between two checkpoints."""

    kind: Literal["change"]
    several: ClassVar[bool] = True
    needs_margin: ClassVar[bool] = True
    of_one: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("Covers got smoother over sixty games.",
         "The same balls, read at two checkpoints."),
        ("Covers lost a fifth of their roughness.",
         "`in: percent` with `at_least: 20`: each ball against its own start."),
        ("Hook went up between the first ten and the last ten shots.",
         "`from: [1, 10]` and `to: [51, 60]`: windows of shots, averaged for each ball."),
        ("P4 lost two boards.",
         "`only: {ball: P4}`: about that ball alone, and held to the gauge."),
    )  # fmt: skip
    of_people: ClassVar[str] = "Averages went up over the season."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"\b(?:increas\w*|rose|rises?|risen|gr[eo]w\w*|gain\w*|went up|climb\w*)\b", 4),
        (r"\b(?:decreas\w*|fell|falls?|fallen|declin\w*|drop(?:s|ped)?|lost|"
         r"los(?:e|es|ing)|reduc\w*|went down|shr[aiu]nk\w*|wore off|(?:went|got|"
         r"goes?|gets?|became|becomes?) (?:smooth(?:er)?|soft(?:er)?|rough(?:er)?|"
         r"hard(?:er)?|low(?:er)?|slow(?:er)?))\b", 4),
        (r"\bchanged\b", 4),
        (r"\b(?:over|after|in|within|during|between) the (?:test|session|season|"
         r"\d+)|\bafter \d+|\bby \d+(?: percent| boards?| points?)?", 1),
        (r"\bpercent|\ba (?:fifth|third|quarter|half|tenth)\b", 1),
        (r"\b(?:no|not|never|n't)\b", -4),
        (r"\bthan\b", -2),
        (r"\bsince\b", -1),
    )  # fmt: skip
    measure: Name = Field(description="the measure")
    from_: Checkpoint = Field(alias="from", description="checkpoint (or window) before")
    to: Checkpoint = Field(description="checkpoint (or window) after")
    direction: UpDown = Field("any", description="which way the claim says")
    at_least: Positive | None = Field(None, description="the size the claim says, at least")
    in_: Literal["percent"] | None = Field(
        None, alias="in", description="`percent`: sizes and ranges in percent, not in the unit"
    )


class NoChange(ClaimTest):
    """Equivalence: a change too small to matter."""

    kind: Literal["no-change"]
    several: ClassVar[bool] = True
    needs_margin: ClassVar[bool] = True
    of_one: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("Hardness did not change.",
         "It takes a `matters_from`: how much would count as a change."),
        ("The ball is the same after sixty games.",
         "Again within a margin; that nothing was found is not enough."),
        ("Speed stayed constant through the session.",
         "Windows of shots, as for a change."),
    )  # fmt: skip
    of_people: ClassVar[str] = "Averages did not change over the season."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"(?:did|does|do|has|have)(?:n't| not) (?:\w+ )?chang", 7),
        (r"\bunchanged\b", 7),
        (r"\bno (?:\w+ ){0,2}(?:change|drift)\b", 7),
        (r"\b(?:remain|sta[yi]|held|kept|holds?|was|were)\w* (?:\w+ )?(?:constant|"
         r"stable|the same|steady|put|where)", 6),
        (r"\bcoincide", 6),
        (r"holds? up\b", 6),
        (r"\bthe same (?:before and )?after", 7),
        (r"\bbefore and after\b", 2),
        (r"\bsettle|\bat first\b|\blevel", -5),
    )  # fmt: skip
    measure: Name = Field(description="the measure")
    from_: Checkpoint = Field(alias="from", description="checkpoint (or window) before")
    to: Checkpoint = Field(description="checkpoint (or window) after")
    margin: Positive | None = Field(None, description="else the measure's `matters_from`")
    in_: Literal["percent"] | None = Field(
        None, alias="in", description="`percent`: sizes and ranges in percent, not in the unit"
    )


class Difference(ClaimTest):
    """One group of items, or one condition, against another."""

    kind: Literal["difference"]
    sorting: ClassVar[tuple[str, ...]] = ("by", "within")
    conditions: ClassVar[tuple[str, ...]] = ("a", "b")
    several: ClassVar[bool] = True
    needs_margin: ClassVar[bool] = True
    of_one: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("Used balls are softer than new ones.",
         "Two groups side by side; with `within`, the same bowlers under both."),
        ("Urethane outhooks plastic.",
         "`a` against `b`, one average for each ball."),
        ("Freshly sanded balls are rougher than worn ones.",
         "Other balls on each side; the same ones before and after are `change`."),
    )  # fmt: skip
    of_people: ClassVar[str] = "Coached bowlers average more than the others."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"\w+er\b.* than\b", 4),
        (r"\b(?:more|less|fewer|worse|better) (?:\w+ )?(?:\w+ )?than\b", 4),
        (r"\bout-?(?:hook|last|perform)\w*", 6),
        (r"compared (?:with|to)|\bversus\b|\bnext to\b", 4),
        (r"\bon average\b|\baverag", 1),
        (r"\b(?:strikes?|spares?|splits?) .*(?:often|rate)|\brate was", -4),
        (r"\bno (?:less|more|worse|lower|higher)\b", -5),
        (r"\bnew (?:ones|balls)|\bold (?:ones|balls)", 1),
    )  # fmt: skip
    measure: Name = Field(description="the measure")
    by: Name = Field(description="the column that tells a from b")
    a: str | Finite = Field(description="the value of `by` the claim speaks of")
    b: str | Finite = Field(description="the value of `by` it is held against")
    direction: Literal["higher", "lower", "any"] = Field("any", description="a against b")
    at: Checkpoint | None = Field(
        None, description="checkpoint, or a window of two; else the item's mean"
    )
    within: Name | None = Field(None, description="the same item under both: paired")
    at_least: Positive | None = Field(None, description="the size the claim says, at least")
    in_: Literal["percent"] | None = Field(
        None, alias="in", description="`percent`: sizes and ranges in percent, not in the unit"
    )


class DifferenceInChange(ClaimTest):
    """Did one group of items change by more than another?"""

    kind: Literal["difference-in-change"]
    sorting: ClassVar[tuple[str, ...]] = ("by",)
    conditions: ClassVar[tuple[str, ...]] = ("a", "b")
    several: ClassVar[bool] = True
    needs_margin: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("Dull covers went smooth faster than shiny ones.",
         "The change of one group against the change of another, not two verdicts side by side."),
        ("Only the dull covers went smooth.",
         "Two verdicts side by side do not say it; the contrast between the groups does."),
    )  # fmt: skip
    of_people: ClassVar[str] = "Newcomers gained more than the old hands."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"\b(?:(?:increas\w*|rose|rises?|risen|gr[eo]w\w*|gain\w*|went up|"
         r"climb\w*)|(?:decreas\w*|fell|falls?|fallen|declin\w*|drop(?:s|ped)?|"
         r"lost|los(?:e|es|ing)|reduc\w*|went down|shr[aiu]nk\w*|wore off|(?:went|"
         r"got|goes?|gets?|became|becomes?) (?:smooth(?:er)?|soft(?:er)?|"
         r"rough(?:er)?|hard(?:er)?|low(?:er)?|slow(?:er)?))|changed|wore|"
         r"went \w+)\b.*\b(?:more|less|faster|slower|twice|further|farther|"
         r"quicker)\b.* (?:than|as)\b", 9),
        (r"\bonly (?:the )?\w+(?: \w+)? (?:(?:increas\w*|rose|rises?|risen|"
         r"gr[eo]w\w*|gain\w*|went up|climb\w*)|(?:decreas\w*|fell|falls?|fallen|"
         r"declin\w*|drop(?:s|ped)?|lost|los(?:e|es|ing)|reduc\w*|went down|"
         r"shr[aiu]nk\w*|wore off|(?:went|got|goes?|gets?|became|"
         r"becomes?) (?:smooth(?:er)?|soft(?:er)?|rough(?:er)?|hard(?:er)?|"
         r"low(?:er)?|slow(?:er)?))|changed|moved|wore)\b", 9),
        (r"\b(?:while|but) (?:the )?\w+(?: \w+)? (?:did not|stayed|held|"
         r"(?:increas\w*|rose|rises?|risen|gr[eo]w\w*|gain\w*|went up|climb\w*)|"
         r"(?:decreas\w*|fell|falls?|fallen|declin\w*|drop(?:s|ped)?|lost|los(?:e|"
         r"es|ing)|reduc\w*|went down|shr[aiu]nk\w*|wore off|(?:went|got|goes?|"
         r"gets?|became|becomes?) (?:smooth(?:er)?|soft(?:er)?|rough(?:er)?|"
         r"hard(?:er)?|low(?:er)?|slow(?:er)?)))", 3),
    )  # fmt: skip
    measure: Name = Field(description="the measure")
    from_: Checkpoint = Field(alias="from", description="checkpoint (or window) before")
    to: Checkpoint = Field(description="checkpoint (or window) after")
    by: Name = Field(description="the column that tells a from b")
    a: str | Finite = Field(description="the value of `by` the claim speaks of")
    b: str | Finite = Field(description="the value of `by` it is held against")
    direction: Literal["higher", "lower", "up", "down", "any"] = Field(
        "any",
        description="where a's change lies against b's: `lower` (or `down`) says that it fell more",
    )
    at_least: Positive | None = Field(None, description="the size the claim says, at least")


class Association(ClaimTest):
    """Between items: those with more x have more (or less) y."""

    kind: Literal["association"]
    without_each: ClassVar[bool] = True
    several: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("Rougher balls hook more.",
         "One ball against another."),
        ("Harder balls hook less, whatever the cover.",
         "`given: [cover]`: the link that is left once balls of one cover are compared."),
        ("Hook goes with cover roughness.",
         "No direction of cause is tested, only that they go together."),
        ("Hardness correlates strongly with weight.",
         "`strong: yes` asks for much more than a link."),
    )  # fmt: skip
    of_people: ClassVar[str] = "Older bowlers tend to average less."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"correlat|\bassociated\b|\bgo(?:es)? (?:strongly )?(?:along |together |"
         r"hand in hand )?with\b|depends? on|\brelated to|\bpredicts?\b|"
         r"\btells you (?:how|what)\b", 6),
        (r"^(?:the )?(?:\w+er|heavy|light|soft|hard|rough|"
         r"smooth) (?:\w+ )?(?:balls?|covers?|ones|"
         r"bowlers) (?:\w+ )?(?:\w+) (?:more|less|harder|farther|further|better|"
         r"\w+er)\b(?!.* than)", 6),
        (r"\btend(?:s|ed)? to\b", 4),
        (r"\b(?:increas\w*|rose|rises?|risen|gr[eo]w\w*|gain\w*|went up|"
         r"climb\w*) with\b", 6),
        (r"\bwhatever (?:the|its)\b|at the same \w+|all else|other things|"
         r"even (?:among|between) (?:balls|covers) of", 4),
        (r"\b(?:no|not|n't) (?:\w+ )?(?:correlat|relat|link|associat|depend)|"
         r"\buncorrelat|\bunrelat|nothing to do", -8),
    )  # fmt: skip
    x: XY = Field(description="the measure said to go first, if need be with its table")
    y: XY = Field(description="the measure said to go with it, if need be with its table")
    direction: Literal["positive", "negative", "any"] = Field(
        "any", description="which way the claim says"
    )
    strong: YesNo = Field(False, description="the claim says: strongly")
    given: tuple[Name, ...] | None = Field(
        None, min_length=1, max_length=5,
        description="held alike (analysis of covariance): measures, or columns that sort items",
    )
    at: Checkpoint | None = Field(
        None, description="checkpoint, or a window of two; else means over those all share"
    )


class NoAssociation(ClaimTest):
    """No relation worth the name: the likely range of r lies inside a margin."""

    kind: Literal["no-association"]
    several: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("Speed has nothing to do with it.",
         "It takes a `margin`, and many balls."),
        ("Hook is unrelated to ball speed.",
         "Weak enough to count as none, and not just no link found."),
    )  # fmt: skip
    of_people: ClassVar[str] = "Age has nothing to do with averages."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"\bunrelated\b|uncorrelated|independent of", 8),
        (r"\bno (?:\w+ )?(?:correlation|relation(?:ship)?|link|association|"
         r"connection|bearing)\b", 8),
        (r"(?:not|n't) (?:\w+ )?(?:correlat|relat|associat|link|depend|matter)", 8),
        (r"nothing to do with|plays? no part|no matter how|has no (?:say|influence|"
         r"effect) (?:in|on)|tells you nothing", 8),
    )  # fmt: skip
    x: XY = Field(description="the measure said to go first, if need be with its table")
    y: XY = Field(description="the measure said to go with it, if need be with its table")
    margin: Positive | None = Field(None, description="in r; .7 says `not strong`")
    at: Checkpoint | None = Field(
        None, description="checkpoint, or a window of two; else means over those all share"
    )
    within: YesNo = Field(False, description="within items, not between")


class TracksWithin(ClaimTest):
    """Within an item: as its x changes, its y changes."""

    kind: Literal["tracks-within"]
    without_each: ClassVar[bool] = True
    several: ClassVar[bool] = True
    of_one: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("As a ball goes smooth it hooks less.",
         "One ball against its own earlier self. This is not the sentence above."),
        ("As oil is carried down, the ball hooks less.",
         "Inside each session; what differs between sessions does not count."),
        ("As P4 got smoother it hooked less.",
         "`only: {ball: P4}`: that ball's own readings, held to the gauge and to their scatter."),
    )  # fmt: skip
    of_people: ClassVar[str] = "As a bowler gets tired, the scores drop."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"^as (?:a |the |one |it |each |its )?\w+ .*(?:goes|gets?|is|wears?|"
         r"falls?|rises?|loses?|smooth\w*|soft\w*|hard\w*|rough\w*)\b.*(?:,| it\b)", 7),
        (r"^when (?:a |the |one |its )\w+ (?:goes|gets|wears|falls|loses)", 7),
        (r"\bwith it\b|\balong with it\b", 2),
        (r"\b(?:increas\w*|rose|rises?|risen|gr[eo]w\w*|gain\w*|went up|"
         r"climb\w*) as\b|\b(?:decreas\w*|fell|falls?|fallen|declin\w*|drop(?:s|"
         r"ped)?|lost|los(?:e|es|ing)|reduc\w*|went down|shr[aiu]nk\w*|wore off|"
         r"(?:went|got|goes?|gets?|became|becomes?) (?:smooth(?:er)?|soft(?:er)?|"
         r"rough(?:er)?|hard(?:er)?|low(?:er)?|slow(?:er)?)) as\b", 5),
        (r"\bits own (?:earlier|other)", 4),
    )  # fmt: skip
    x: XY = Field(description="the measure said to go first, if need be with its table")
    y: XY = Field(description="the measure said to go with it, if need be with its table")
    direction: Literal["positive", "negative", "any"] = Field(
        "any", description="which way the claim says"
    )


class SameLine(ClaimTest):
    """Does one and the same item keep to the line that different items lie on?"""

    kind: Literal["same-line"]
    without_each: ClassVar[bool] = True
    several: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("A ball worn smooth acts like one made smooth.",
         "Played balls held against a line of new ones."),
        ("Played balls follow the relation found in new ones.",
         "Whether a ball leaves that line with use; the line itself is `association`."),
    )  # fmt: skip
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"acts? (?:just )?like|behaves? (?:just )?like|"
         r"is no different from one (?:made|sanded)", 8),
        (r"(?:follow|lie on|fall on|stay on) the (?:same )?(?:line|relation|curve)", 9),
        (r"the (?:relation|line|curve) (?:found|seen) in", 6),
    )  # fmt: skip
    x: XY = Field(description="the measure said to go first, if need be with its table")
    y: XY = Field(description="the measure said to go with it, if need be with its table")
    line_from: Name | None = Field(None, description="table of other, new items")


class BreakIn(ClaimTest):
    """Most of the change has happened by a checkpoint named beforehand."""

    kind: Literal["break-in"]
    without_each: ClassVar[bool] = True
    several: ClassVar[bool] = True
    of_one: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("It was all over by shot twenty.",
         "How much of the whole change is done by then."),
        ("Most of the loss comes in the first ten games.",
         "At least four fifths by then; that it stops there is `settles`."),
        ("P4 had done most of its wearing by game twenty.",
         "`only: {ball: P4}`: about that ball alone, and held to the gauge."),
    )  # fmt: skip
    of_people: ClassVar[str] = "Most of the gain came in the first five weeks."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"\b(?:complete|over|done|finished|all) by\b", 8),
        (r"\bmost of (?:the|it|its|that).*(?:by|within|in the first|happens|comes) ", 8),
        (r"\b(?:within|in|during) the first \d+", 7),
        (r"\bdone (?:with|in) \w+ \d+|\bhalf of .* (?:in|by|within) ", 4),
        (r"\bbreak-?in\b|\bbroken in\b", 6),
    )  # fmt: skip
    measure: Name = Field(description="the measure")
    by: Checkpoint = Field(description="the checkpoint by which it is said to have happened")
    from_: Checkpoint = Field(alias="from", description="checkpoint (or window) before")
    to: Checkpoint = Field(description="checkpoint (or window) after")


class Trend(ClaimTest):
    """A drift over a numbered series."""

    kind: Literal["trend"]
    numbering: ClassVar[tuple[str, ...]] = ("over",)
    of_one: ClassVar[bool] = True
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("It kept creeping up all afternoon.",
         "A drift along numbered shots."),
        ("Hook grows by a tenth of a board a game.",
         "`about: 0.1`, or `at_least: 0.1`: so much for each step of the series."),
        ("Speed fell steadily as the night went on.",
         "A drift, which a single jump is not."),
    )  # fmt: skip
    of_people: ClassVar[str] = "Scores crept up from week to week."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"\bdrift(?:s|ed)?\b|\bcre(?:pt|eps?|eping)\b|\bsteadily\b|\btrend\b|"
         r"inch(?:ed|ing) (?:up|down)", 7),
        (r"\bkept \w+ing\b", 5),
        (r"\b(?:as|while) the (?:session|afternoon|night|evening|day) (?:went|goes|"
         r"wore)|\bshot (?:by|after) shot|\bfrom shot to shot", 7),
        (r"\b(?:a|per|each|every) (?:game|shot|hour|frame|\d+ shots|\d+ games)\b", 5),
        (r"\bby [\w ]+ (?:a|per|each|every) (?:game|shot|hour|frame)\b", 3),
        (r"\bno drift\b", -8),
    )  # fmt: skip
    measure: Name = Field(description="the measure")
    over: Name = Field(description="the column that numbers the series")
    direction: UpDown = Field("any", description="which way the claim says")
    at_least: Positive | None = Field(
        None, description="the size the claim says, at least, for each step of `over`"
    )
    about: Positive | None = Field(
        None, description="in place of it: about so much a step, from four fifths of it to five "
        "quarters (`plateau_low`, `plateau_high`)"
    )
    in_: Literal["percent"] | None = Field(
        None, alias="in", description="`percent`: sizes and ranges in percent, not in the unit"
    )

    @model_validator(mode="after")
    def _one_size(self) -> Trend:
        if self.about is not None and (self.at_least is not None or self.direction == "any"):
            raise ValueError("`about` with a `direction` of up or down, and no `at_least`")
        return self


class Repeatability(ClaimTest):
    """Gauge study: operators, items, repeats."""

    kind: Literal["repeatability"]
    sorting: ClassVar[tuple[str, ...]] = ("operator",)
    numbering: ClassVar[tuple[str, ...]] = ("repeat",)
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("The gauge gives the same answer whoever holds it.",
         "Several people read the same balls several times."),
        ("The gauge can see a difference of half a point.",
         "`detects: 0.5`."),
    )  # fmt: skip
    of_people: ClassVar[str] = "Two scorers give the same answer, whoever reads the sheet."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"repeatab|reproducib|gauge (?:error|variation|study)", 9),
        (r"whoever (?:holds|reads|uses)|same answer (?:twice|every|whoever)|"
         r"\bresolves?\b|\bcan (?:tell|see|read) (?:a )?(?:difference|gap)s? of|"
         r"good to within|\boperators?\b", 8),
    )  # fmt: skip
    measure: Name = Field(description="the measure")
    operator: Name = Field(description="column of the operator")
    repeat: Name = Field(description="column that numbers the repeats")
    good_enough: Positive | None = Field(None, description="% of study variation; else 10")
    detects: Positive | None = Field(None, description="a difference it must be able to see")


class LimitTest(ClaimTest):
    """Each item's reading against a limit with a guard band."""

    kind: Literal["limit"]
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("Every ball meets the limit.",
         "Each reading against a line, and its doubt."),
        ("All of them read between 72 and 78.",
         "`at_least` and `at_most` together."),
        ("They will all fail the check.",
         "`meets: none`: that not one of them meets the limit."),
        ("No shot went past the tenth board.",
         "`take: highest`: the most extreme reading of each."),
    )  # fmt: skip
    of_people: ClassVar[str] = "All of the bowlers meet the limit of 150."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"\bmeets?\b.*(?:limit|requirement|rule|standard)|\bmet the|"
         r"\bwithin (?:the )?(?:limits?|tolerance|spec)|complian|\blegal\b", 8),
        (r"\b(?:all|every|each|none|no|both)\b.*\b(?:read|measured|was|were|lie|"
         r"stay\w*|fall|pass\w*)\b.*(?:\bat least|\bat most|\babove|\bbelow|"
         r"\bbetween|\bunder|\bover|\bor (?:more|less|harder|softer)|the limit)", 8),
        (r"\b(?:fail\w*|pass\w*) (?:the )?(?:limit|test|check|rule)", 8),
        (r"^(?:no|not one|none of the) .*\b(?:past|above|below|under|over|beyond)\b", 7),
        (r"\b(?:all|every one|each) (?:of them )?(?:would |will )?fails?\b", 8),
        (r"\b(?:exceed\w*|under) the limit", 7),
        (r"\ball such|\bof (?:this|that) (?:kind|model)|\bpercent of|\d+ of \d+", -5),
    )  # fmt: skip
    measure: Name = Field(description="the measure")
    at_least: Finite | None = Field(None, description="lower limit")
    at_most: Finite | None = Field(None, description="upper limit; both make a range to stay in")
    at: Checkpoint | None = Field(
        None, description="checkpoint, or a window of two; else the last one (never an average "
        "over wear), and for the most extreme reading all of them"
    )
    u: NotNegative | None = Field(None, description="standard uncertainty of the value judged")
    meets: Literal["all", "none"] = Field(
        "all",
        description="what the claim says of the limit: that all of them meet it, or that none does "
        "(they all fail)",
    )
    take: Literal["mean", "lowest", "highest"] = Field(
        "mean",
        description="which of an item's readings there counts: their mean, or the most extreme one "
        "(no shot went past it)",
    )


class RateDifference(ClaimTest):
    """Successes out of attempts under a against b."""

    kind: Literal["rate-difference"]
    sorting: ClassVar[tuple[str, ...]] = ("by", "within")
    counting: ClassVar[tuple[str, ...]] = ("successes", "attempts")
    conditions: ClassVar[tuple[str, ...]] = ("a", "b")
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("You strike more on the long oil.",
         "So many out of so many, under two conditions."),
        ("Sanded balls strike more often, bowler by bowler.",
         "`within: bowler`, so that who bowls more does not tip it."),
        ("Cracked balls were three times as likely to have been kept in a hot car.",
         "`in: odds`: picked by what became of them, so only the odds ratio can be told."),
    )  # fmt: skip
    of_people: ClassVar[str] = "They strike more often on fresh oil."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"\b(?:strikes?|spares?|splits?|cracks?|cracked|carr(?:y|ies)|convert\w*|"
         r"fail\w*|broke)\b.*\b(?:more|less|likelier|as) (?:often|likely)", 9),
        (r"\bmore often\b|\bless often\b|\bas likely\b|\blikelier\b|\bodds\b|"
         r"\brisk\b|\bchance of", 7),
        (r"\b(?:strike|spare|success|failure|carry)[ -](?:rates?|percentage)|"
         r"\bout of (?:every )?\d+", 8),
        (r"^you (?:strike|carry|spare) (?:more|less)\b", 8),
        (r"\brate rose with|\brate (?:rises|falls|fell) with", -8),
    )  # fmt: skip
    successes: Name = Field(description="column of successes")
    attempts: Name = Field(description="column of attempts")
    by: Name = Field(description="column of the condition")
    a: str | Finite = Field(description="the value of `by` the claim speaks of")
    b: str | Finite = Field(description="the value of `by` it is held against")
    direction: Literal["higher", "lower", "any"] = Field("any", description="a against b")
    within: Name | None = Field(None, description="who repeats under both conditions")
    at_least: Positive | None = Field(
        None, description="the gap the claim says, at least, from 0 to 1 (0.1 is ten in a hundred);"
        " with `in: odds` how many times the odds, above 1"
    )
    margin: Annotated[float, Field(gt=0, lt=1, strict=True)] | None = Field(
        None, description="in place of a direction: unrelated, the two rates lie no farther apart "
        "than this (0.05 is five in a hundred)"
    )
    in_: Literal["odds"] | None = Field(
        None, alias="in", description="`odds`: other items on each side, picked by what became of "
        "them (cracked ones against whole ones), so that only the odds ratio can be told"
    )

    @model_validator(mode="after")
    def _one_question(self) -> RateDifference:
        odds = self.in_ == "odds"
        if self.margin is not None and (odds or self.direction != "any" or self.at_least):
            raise ValueError("`margin` without `direction`, `at_least` and `in: odds`")
        if odds and self.direction == "any":
            raise ValueError("`in: odds` with a `direction` of higher or lower")
        if odds and self.at_least is not None and (self.direction == "lower" or self.at_least <= 1):
            raise ValueError("`at_least` above 1 with `in: odds`, where the direction is higher "
                             "(swap `a` and `b`)")  # fmt: skip
        if not odds and (self.at_least or 0.0) >= 1:
            raise ValueError("`at_least` from 0 to 1: 0.1 is ten in a hundred")
        return self


class NotTestable(ClaimTest):
    """Not a question for data."""

    kind: Literal["not-testable"]
    sentences: ClassVar[tuple[tuple[str, str], ...]] = (
        ("It is fairer. It goes for everybody.",
         "Say why no numbers could settle it; the page says so, too."),
        ("The rule is best for the sport.",
         "What people want is not in the numbers."),
    )  # fmt: skip
    of_people: ClassVar[str] = "It is fairer. It goes for everybody."
    cues: ClassVar[tuple[tuple[str, int], ...]] = (
        (r"\bfair(?:er|ness)?\b|\bunfair\b|\bshould\b|\bought\b|\bundue\b|\bdeserv|"
         r"\bworth\b|\bfun\b|\bbeautiful|\btaste\b|\bbest for the (?:sport|game)", 5),
    )  # fmt: skip
    because: Text = Field(description="why no data could settle it")


AnyTest = Annotated[
    Change
    | NoChange
    | Difference
    | DifferenceInChange
    | Association
    | NoAssociation
    | TracksWithin
    | SameLine
    | BreakIn
    | Trend
    | Repeatability
    | LimitTest
    | RateDifference
    | FurtherTest
    | NotTestable,
    Field(discriminator="kind"),
]


def kinds() -> dict[str, type[ClaimTest]]:
    """Every test's model by its kind, in the order of the handbook."""
    models = get_args(get_args(AnyTest)[0])
    return {get_args(model.model_fields["kind"].annotation)[0]: model for model in models}
