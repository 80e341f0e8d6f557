"""The words of what stands beside a strip: twenty equally likely answers, and a first guess."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from explainer.claims.kinds import kind_of
from explainer.claims.outcomes import FirstGuess, OfferedGuess, guess
from explainer.claims.verdict import Strip, Verdict
from explainer.words.facts.ranges import lies
from explainer.words.phrases.renderer import Teller
from explainer.words.quantity.numbers import as_given, bare
from explainer.words.quantity.numerals import cardinal
from explainer.words.quantity.sizes import Sized, with_unit
from explainer.words.said import GuessWords

Facts = Mapping[str, Any]


def outcome_words(teller: Teller, verdict: Verdict, known: Facts) -> tuple[str, ...]:
    """How many of the twenty answers lie where the claim needs them, and what they leave out."""
    strip = verdict.strip
    if strip is None or not strip.outcomes:
        return ()
    found = [lies(strip, at, at) for at in strip.outcomes]
    same = sum(at * (strip.value or 0.0) > 0 for at in strip.outcomes)
    told = {
        **known, "dots_in": found.count("inside"), "dots_out": found.count("outside"),
        "dots_same": same, "needed_somewhere": bool(found[0]),
        "dots_in_told": cardinal(found.count("inside")), "dots_same_told": cardinal(same),
    }  # fmt: skip
    kind, about = verdict.test.kind, verdict.claim.id
    either = kind_of(verdict).corrected and not known["way_claimed"] and not known["sized"]
    told_as = [f"outcomes.told.{kind}", "outcomes.told"]
    if either and same:
        told_as = ["outcomes.told.either"]
    names = ["outcomes.what"], told_as, ["outcomes.beside"]
    return tuple(
        teller.tell(each, told, about=about) for each in names if teller.may(told, *each)
    )


def guess_words(teller: Teller, verdict: Verdict, known: Facts) -> GuessWords | None:
    """The question, each guess, and how the answer lies to it; None where nobody asks."""
    asked = guess(verdict)
    if asked is None:
        return None
    about = verdict.claim.id
    labels = [_label(teller, verdict, asked, choice, known) for choice in asked.choices]
    right = next((la for la, c in zip(labels, asked.choices, strict=True) if c.right), "")
    said = []
    for label, choice in zip(labels, asked.choices, strict=True):
        facts = {
            **known, "guess_right": choice.right, "guess_meets": choice.meets, "guessed": label,
            "gap": _gap(verdict, choice), "way": _way(verdict.strip, verdict.estimate),
            "reached": right,
        }  # fmt: skip
        said.append((label, teller.tell([f"guess.gap.{asked.mode}"], facts, about=about)))
    ask = teller.tell([f"guess.ask.{asked.mode}"], known, about=about)
    return GuessWords(ask, tuple(said))


def _label(
    teller: Teller, verdict: Verdict, asked: FirstGuess, choice: OfferedGuess, known: Facts
) -> str:
    """One guess, as a button has it."""
    if choice.code is not None:
        return teller.fragment([f"label.{choice.code}"], known, about=verdict.claim.id)
    low, high = choice.low, choice.high
    ends = sorted(abs(end) for end in (low, high) if end is not None)
    side = 0.0 if low is not None and high is not None and low < 0 < high else (
        -1.0 if high is not None and high <= 0 else 1.0
    )  # fmt: skip
    near, far = ends[0], ends[-1]
    name = "within" if not side else "open" if None in (low, high) else "between"
    unit_said = bare if name == "between" else with_unit
    facts = {
        **known, "way": _way(verdict.strip, side), "far": with_unit(as_given(far), asked.unit),
        "near": unit_said(as_given(near), asked.unit),
    }  # fmt: skip
    names = [f"guess.{asked.mode}.{name}", f"guess.{asked.mode}"]
    said = teller.fragment(names, facts, about=verdict.claim.id)
    return said[:1].upper() + said[1:]


def _gap(verdict: Verdict, choice: OfferedGuess) -> str:
    """From the best estimate to the guess; as fine as the estimate's own range allows."""
    strip = verdict.strip
    if choice.gap is None or strip is None or strip.low is None or strip.high is None:
        return ""
    half = (strip.high - strip.low) / 2
    return Sized(choice.gap, choice.gap - half, choice.gap + half, strip.unit).size


def _way(strip: Strip | None, value: float | None) -> str:
    """The word for the side of nothing that a value lies on; empty at nothing."""
    if strip is None or not value:
        return ""
    return (strip.less_is or "down") if value < 0 else (strip.more_is or "up")
