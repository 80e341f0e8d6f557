"""Which test for which sentence: what reports say, and the kind of claim that holds it to account.

The handbook's way in for an author who has a sentence before them and thirteen kinds to choose
from.
"""

from __future__ import annotations

#: A sentence as a report may say it, the ``kind`` of its test, and what tells it from its neighbor.
SENTENCES: tuple[tuple[str, str, str], ...] = (
    ("Covers got smoother over sixty games.", "change",
     "The same balls, read at two checkpoints."),
    ("Hardness did not change.", "no-change",
     "It takes a `matters_from`: how much would count as a change."),
    ("Used balls are softer than new ones.", "difference",
     "Two groups side by side; with `within`, the same bowlers under both."),
    ("Rougher balls hook more.", "association", "One ball against another."),
    ("Speed has nothing to do with it.", "no-association",
     "It takes a `margin`, and many balls."),
    ("As a ball goes smooth it hooks less.", "tracks-within",
     "One ball against its own earlier self. This is not the sentence above."),
    ("A ball worn smooth acts like one made smooth.", "same-line",
     "Played balls held against a line of new ones."),
    ("It was all over by shot twenty.", "break-in",
     "How much of the whole change is done by then."),
    ("It kept creeping up all afternoon.", "trend", "A drift along numbered shots."),
    ("The gauge gives the same answer whoever holds it.", "repeatability",
     "Several people read the same balls several times."),
    ("Every ball meets the limit.", "limit", "Each reading against a line, and its doubt."),
    ("You strike more on the long oil.", "rate-difference",
     "So many out of so many, under two conditions."),
    ("It is fairer. It goes for everybody.", "not-testable",
     "Say why no numbers could settle it; the page says so, too."),
)  # fmt: skip
