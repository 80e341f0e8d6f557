"""What phrases may say of each claim of the benches, kept fact by fact in ``kept/``.

A fact that is new is no matter; one that is gone, or says something else, is named.  Written down
again, once read, by::

    PYTHONPATH=tests python tests/words/test_kept_facts.py
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest
from benches import BENCHES, judged, put
from kept import differs, keep

from explainer.words.facts.claim import facts, shown

KEPT = Path(__file__).parent / "kept"


ABSENT = "-"


def found(name: str) -> dict[str, dict[str, str]]:
    """Fact to claim to what it is there, of a bench."""
    judgement = judged(name)
    each = {
        f"{verdict.claim.id}.{number}": facts(one, judgement.study)
        for verdict in judgement.verdicts
        for number, one in enumerate(verdict.each)
    }
    every = sorted({fact for known in each.values() for fact in known})
    return {
        fact: {claim: put(known.get(fact, ABSENT)) for claim, known in each.items()}
        for fact in every
    }


def rows(found: dict[str, dict[str, str]]) -> list[str]:
    """A line for what a fact mostly is, and one for each claim of which it is something else."""
    made = []
    for fact, told in found.items():
        usual = Counter(told.values()).most_common(1)[0][0]
        made.append(f"{fact} = {usual}")
        made += [f"  {claim} = {text}" for claim, text in told.items() if text != usual]
    return made


def read(text: str, claims: list[str]) -> Iterator[tuple[str, str, str]]:
    """What was kept: fact, claim and what it was."""
    made: dict[str, dict[str, str]] = {}
    fact = ""
    for row in text.splitlines():
        key, value = row.removeprefix("  ").split(" = ", 1)
        if row.startswith("  "):
            made[fact][key] = value
        else:
            fact = key
            made[fact] = dict.fromkeys(claims, value)
    return ((fact, claim, text) for fact, told in made.items() for claim, text in told.items())


@pytest.mark.parametrize("name", BENCHES)
def test_the_range_of_a_test_of_equivalence_is_told_at_its_own_level(name: str) -> None:
    """Also of percents, whose change is drawn in percentage points or in percent of what it was."""
    seen = set()
    for verdict in judged(name).verdicts:
        for one in verdict.each:
            low, high = (getattr(one.detail, end, None) for end in ("low90", "high90"))
            if None in (low, high) or one.estimate is None or one.strip is None:
                continue
            if one.strip.value is not None:
                told = shown(one)
                assert (told.low, told.high) == pytest.approx((low, high)), one.claim.id
                seen.add(one.unit)
    assert "percent" in seen


@pytest.mark.parametrize("name", BENCHES)
def test_the_facts_are_what_they_were(name: str) -> None:
    now = found(name)
    claims = list(next(iter(now.values())))
    kept = list(read((KEPT / f"{name}.txt").read_text(encoding="utf-8"), claims))
    assert {fact for fact, _, _ in kept} <= set(now)
    moved = [f"{claim} {fact}: kept {text}, now {now[fact][claim]}" for fact, claim, text in kept
             if differs(now[fact][claim], text)]  # fmt: skip
    assert not moved, "\n".join(moved[:5])


if __name__ == "__main__":
    for bench in BENCHES:
        keep(rows(found(bench)), KEPT / f"{bench}.txt")
