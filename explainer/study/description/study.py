"""The whole of ``study.yaml``, and of a workspace's ``settings.yaml``."""

from __future__ import annotations

import json
import re
import unicodedata
from functools import cache
from ipaddress import IPv6Address
from typing import Annotated, Any, Literal, get_args
from urllib.parse import urlsplit

from pydantic import AfterValidator, Field

from explainer.study.description.base import Block, Id, Name, NotNegative, Positive, Text, YesNo
from explainer.study.description.figures import AnyFigure
from explainer.study.description.rule import Advice, Claim, Correction, Question, Rule, Stated
from explainer.study.description.sources import Excluded, Measure, Report, TableFile, Tested, Use
from explainer.study.description.telling import (
    FirstWords,
    Guess,
    LastWords,
    LastWordsHere,
    Like,
    Opinion,
)
from explainer.study.unseen import blank

# A recording of the script, and where its times stand.

class Recording(Block):
    """The recording that was made of the script: captions, chapters and timeline follow it.

    Give either ``marks`` or ``silences``.
    """

    marks: Name | None = Field(
        None,
        description="a CSV file with when things begin in the recording: the columns in (seconds, "
        "or 1:02.5) and still (its name or number) or says (the first words of a sentence); the "
        "script's cuts.csv with another column in is one",
    )
    silences: Name | None = Field(
        None,
        description="its pauses: a CSV file with the columns from and to, or the sound itself as "
        "a WAV file",
    )
    length: Literal["2-minutes", "8-minutes", "full"] = Field(
        "full", description="which length of the script was read"
    )
    lasts: Positive | None = Field(None, description="how many seconds the recording lasts")


Edition = Literal["page", "handout", "rule-card", "script"]
"""What is made of a study beside its page, which is always there; ``page`` is the same on paper."""


#: What the order of a talk names beside figures and claims.
RULE = "rule"


#: So many CSV files a study may have.
MOST_TABLES = 60


class Description(Block):
    """A study, as its author describes it."""

    title: Text = Field(description="the explainer's title")
    question: Text = Field(description="the question, as a bowler would ask it")
    invented: YesNo = Field(False, description="made-up data: said everywhere")
    topic: Id | None = Field(None, description="ties studies of one question together")
    answers: str | None = Field(None, description="other-study/question that this one answers")
    here_for: Text | None = Field(
        None, description="why it is on the site, where that is not plain: said on the front page"
    )
    intro: Text | None = Field(None, description="the author's opening words, in Markdown")
    like: Like = None
    guess: Guess = None
    opinion: Opinion = None
    opening: FirstWords = Field(
        FirstWords(), description="the first words and a running question; else the workspace's"
    )
    ending: LastWordsHere = Field(
        LastWordsHere(),
        description="the last words, what comes next, one request; else the workspace's",
    )
    data_source: Text | None = Field(None, description="source and licence of open data")
    report: Report | None = Field(None, description="the report that is explained")
    tested: Tested = Field(description="what counts as one, and how many there were")
    use: Use | None = Field(None, description="the checkpoints, if items were used")
    measures: dict[Name, Measure] = Field({}, max_length=200, description="what was measured")
    tables: dict[Name, TableFile] = Field(
        min_length=1, max_length=MOST_TABLES, description="the CSV files"
    )
    figures: tuple[AnyFigure, ...] = Field((), max_length=60, description="the figures to draw")
    claims: tuple[Claim, ...] = Field((), max_length=120, description="what the report says")
    stated: tuple[Stated, ...] = Field((), max_length=300, description="numbers the report prints")
    rule: Rule | None = Field(None, description="the rule that rests on the claims")
    questions: tuple[Question, ...] = Field((), max_length=100, description="what nobody knows yet")
    advice: tuple[Advice, ...] = Field((), max_length=100, description="what to do about it")
    edition: str | None = Field(
        None, description="the day of this edition of the explainer, as year-month-day"
    )
    editions: tuple[Edition, ...] = Field(
        get_args(Edition), max_length=4,
        description="what is made beside the page: any of page (on paper), handout, rule-card, "
        "script; all of them where nothing is said",
    )  # fmt: skip
    corrections: tuple[Correction, ...] = Field(
        (), max_length=300, description="what was wrong before"
    )
    order: tuple[Id, ...] = Field(
        (), max_length=200,
        description="the order in which the script tells what stands between the question and the "
        "answer: ids of figures and claims, and `rule`; a figure brings the claims that name it, "
        "and what is left out follows. Without it the claim that the question turns on comes first",
    )
    recording: Recording | None = Field(None, description="the recording made of the script")
    excluded: tuple[Excluded, ...] = Field(
        (), max_length=1_000, description="readings left out, with the cause"
    )
    thresholds: dict[str, NotNegative] = Field({}, description="in place of ours, by name")

    @property
    def is_invented(self) -> bool:
        return self.invented in (True, "yes")


