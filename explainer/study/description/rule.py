"""Claims, the rule that rests on them, the report's own arithmetic, questions and advice."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Discriminator, Field, Tag, model_validator

from explainer.study.description.base import (
    Block,
    Checkpoint,
    Finite,
    Id,
    Name,
    NotNegative,
    Only,
    Text,
    Whole,
    YesNo,
)
from explainer.study.description.telling import (
    AskFirst,
    Guess,
    Like,
    Opinion,
    OtherVoice as OtherVoice,
    Voice,
)
from explainer.study.description.tests import AnyTest

#: A verdict by its code, as results.json has it.
Verdict = Literal["backed", "leans", "cannot-tell", "against", "not-tested"]
Brief = Annotated[str, Field(min_length=1, max_length=32)]


def _how_many(value: object) -> str:
    return "several" if isinstance(value, list | tuple) else "one"


#: One test, or a list of them; which one is meant is told by its form, so that an error in it is
#: told of that form alone.
OneOrSeveral = Annotated[
    Annotated[AnyTest, Tag("one")]
    | Annotated[tuple[AnyTest, ...], Field(min_length=1), Tag("several")],
    Discriminator(_how_many),
]


class Claim(Block):
    """One thing the report says, and how to hold it against the data."""

    id: Id
    report_says: Text | None = Field(None, description="the report's own sentence, quoted")
    said_by: Voice = Field(
        "report",
        description="who says it, if not the report: `rule` (its makers), `author` (you), `lanes` "
        "(what people say there), `viewers`, or `{other: who}`; each is told as what it is, in a "
        "group of its own, and only the report's own claims count when the page "
        "says how the report holds up",
    )
    says: Text | None = Field(
        None, description="the sentence, where somebody else than the report says it"
    )
    plainly: Text | None = Field(None, description="the same in everyday words")
    as_clause: Name | None = Field(
        None, description="the same to follow `whether` or `that`, in place of our own words"
    )
    briefly: Brief | None = Field(
        None, description="two or three words for a poster, to stand before `yes`: `Hooks less`"
    )
    say: Text | None = Field(None, description="the author's own words about it, in Markdown")
    like: Like = None
    guess: Guess = None
    opinion: Opinion = None
    page: int | str | None = Field(None, description="where it stands")
    figure: Id | None = Field(None, description="the figure that shows it")
    key: YesNo = Field(False, description="one of the report's own key findings: yes or no")
    answers_question: YesNo = Field(
        False, description="the study's question turns on it, so it is told first: yes or no"
    )
    answers: str | None = Field(None, description="other-study/question that its verdict answers")
    ask_first: AskFirst = Field(
        False,
        description="let readers guess before they see what the data say, yes or no: how much, "
        "where `matters_from` or `margin` says how much counts; else which way, or which verdict. "
        "Or a question of your own, asked in its place",
    )
    test: OneOrSeveral | None = Field(
        None, description="how to hold it against the data; a list where several must all hold"
    )
    tests: tuple[AnyTest, ...] = Field((), description="if one sentence says two things")

    @model_validator(mode="after")
    def _some_test(self) -> Claim:
        if (self.test is None) == (not self.tests):
            raise ValueError("either `test` or `tests`")
        return self

    @model_validator(mode="after")
    def _one_voice(self) -> Claim:
        if self.of_report and (self.report_says is None or self.says is not None):
            raise ValueError("`report_says`; `says` only with a `said_by` other than the report")
        if not self.of_report and (self.says is None or self.report_says is not None):
            raise ValueError("`says` in place of `report_says`: the report does not say it")
        if not self.of_report and self.is_key:
            raise ValueError("`key` on claims of the report alone: a key finding is the report's")
        return self

    @property
    def of_report(self) -> bool:
        """Whether it is the report's own."""
        return self.said_by == "report"

    @property
    def sentence(self) -> str:
        """The sentence as quoted, whoever says it."""
        return self.report_says or self.says or ""

    @property
    def all_tests(self) -> tuple[AnyTest, ...]:
        if self.test is None:
            return self.tests
        return self.test if isinstance(self.test, tuple) else (self.test,)

    @property
    def is_key(self) -> bool:
        return self.key in (True, "yes")

    @property
    def asks_first(self) -> bool:
        """Whether readers guess before the answer shows."""
        return bool(self.ask_first)

    @property
    def asked(self) -> str:
        """The author's own question before the answer; empty where ours will do."""
        return self.ask_first if isinstance(self.ask_first, str) else ""


