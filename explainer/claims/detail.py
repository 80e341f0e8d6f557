"""What a verdict knows beside its range: one frozen record a kind of claim."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import Field, dataclass, field, fields
from inspect import get_annotations
from typing import Any, Literal

# Sentences, strips, tables and the results file read these fields only. One made with
# ``published`` is an extra number of the kind: it goes into ``results.json`` under its own name
# and into the page's tables under its label. All are in the measure's own unit unless said.

#: What an extra number is counted in: the claim's own unit, its measure's, the unit of a slope,
#: a probability, or nothing.
In = Literal["claim", "measure", "slope", "p", "none"]


def published(label: str = "", unit: In = "none", beside: str = "") -> Any:
    """A field of the results file.  ``label`` names it for readers ({item}, {items} and {Items}
    are filled in; without one its own name does), ``beside`` the field it is read next to."""
    return field(default=None, metadata={"label": label, "unit": unit, "beside": beside})


@dataclass(frozen=True, kw_only=True)
class SecondLooks:
    """What the second looks (``claims/design``) found; numbers in the verdict's own unit."""

    cut_low: int = 0
    """Readings at the lowest and at the highest end of the scale, and of how many."""
    cut_high: int = 0
    cut_of: int = 0
    cut_piled: bool = False
    """No end is declared: the readings are piled up on the outermost value."""
    cut_two: bool = False
    """All of them stand on two values."""
    cut_many: bool = False
    """So many that nothing may rest on their being alike."""
    left: tuple[str, ...] = ()
    """Items that are not at every checkpoint, and how many are."""
    stayed: int = 0
    stayed_all: int = 0
    """All that were there throughout, where some of them say nothing of what is claimed."""
    left_tied: bool = False
    """Those who left had other first readings (``start``) or other changes up to their last."""
    left_by: str = ""
    left_p: float | None = None
    left_early: int = 0
    """Those in ``left`` that this rests on: read first (for a change: again), not at the end."""
    left_turns: bool = False
    """The verdict is another one for those who stayed, or for all that can be used."""
    left_moved: tuple[str, ...] = ()
    """Items that moved by more than counts in one of those two answers and hold that one back."""
    left_fragile: str = ""
    """The one item without which the answer over all that can be used is not what it is."""
    left_step: bool = False
    """Those who stayed alone jump rather than drift, which holds back their answer only."""
    stayed_estimate: float | None = None
    stayed_low: float | None = None
    stayed_high: float | None = None
    whole_n: int = 0
    whole_estimate: float | None = None
    whole_low: float | None = None
    whole_high: float | None = None
    excluded: tuple[str, ...] = ()
    """Readings that the author left out, as item and row; and the answer with them."""
    exclusion_turns: bool = False
    with_estimate: float | None = None
    with_low: float | None = None
    with_high: float | None = None
    with_moved: tuple[str, ...] = ()
    """Items that then moved by more than counts, which holds the answer with them back."""
    confounder: str = ""
    """A column of who or where whose values part as the comparison does, and what it goes with."""
    confounded_with: str = ""
    confounder_a: str = ""
    confounder_b: str = ""
    confounder_then: str = ""
    """What came after ``confounder_a`` each time, in a column of time; no ``confounder_b`` then."""
    turn_by: str = ""
    """A column of order or time by which some had the one condition first, and some the other."""
    turn_a: int = 0
    turn_b: int = 0
    turn_estimate: float | None = None
    """The answer with each order counted once; None where as many had either, or too few one."""
    turn_low: float | None = None
    turn_high: float | None = None
    turn_decides: bool = False
    operators_apart: float | None = None
    """How far the study's own gauge check sets operators apart."""
    confounder_within: bool = False
    """What was found may be no more than that."""
    chosen_by: str = ""
    """What the items were picked by, and whether the study says so."""
    chosen_who: tuple[str, ...] = ()
    """What those that were picked are called, where not all of them were."""
    chosen_declared: bool = False
    chosen_side: int = 0
    """1: the highest were picked, −1: the lowest; 0: it is not known which."""
    falls_back: float | None = None
    """How far their mean comes back by itself when it is read again; None where nobody knows."""
    chosen_holds: bool = False
    """Whether the verdict stands all the same."""
    chosen_apart: bool = False
    """Only one side of the comparison was picked, so that the two were made to differ."""
    unequal: bool = False
    """Those compared were not read over the same stretch of use or of a series."""
    unequal_from: float | None = None
    """The stretch that all of them share, and the answer there; None where there is none."""
    unequal_to: float | None = None
    unequal_estimate: float | None = None
    unequal_low: float | None = None
    unequal_high: float | None = None
    shared_sd: float | None = None
    """Spread of an error that all items share at a checkpoint, as allowed for."""
    shared_from: str = ""
    """declared, or the reference item it is worked out from."""
    unshared: bool = False
    """A change over checkpoints, and nobody looked whether the gauge was off on one day."""

    alone: tuple[tuple[str, str], ...] = ()
    """The verdicts that such answers would get by themselves, and the claim's (``left_own``)."""

    def found(self) -> dict[str, Any]:
        """Every field that says something, by name."""
        every = {f.name: (getattr(self, f.name), f.default) for f in fields(self)}
        return {name: value for name, (value, default) in every.items() if value != default}


