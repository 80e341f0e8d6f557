"""Who says a thing, and what the author adds to it: asides, an opening and an ending.

None of it is a finding.  A voice says whose claim it is; a comparison, a guess and an opinion are
told as what they are; an opening and an ending frame what is told in between.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from explainer.study.description.base import Block, Id, Name, Text, YesNo


class OtherVoice(Block):
    """Somebody else who says it."""

    other: Name = Field(description="who says it, as it can follow `Said by`: a reader's letter")


#: Who says a claim, or takes a step of a rule's chain.
Voice = Literal["report", "rule", "author", "lanes", "viewers"] | OtherVoice


class Comparison(Block):
    """An everyday comparison, and where it stops being true."""

    what: Text = Field(description="the comparison: A sanded cover is like a new tire.")
    stops: Text = Field(description="where it stops being true: A tire is not sanded anew.")


#: What the author adds beside ``say``: told as what it is, and never as a finding.
Like = Annotated[
    Comparison | Text | None,
    Field(
        description="an everyday comparison; `{what: …, stops: …}` also says where it stops being "
        "true"
    ),
]
Guess = Annotated[
    Text | None, Field(description="what you guess and this data do not show; told as a guess")
]
Opinion = Annotated[Text | None, Field(description="what you think of it; told as an opinion")]
#: The keys of all three, in the order they are told.
ASIDES = ("like", "guess", "opinion")


def compared(like: Comparison | str | None) -> tuple[str, str]:
    """A comparison and where it stops being true; empty where there is none, or not told."""
    return (like.what, like.stops) if isinstance(like, Comparison) else (like or "", "")


#: A guess that readers and listeners make first: asked in our words (yes) or in the author's.
AskFirst = YesNo | Text


class FirstWords(Block):
    """The first words, and a question that is held open until the end."""

    hook: Text | None = Field(
        None, description="the first words of the video, and of the page after its question"
    )
    running_question: Text | None = Field(
        None, description="a question put at the start and answered at the end"
    )


class LastWords(Block):
    """The last words, kept for the whole workspace."""

    outro: Text | None = Field(None, description="how you say goodbye")
    next: Text | None = Field(
        None, description="what comes next, spoken just as it is written: a whole sentence"
    )
    request: Text | None = Field(None, description="the one thing you ask of who listens")


class LastWordsHere(LastWords):
    """The last words, and what answers the running question: a claim, or the author."""

    answered_by: Id | None = Field(
        None,
        description="the claim whose verdict answers the running question; else the study's answer "
        "does",
    )
    answer: Text | None = Field(
        None,
        description="your own answer to the running question, in place of a claim's: told as yours "
        "and as no finding",
    )
