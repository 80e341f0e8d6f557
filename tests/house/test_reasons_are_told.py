"""Every reason code has its plain words wherever a reader meets it or looks it up.

On the claim (``reasons.yaml``), in a breath (``heard.why``), in the short line beside a label
(``held``), and on the page that tells how verdicts work, under an address of its own.
"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import lxml.html
import pytest

from explainer.claims.verdict import REASONS

pytestmark = pytest.mark.whole  # quick, and a rule of every file or row

ROOT = Path(__file__).parents[2]
#: Said of a verdict, and never what holds one back, or held back before anything was worked out.
NOT_IN_A_BREATH = frozenset({"real-but-small", "not-a-data-question"})
#: They explain what is shown and hold no label back, so that no short line stands beside one.
NEVER_HELD = frozenset({"evenly-scattered", "overshoots", "one-group"})
#: Words that a reader without statistics does not have.
JARGON = re.compile(r"\b(?:equivalence|estimator|variance|covariate|confounded|significan\w+|"
                    r"regress\w+|heterosced\w+|binomial|quantile|null)\b", re.IGNORECASE)


@cache
def book() -> frozenset[str]:
    """The names of all phrases."""
    files = sorted((ROOT / "templates" / "phrases").glob("*.yaml"))
    text = "\n".join(f.read_text("utf-8") for f in files)
    heads = re.findall(r"^([a-z][\w., -]*):", text, re.MULTILINE)
    return frozenset(name for head in heads for name in head.split(", "))


@cache
def entries() -> dict[str, str]:
    """The reasons on the page that tells how verdicts work, by code."""
    page = lxml.html.fromstring((ROOT / "templates" / "verdicts.html.j2").read_text("utf-8"))
    return {li.get("id"): " ".join(li.text_content().split())
            for li in page.xpath("//li[@data-reason]")}  # fmt: skip


def named(prefix: str, code: str) -> set[str]:
    """The phrases for a code: its own, or those for it and a kind."""
    own = f"{prefix}{code}"
    return {name for name in book() if name == own or name.startswith(own + ".")}


@pytest.mark.parametrize("code", REASONS)
def test_a_reason_has_its_words(code: str) -> None:
    assert named("", code), "no sentence for the claim"
    assert code in NEVER_HELD or named("held.", code), "no short line beside a label"
    assert code in NOT_IN_A_BREATH or named("heard.why.", code), "nothing to say aloud"
    told = entries().get(f"reason-{code}", "")
    assert len(told.split()) >= 5 and told.endswith("."), "no entry where a reader looks it up"
    assert not JARGON.search(told), told


def test_no_words_stand_for_a_reason_that_is_none() -> None:
    assert set(entries()) == {f"reason-{code}" for code in REASONS}
    for prefix in ("held.", "heard.why."):
        over = {n for n in book() if n.startswith(prefix)
                and not any(n in named(prefix, code) for code in REASONS)}  # fmt: skip
        assert not over, over
