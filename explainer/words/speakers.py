"""Who says a claim, in words: each voice is told as what it is, in a group of its own."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol, TypeVar

from explainer.claims.verdict import ChainLink
from explainer.study.description.rule import Claim, OtherVoice
from explainer.study.description.telling import Voice
from explainer.words.quantity.sizes import listed


@dataclass(frozen=True)
class Speaker:
    """One voice, by the ways a sentence names it."""

    heading: str
    """Over the group of what it says."""
    who: str
    """Who it is: ``the rule’s makers``."""
    named: str
    """Under the quoted sentence."""
    saying: str
    """To be followed by the quoted sentence."""
    says: str
    """Inside a sentence: ``the report says``."""
    claims: str
    """Behind a size: ``past the 5 boards the report claims``."""
    against: str
    """What a finding is contrary to: ``the report``."""
    by: str
    """Behind a number of claims: ``one of mine``."""


#: heading, who, named, saying, says, claims, against, by
_VOICES = {
    "report": Speaker(
        "What the report says", "the report", "The report", "The report says",
        "the report says", "the report claims", "the report", "of the report’s own",
    ),
    "rule": Speaker(
        "What the rule’s makers say", "the rule’s makers", "The rule’s makers",
        "The rule’s makers say", "the rule’s makers say", "the rule’s makers claim",
        "the rule’s makers", "of the rule’s makers",
    ),
    "author": Speaker(
        "What I would have said", "the author of this page", "The author of this page",
        "I would have said", "I would have said", "I would have claimed",
        "what I would have said", "of mine",
    ),
    "lanes": Speaker(
        "What people say at the lanes", "people at the lanes", "People at the lanes",
        "At the lanes people say", "people say at the lanes", "people claim at the lanes",
        "what people say at the lanes", "heard at the lanes",
    ),
    "viewers": Speaker(
        "What viewers say", "viewers", "Viewers", "Viewers say",
        "viewers say", "viewers claim", "what viewers say", "of viewers",
    ),
}  # fmt: skip


def speaker_of(voice: Voice) -> Speaker:
    """A voice by the ways sentences name it."""
    if isinstance(voice, OtherVoice):
        who = voice.other.strip()
        said = f"Said by {who}"
        return Speaker(
            said, who, said, said, f"{who} says", f"{who} claims", who, f"said by {who}"
        )
    return _VOICES[voice]


def step_by(link: ChainLink) -> str:
    """Who takes the step from a reason to the next; empty where none is taken."""
    return f"A step taken by {speaker_of(link.said_by).who}." if link.therefore else ""


def named(claim: Claim) -> str:
    """Who says it, as it stands under the quoted sentence."""
    return speaker_of(claim.said_by).named


def saying(claim: Claim) -> str:
    """Who says it, to be followed by the quoted sentence."""
    return speaker_of(claim.said_by).saying


def voice_code(voice: Voice) -> str:
    """The voice as results.json and the page's markup have it: ``report``, ``lanes``, ``other``."""
    return "other" if isinstance(voice, OtherVoice) else voice


def contrary_to(claims: Iterable[Claim]) -> str:
    """What findings against these claims are contrary to, each voice once."""
    return listed(list(dict.fromkeys(speaker_of(claim.said_by).against for claim in claims)))


class _OfClaim(Protocol):
    """Anything that holds a claim: a verdict."""

    @property
    def claim(self) -> Claim: ...


V = TypeVar("V", bound=_OfClaim)


def in_voices(verdicts: Sequence[V]) -> tuple[V, ...]:
    """``verdicts`` in the order of the page: the report's own first, then voice by voice."""
    order = list(_VOICES)
    others = list(dict.fromkeys(
        v.claim.said_by.other for v in verdicts if isinstance(v.claim.said_by, OtherVoice)
    ))  # fmt: skip

    def place(verdict: V) -> tuple[int, int]:
        said = verdict.claim.said_by
        if isinstance(said, OtherVoice):
            return len(order), others.index(said.other)
        return order.index(said), 0

    return tuple(sorted(verdicts, key=place))


def several_voices(verdicts: Iterable[V]) -> bool:
    """Whether more than one voice is told, so that each needs a name beside what it says."""
    return len({speaker_of(v.claim.said_by) for v in verdicts}) > 1


def of_report(verdicts: Iterable[V]) -> tuple[V, ...]:
    """The report's own claims: those that count where the page says how the report holds up."""
    return tuple(v for v in verdicts if v.claim.of_report)
