"""What is said of twenty dots can be counted on them, and how far off a guess was on the line."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from explainer.claims.judge import judge
from explainer.claims.outcomes import guess
from explainer.study.load import find_study, load_study
from explainer.words.facts.relations import by_numbers, lies, shaky
from explainer.words.phrases.book import defects_of
from explainer.words.quantity.numerals import cardinal
from explainer.words.say import say

STUDIES = Path(__file__).parents[2] / "studies"
NAMES = ("cover-texture", "one-old-ball", "sixty-shots", "three-balls", "ten-sleepers")


@pytest.fixture(scope="module", params=NAMES)
def told(request):
    """A study whose every claim is asked first, judged, and its words."""
    workspace, folder = find_study(str(STUDIES / request.param), None)
    study = load_study(folder, workspace)
    asking = tuple(c.model_copy(update={"ask_first": True}) for c in study.description.claims)
    said = study.description.model_copy(update={"claims": asking})
    judgement = judge(replace(study, description=said))
    return judgement, say(judgement)


def test_the_count_is_that_of_the_dots_where_the_claim_needs_them(told):
    judgement, words = told
    for verdict in judgement.verdicts:
        strip, said = verdict.strip, words.claims[verdict.claim.id].outcomes
        assert bool(said) == bool(strip and strip.outcomes)
        if not said or not lies(strip, 0.0, 0.0):
            continue
        inside = sum(lies(strip, at, at) == "inside" for at in strip.outcomes)
        wanted = {0: "None of the", 20: "twenty"}.get(inside, cardinal(inside))
        assert wanted.casefold() in said[1].casefold(), verdict.claim.id
        assert ("hollow" in said[1]) == (0 < inside < 20)


def test_what_holds_a_verdict_back_is_said_not_to_be_in_the_dots(told):
    judgement, words = told
    for verdict in judgement.verdicts:
        said = " ".join(words.claims[verdict.claim.id].outcomes)
        # Only where something does: the bar is hollow then.
        held = verdict.code in ("leans", "cannot-tell") and shaky(verdict)
        held = held and not by_numbers(verdict)
        assert ("not in the dots" in said) == (held and bool(said))


def test_each_guess_is_told_how_the_estimate_and_the_range_lie_to_it(told):
    judgement, words = told
    for verdict in judgement.verdicts:
        asked, said = guess(verdict), words.claims[verdict.claim.id].guess
        assert len(asked.choices) == len(said.choices)
        for choice, (_, gap) in zip(asked.choices, said.choices, strict=True):
            if asked.mode == "size":
                assert gap.startswith("Well guessed") == choice.right
                assert ("lies in it" in gap) == (choice.meets and not choice.right)
                off = re.search(r", ([\d.]+) [^,]+ outside your guess", gap)
                if off:
                    assert float(off[1]) == pytest.approx(choice.gap, rel=0.12, abs=0.51)
            elif asked.mode == "way":
                assert ("the way you said" in gap and "not go" not in gap) == choice.right
            else:
                assert gap.startswith("That is the verdict") == choice.right


def test_no_sentence_was_missing(told):
    judgement, _ = told
    missing = [p for p in defects_of(judgement) if "outcomes" in p.found or "guess" in p.found
               or "story" in p.found]  # fmt: skip
    assert missing == []