#: What can be worked out again: one of these keys.
COMPUTED = ("mean", "sd", "difference", "percent", "r", "share", "rate", "count", "min", "max")


class Compute(Block):
    """A number the report states, to be worked out again."""

    mean: Name | None = Field(None, description="mean of a measure")
    sd: Name | None = Field(None, description="standard deviation of a measure")
    difference: Name | None = Field(None, description="measure; with `at` and `to`, or `by`, a, b")
    percent: Name | None = Field(None, description="percent change of a measure from `at` to `to`")
    r: tuple[Name, Name] | None = Field(
        None, description="correlation of two measures, over items unless `over` says otherwise"
    )
    over: Literal["items", "points"] | None = Field(
        None, description="with `r`: `items` (one point each) or `points` (every reading, as a "
        "report may draw it); without it both are tried, and the page says which one it is"
    )
    share: Name | None = Field(None, description="share of rows where column equals `is`")
    rate: Name | None = Field(
        None, description="column of successes; with `of`: percent of all tries, in one heap"
    )
    of: Name | None = Field(None, description="with `rate`: the column of tries")
    count: Name | None = Field(None, description="`items`, `rows`, or a measure's readings")
    min: Name | None = Field(None, description="smallest value of a measure")
    max: Name | None = Field(None, description="largest value of a measure")
    table: Name | None = Field(None, description="the table, if the measure stands in several")
    at: Checkpoint | None = Field(
        None, description="the checkpoint, or a window [first, last], over which each item's mean "
        "is taken"
    )
    to: Checkpoint | None = Field(None, description="the later checkpoint, or window")
    by: Name | None = Field(
        None, description="column that sorts rows: with `is`, or with `a` and `b`"
    )
    is_: str | Finite | None = Field(
        None, alias="is", description="the value of `by` to take, or that `share` counts"
    )
    only: Only | None = Field(None, description="column: value, to work on those rows alone")
    a: str | Finite | None = Field(None, description="first value of `by`")
    b: str | Finite | None = Field(None, description="second value of `by`")

    @property
    def what(self) -> str:
        return next(n for n in COMPUTED if getattr(self, n) is not None)

    @model_validator(mode="after")
    def _one(self) -> Compute:
        if sum(getattr(self, n) is not None for n in COMPUTED) != 1:
            raise ValueError("exactly one of " + ", ".join(COMPUTED))
        return self

    @model_validator(mode="after")
    def _nothing_idle(self) -> Compute:
        """No key stands there that the number would not heed."""
        sides, between = (self.a, self.b), self.what in ("difference", "percent")
        if self.what == "share":
            if self.is_ is None or self.by is not None:
                raise ValueError("`is` with `share`, and `only` in place of `by`")
        elif (self.by is None) != (self.is_ is None and sides == (None, None)):
            raise ValueError("`by` with `is`, or with `a` and `b`")
        if sides != (None, None) and (None in sides or not between or self.is_ is not None
                                      or self.to is not None):  # fmt: skip
            raise ValueError("`a` and `b` with `by` on `difference` or `percent`, without `is` "
                             "or `to`")  # fmt: skip
        if self.to is not None and not (between and self.at is not None):
            raise ValueError("`to` with `at`, on `difference` or `percent`")
        if (self.rate is None) != (self.of is None):
            raise ValueError("`rate` with `of`, the columns of successes and of tries")
        if self.over is not None and self.r is None:
            raise ValueError("`over` with `r` alone")
        return self

    @property
    def picks(self) -> dict[str, str | float]:
        """The rows that are read: column and value."""
        by = {self.by: self.is_} if self.by is not None and self.is_ is not None else {}
        return {**(self.only or {}), **by}


