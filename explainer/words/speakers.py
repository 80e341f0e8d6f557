"""Who says a claim, in words: as a name under a quotation, and to begin a sentence with."""

from __future__ import annotations

from explainer.study.description.rule import Claim, OtherVoice

#: Under the quoted sentence; then before it, when it is read out.
_VOICES = {
    "report": ("The report", "The report says"),
    "rule": ("The rule", "The rule says"),
    "author": ("The author of this page", "I say"),
    "lanes": ("Said at the lanes", "At the lanes people say"),
    "viewers": ("Said by viewers", "Viewers say"),
}


def named(claim: Claim) -> str:
    """Who says it, as it stands under the quoted sentence."""
    who = claim.said_by
    return f"Said by {who.other}" if isinstance(who, OtherVoice) else _VOICES[who][0]


def saying(claim: Claim) -> str:
    """Who says it, to be followed by the quoted sentence."""
    who = claim.said_by
    return f"Said by {who.other}" if isinstance(who, OtherVoice) else _VOICES[who][1]
