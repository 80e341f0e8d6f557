"""The drawn examples of the page about verdicts: one question, and what each answer looks like.

The numbers are invented and say what they stand for: a ball's change in cover roughness, where
6 microinches is the least a bowler would notice.
"""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from explainer.charts.strip import draw_strip
from explainer.claims.verdict import Code, Strip
from explainer.words.said import ClaimWords

CLAIM = "Covers get smoother with play."


@dataclass(frozen=True)
class Sample:
    """A verdict, drawn."""

    code: Code
    label: str
    value: float
    low: float
    high: float
    explained: str

    @property
    def svg(self) -> Markup:
        """The range strip, trusted: it is drawn here, from these numbers."""
        strip = Strip(self.value, self.low, self.high, (None, 0.0), (-6.0, 6.0), 0.0,
                      "microinch", "smoother", "rougher")  # fmt: skip
        words = ClaimWords(
            label=self.label, plainly=CLAIM, says="", because=(), settle="",
            strip=self.explained, estimate="", method="",
        )  # fmt: skip
        return Markup(draw_strip(strip, f"sample-{self.code}", words))


#: One for each verdict that has a range; ``not-tested`` has none.
SAMPLES: tuple[Sample, ...] = (
    Sample(
        "backed", "Backed by this data", -18, -24, -12,
        "All of the likely range lies on the smoother side, where the claim says.",
    ),
    Sample(
        "leans", "Leans this way", -8, -17, 1,
        "The best guess is smoother, and most of the range is, but its end reaches past zero.",
    ),
    Sample(
        "cannot-tell", "Can’t tell from this data", -3, -18, 12,
        "The range covers smoother and rougher alike. That is not the same as no change.",
    ),
    Sample(
        "against", "The data point the other way", 13, 7, 19,
        "All of the range lies on the rougher side, where the claim says it should not.",
    ),
)  # fmt: skip