@dataclass(frozen=True, kw_only=True)
class Detail:
    """What any kind may say: why nothing was tested, and what holds a verdict back."""

    undefined: str = ""
    """Why stage 2 had nothing to work out; empty where it had."""
    takes: int | None = None
    """How many it takes at the least, of what were too few."""
    one_item: str | None = None
    """The one item that the claim is about, held to the gauge; None where it is about items."""
    mean_of: int | None = None
    """Each row is a published average of so many items, or of more."""
    mean_of_most: int | None = None
    reaches: float | None = None
    """The checkpoint (or reading, for `same-line`) past what was measured that decides."""
    measured_from: float | None = None
    measured_to: float | None = None
    fragile_item: str | None = None
    """The item without which the verdict does not stand, and the estimate without it."""
    fragile_without: float | None = None
    fragile_count: int = 1
    """Of how many it is true, each taken alone."""
    fragile_range: bool = False
    """Without it the range no longer fits, though the estimate may stay where the claim needs it,
    or there is none to judge by."""
    fragile_pair: str | None = None
    """A second item that carries the verdict together with the first, where it takes two."""
    ranks_opposite: bool = False
    """The items' ranks go the other way than their numbers do."""
    n_groups: int | None = None
    """How many groups the items come in, where the study sorts them."""
    groups_uneven: bool = False
    """Some groups have more items than others, so that counting each once makes a difference."""
    with_mates: int | None = None
    """How many items have others of their group beside them, and so are all that a range goes by;
    None where it goes by all of them."""
    groups_apart: bool = False
    """Groups' own means lie on both sides of nothing; of `no-change`, two moved apart and count."""
    groups_by: str = ""
    """The column that sorts items so, where it is not the study's own."""
    between_groups: bool = False
    """The link is one between groups: among the items of one group it is not shown."""
    lacking: tuple[str, ...] = ()
    """Items that were not read under every condition the others were read under."""
    lacking_by: str = ""
    """The column of these conditions."""
    mixed: bool = False
    """They count all the same, since they are most: averages are of different conditions."""
    shared_checkpoints: int | None = None
    """At how many checkpoints all items were read, where they were read at different ones."""
    shared_at: float | None = None
    """The one they were all read at, where it is one."""
    unmatched: bool = False
    """Some items have readings of x or of y alone, which their averages leave out."""
    each_alone: bool | None = False
    """They share none of those, and at each one alone the verdict is the same; None where too few
    stood at any one to look."""
    none_alone: bool = False
    """At none of those is the verdict the same."""
    shared_part: str | None = None
    """What x and y have in common: ``start``, ``denominator`` or ``part``."""
    moved_items: tuple[str, ...] = ()
    """Items that moved past the margin by more than the gauge explains."""
    gauge_unknown: bool = False
    step_at: float | None = None
    """Where a series jumps, if a jump fits it better than a drift."""
    one_step_at: float | None = None
    """The checkpoint without which the verdict does not stand, and the estimate without it."""
    one_step_without: float | None = None
    group_only: str | None = None
    no_other_group: bool = False
    """There are none of another, whether they have the readings or not."""
    """The one group that all tested items belong to, where the study sorts them."""
    mdd: float | None = None
    """Smallest difference that the gauge can tell from its own noise (95%)."""
    margin: float | None = None
    """The smallest size that matters; in r for `no-association`."""
    at_least: float | None = None
    """The size the claim says, at least."""
    strong: bool = False
    flags_decide: bool = False
    """The verdict is another one without the readings that stand apart."""
    flagged: tuple[str, ...] = ()
    """Readings that stand apart, as ``item place``."""
    because: str = ""
    reading_error: float | None = None
    p_line: float | None = None
    """p against the claimed size, where the verdict rests on that one."""
    p_alone: float | None = None
    """The deciding p before and after the Holm correction."""
    p_after: float | None = None
    holm_too: bool = False
    """That correction alone would have taken down what something else did already."""
    smallest_p: float | None = None
    """Smallest p a sign-flip test of this many items can give."""
    without: tuple[str, ...] = ()
    """Items that could not be used, in the table's order."""
    outside_items: tuple[str, ...] = ()
    idle: tuple[str, ...] = ()
    """Reasons of second looks that took nothing from the verdict: they stand beside it only."""
    design: SecondLooks = SecondLooks()
    """What the second looks found."""

    def numbers(self) -> dict[str, Any]:
        """The extra numbers of the results file, in the order of the kind's own fields."""
        return {f.name: getattr(self, f.name) for f in extra_fields(type(self))}

    def known(self) -> dict[str, Any]:
        """Every field that says something, by name."""
        every = {f.name: getattr(self, f.name) for f in fields(self)}
        del every["design"], every["idle"]
        return {k: v for k, v in every.items() if v is not None and v is not False and v != ""}


def extra_fields(kind: type[Detail]) -> Iterator[Field[Any]]:
    """The published fields of a kind, in the order in which its own record names them."""
    by_name = {f.name: f for f in fields(kind)}
    own = (by_name[name] for name in get_annotations(kind))
    return (f for f in own if "label" in f.metadata)


def made(kind: type[Detail], known: Mapping[str, Any]) -> Detail:
    """The record of ``kind``, with None for whatever is not a number a page can show.

    TypeError for a name the kind does not declare.
    """
    return kind(**{name: _shown(value) for name, value in known.items()})


def _shown(value: Any) -> Any:
    if isinstance(value, list | tuple):
        return tuple(value)
    if isinstance(value, bool) or value is None or isinstance(value, str | int | dict):
        return value
    number = float(value)
    return number if math.isfinite(number) else None