#: Frames a second that editing programs know; 29.97 stands for 30,000 in 1,001 seconds.
FRAME_RATES: tuple[float, ...] = (24, 25, 29.97, 30, 60)


def _known_rate(value: float) -> float:
    if value not in FRAME_RATES:
        raise ValueError("one of 24, 25, 29.97, 30 and 60")
    return value


FrameRate = Annotated[float, Field(strict=True), AfterValidator(_known_rate)]


#: A place that names can be put behind: nobody's name and password, no question, no back-slash,
#: which browsers take for a slash.
ADDRESS = r"^https?://[^\s<>\"'`\\/@?#]+(/[^\s<>\"'`\\?#]*)?$"


def _leads_somewhere(address: str) -> str:
    """An address whose every part is read as it stands (RFC 3986, from memory): a host of labels or
    an IPv6 address, a port there is, a path whose steps go neither up nor nowhere.

    A domain may be of any script; of signs, only those that names and paths are made with.
    """
    try:
        parts = urlsplit(address)
        host, port = parts.hostname or "", parts.port
        if parts.netloc.startswith("["):
            behind = parts.netloc.partition("]")[2]
            host = f"v6-{int(IPv6Address(host))}" if behind[:1] in ("", ":") else ""
    except ValueError:
        raise ValueError(_AN_ADDRESS) from None
    steps = parts.path.removeprefix("/").removesuffix("/").split("/")
    sound = (
        all(map(_is_label, host.removesuffix(".").split(".")))
        and port != 0 and not parts.netloc.endswith(":")
        and (steps == [""] or all(map(_is_step, steps)))
    )  # fmt: skip
    if not sound:
        raise ValueError(_AN_ADDRESS)
    return address


_AN_ADDRESS = "an address that names lead to, such as https://example.org/lanes"


def _is_label(label: str) -> bool:
    if not 0 < len(label) <= 63 or label[0] == "-" or label[-1] == "-" or blank(label):
        return False
    return all(c in "-_" or unicodedata.category(c)[0] in "LMN" for c in label)


def _is_step(step: str) -> bool:
    """Whether this may stand between two slashes of a path; a percent sign codes a character."""
    plain = re.sub("%[0-9A-Fa-f]{2}", "x", step)
    return step not in ("", ".", "..") and all(
        c.isalnum() or c in "-._~!$&'()*+,;=:@" or not c.isascii() for c in plain
    )


_Address = Annotated[
    str, Field(pattern=ADDRESS, max_length=300), AfterValidator(_leads_somewhere)
]


class Settings(Block):
    """What is true of the whole workspace."""

    title: Text = Field("Explained", description="what the site is called")
    base_address: _Address | None = Field(None, description="where the site will be read: https://…")
    paper: Literal["letter", "a4"] = Field("letter", description="paper that sheets fit")
    sheet_sides: int = Field(
        1, ge=1, le=2, strict=True,
        description="sides of the sheet: 1, or 2 with words, open questions and how it was found",
    )  # fmt: skip
    large_print: YesNo = Field(False, description="nothing on paper below 18 points: yes or no")
    annex: YesNo = Field(
        True, description="method, words and tables at the end of explainer.pdf: yes or no"
    )
    units_first: Literal["inch", "metric"] = Field("inch", description="units that come first")
    stills: Literal["light", "dark"] = Field(
        "light", description="stills of the video script: on light paper, or on dark as well"
    )
    frame_rate: FrameRate = Field(
        30, description="frames a second of a video made from the script: 24, 25, 29.97, 30 or 60",
        json_schema_extra={"enum": list(FRAME_RATES)},
    )  # fmt: skip
    speaking_rate: int = Field(150, ge=60, le=300, description="words a minute")
    audience: Literal["viewer", "league", "coach"] = Field("viewer", description="who reads")
    opening: FirstWords = Field(
        FirstWords(), description="first words and a running question, where a study has none"
    )
    ending: LastWords = Field(
        LastWords(), description="last words, what comes next, one request, where a study has none"
    )

    @property
    def has_annex(self) -> bool:
        return self.annex in (True, "yes")

    @property
    def is_large_print(self) -> bool:
        return self.large_print in (True, "yes")


# The JSON Schema (draft 2020-12) of study.yaml, written from the models.
# Key descriptions are the models' own, so an editor explains each key in the words the project
# uses everywhere else.

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def schema(of: type[Description] | type[Settings] = Description) -> dict[str, Any]:
    """The schema as plain data; the same on every run, without an address of its own."""
    return {"$schema": DIALECT, **of.model_json_schema(by_alias=True, mode="validation")}


@cache
def schema_text(of: type[Description] | type[Settings] = Description) -> str:
    """The schema as a JSON file, keys sorted."""
    return json.dumps(schema(of), indent=2, sort_keys=True, ensure_ascii=False) + "\n"
