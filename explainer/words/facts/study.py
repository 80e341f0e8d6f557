"""What phrases may say of a study as a whole: who was tested, how often, and what was read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from explainer.claims.verdict import Judgement
from explainer.study.model import Study, Table
from explainer.words.facts.figure import groups_in_words
from explainer.words.facts.items import item_word, pronouns
from explainer.words.phrases.renderer import stopped
from explainer.words.quantity.numbers import plural_of
from explainer.words.quantity.numerals import cardinal
from explainer.words.quantity.sizes import listed, tally
from explainer.words.quantity.when import past, uses

Facts = dict[str, Any]


def study_facts(judgement: Judgement) -> Facts:
    """The facts of the main table, with the study's own title and question."""
    study = judgement.study
    description = study.description
    main = main_tables(study)
    of_kind = [t for t in other_tables(study) if t.item == main[0].item]
    return {
        "title": description.title, "question": description.question.strip(),
        "described": stopped(" ".join((description.tested.described or "").split())),
        "invented": description.is_invented, "unconfirmed": study.unconfirmed,
        **table_facts(study, main),
        "others": len({i for t in of_kind for i in t.items} - set(main[0].items)),
    }  # fmt: skip


def main_tables(study: Study) -> list[Table]:
    """The tables about the items the study is about: those that share the most-read items."""
    own = [t for t in study.tables.values() if t.mean_of is None] or list(study.tables.values())
    each = study.description.tested.item
    ours = [t for t in own if t.item == each] or own
    lead = max(ours, key=lambda t: (len(t.checkpoints) > 1, len(t.items)))
    return [lead, *(t for t in ours if t is not lead and set(t.items) == set(lead.items))]


def other_tables(study: Study) -> list[Table]:
    """Tables of other items; one of each set of them."""
    main = main_tables(study)
    seen = [set(main[0].items)]
    found = []
    for table in study.tables.values():
        if table.mean_of is None and table not in main and set(table.items) not in seen:
            seen.append(set(table.items))
            found.append(table)
    return found


def table_facts(study: Study, tables: list[Table]) -> Facts:
    """Items, groups, checkpoints and readings of tables about the same items."""
    lead = tables[0]
    item = item_word(study, lead)
    shot = next((t for t in tables if t.order), None)
    order = (shot.order or "reading").replace("_", " ").removesuffix("s") if shot else "reading"
    whole = shot is None or shot is lead or bool(shot.checkpoints)
    points = lead.checkpoints if whole else ()  # every shot was read, not a few rounds
    to_end, to_each, often = _kept_up(lead)
    measures = [m for t in tables for m in t.measures]
    first, last = (points[0], points[-1]) if points else (0.0, 0.0)
    return {
        "item": item, "items": plural_of(item), "n": len(lead.items), **pronouns(item),
        "people": lead.people,
        "balls": tally(len(lead.items), item), "groups": _groups(tables),
        "to_end": "" if to_end else "up to ", "to_each": "" if to_each else "up to ",
        "points": len(points), "first": past(lead, first), "last": past(lead, last),
        "often": min(often, len(points)),
        "uses": uses(lead, last) if len(points) > 1 and first == 0 else None,
        "measures": listed([study.term(m) for m in dict.fromkeys(measures)]),
        "passes": lead.use_unit in _PASSES,
        "n_shots": tally(_read(shot), order) if shot else None, "shots": plural_of(order),
        "readings": tally(sum(map(_read, tables)), "reading"),
    }  # fmt: skip


#: Units of use that pass by themselves: no ball is rolled for three weeks.
_PASSES = frozenset(["day", "week", "month", "year"])


def _read(table: Table) -> int:
    """The rows in which anything was read: a mark for no reading is no shot."""
    measures = list(table.measures)
    return len(table.frame.dropna(subset=measures, how="all") if measures else table.frame)


def _kept_up(table: Table) -> tuple[bool, bool, int]:
    """Whether each item was read at the last checkpoint, whether in full at every one, and at how
    many of them the one that was read most was read at all."""
    if table.use is None or not table.checkpoints:
        return True, True, 1
    read = table.frame.dropna(subset=list(table.measures), how="all") if table.measures \
        else table.frame
    use = read.groupby(table.item, observed=True)[table.use]
    until, every = use.max(), use.ngroups == len(table.items)
    return (every and bool((until >= table.checkpoints[-1]).all()),
            every and all(_in_full(table, table.use, m) for m in table.measures or ("",)),
            int(use.nunique().max()) if use.ngroups else 0)


def _in_full(table: Table, use: str, measure: str) -> bool:
    """Whether every item has a reading of it (or, without measures, a row) at every checkpoint."""
    read = table.frame.dropna(subset=[measure]) if measure else table.frame
    often = read.groupby(table.item, observed=True)[use].nunique()
    return len(often) == len(table.items) and bool((often >= len(table.checkpoints)).all())


def _groups(tables: list[Table]) -> str:
    for table in tables:
        if table.group is not None and table.group in table.frame:
            first = table.frame.drop_duplicates(table.item)
            return groups_in_words([str(g) for g in first[table.group]], table.group)
    return ""


# How far a study reaches, in the units that listeners count in: league nights, a season.

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
