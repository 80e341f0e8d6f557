"""How far a study reaches, in the units that listeners count in: league nights, a season."""

from __future__ import annotations

from dataclasses import dataclass

from explainer.study.model import Study, Table
from explainer.words.facts.study import main_tables
from explainer.words.quantity.numbers import plural_of
from explainer.words.quantity.numerals import cardinal
from explainer.words.quantity.sizes import listed, tally
from explainer.words.quantity.when import uses

#: A share of a unit from which on it counts as the whole of it.
WHOLE = 0.95
#: Up to this many are told to the half, and in words.
FEW = 5.0
#: How near to a whole number (or a half) a count is told without ``about``.
EXACT = 1e-9


@dataclass(frozen=True)
class Reach:
    """An amount of use in the listener's units."""

    uses: str
    """The amount itself: ``60 games``."""
    reached: str
    """What it comes to, in every unit of which it fills one: ``20 league nights``; else empty."""
    short_of: str
    """The units it does not fill: ``a whole season``; empty where it fills them all."""

    @property
    def bracket(self) -> str:
        """`` (20 league nights, not a whole season)``; empty without a unit."""
        short = f"not {self.short_of}" if self.short_of else ""
        said = ", ".join(part for part in (self.reached, short) if part)
        return f" ({said})" if said else ""


def reach_of(study: Study) -> Reach | None:
    """How far the readings go, in the listener's units; None where the study gives none."""
    for table in (*main_tables(study), *study.tables.values()):
        if table.use_as and table.checkpoints and table.checkpoints[-1] > 0:
            return in_units(table, table.checkpoints[-1])
    return None


def in_units(table: Table, value: float) -> Reach:
    """``value`` steps of use in each of the units the study gives."""
    counted = [(term, value / each) for term, each in table.use_as]
    return Reach(
        uses(table, value),
        listed([_many(n, term) for term, n in counted if n >= WHOLE]),
        listed([f"a whole {term}" for term, n in counted if n < WHOLE], "or"),
    )


def _many(n: float, term: str) -> str:
    """``two and a half league nights``, ``about 20 league nights``."""
    step = 0.5 if n < FEW else 1.0
    told = max(1.0, round(n / step) * step)
    about = "" if abs(told - n) <= EXACT * n else "about "
    if told == 1:
        return f"{about}one {term}"
    if told > 12:
        return f"{about}{tally(int(told), term)}"
    half = " and a half" if told % 1 else ""
    return f"{about}{cardinal(int(told))}{half} {plural_of(term)}"