#: A step of 0 is none: every average would be made of nothing.
_A_SIZE = r"([0-9]*[1-9][0-9]*(\.[0-9]+)?|[0-9]*\.[0-9]*[1-9][0-9]*)"
STEPS = rf"^(whole numbers|steps of {_A_SIZE})$"


class Possible(Block):
    """Can this average or percentage come from that many whole steps at all?"""

    mean_of: str | None = Field(
        None,
        pattern=STEPS,
        description="what is averaged: `whole numbers` or `steps of 0.5`",
    )
    percent_of: str | None = Field(None, description="what is counted: strikes, items")
    n: Whole = Field(description="of how many")

    @model_validator(mode="after")
    def _one(self) -> Possible:
        if (self.mean_of is None) == (self.percent_of is None):
            raise ValueError("either mean_of or percent_of")
        return self


class Stated(Block):
    """A number as printed in the report."""

    what: Text = Field(description="what the number is")
    where: Name | None = Field(None, description="where it is printed")
    value: str = Field(max_length=40, description="as printed, in quotes: trailing zeros count")
    compute: Compute | None = Field(None, description="how to work it out again")
    possible: Possible | None = Field(
        None, description="whether such a number can come about at all"
    )

    @model_validator(mode="after")
    def _some(self) -> Stated:
        if self.compute is None and self.possible is None:
            raise ValueError("`compute` or `possible`")
        return self


class RuleLimit(Block):
    """What a ball must read."""

    measure: Name = Field(description="the measure")
    at_least: Finite | None = Field(
        None, description="lower limit; with `at_most` beside it, it must read between the two"
    )
    at_most: Finite | None = Field(None, description="upper limit")

    @model_validator(mode="after")
    def _some(self) -> RuleLimit:
        if self.at_least is None and self.at_most is None:
            raise ValueError("`at_least`, `at_most` or both")
        return self


class Link(Block):
    """One link of the chain, and the step from it to the next."""

    claim: Id
    therefore: Text | None = Field(None, description="what is said to follow")
    said_by: Voice = Field(
        "rule", description="who takes the step, if not the rule's makers; as `said_by` of a claim"
    )


class Rule(Block):
    """A rule that is said to rest on the claims."""

    change: Text = Field(description="what changes")
    in_force: str | None = Field(None, description="from when, as year-month-day")
    limit: RuleLimit | None = Field(None, description="what a ball must read")
    affects: Text | None = Field(None, description="who is affected")
    reading: Text | None = Field(None, description="how to take a reading that counts")
    mean_of: Whole | None = Field(
        None, description="how many readings are averaged for one that counts; 1 where left out"
    )
    u: NotNegative | None = Field(None, description="standard uncertainty of such a reading")
    reasons: tuple[Id | Link, ...] = Field((), description="claim ids, in order: the chain")
    also: tuple[Id, ...] = Field(
        (), description="ids of claims outside the chain that would speak for the rule if they held"
    )
    say: Text | None = Field(None, description="your own words about the rule, in Markdown")
    like: Like = None
    guess: Guess = None
    opinion: Opinion = None

    @property
    def links(self) -> tuple[Link, ...]:
        return tuple(
            r if isinstance(r, Link) else Link(claim=r, therefore=None) for r in self.reasons
        )


class Question(Block):
    """What nobody knows yet."""

    ask: Text = Field(description="the question")
    settled_by: Text | None = Field(None, description="what would settle it")
    id: Id | None = Field(None, description="so that another study can answer it")


class Advice(Block):
    """What to do about it."""

    do: Text = Field(description="what to do")
    because: tuple[Id, ...] = Field((), description="ids of the claims it rests on")


class Correction(Block):
    """What was wrong in an earlier edition of this explainer."""

    date: str = Field(description="when it was put right, as year-month-day")
    what: Text = Field(description="what was wrong, and what stands there now")
    found_by: Text | None = Field(None, description="who found it")
    was: dict[Id, Verdict] | Text | None = Field(
        None, description="what stood there before: in words, or the old verdict of each claim"
    )
