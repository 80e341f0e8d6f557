"""What a claim wants held alike (``given``): each item's number or group, for every name."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from explainer.analysis import adjusted
from explainer.claims import evidence
from explainer.study.model import Study, Table


@dataclass(frozen=True)
class HeldAlike:
    """One column per name, in the order of the items that are related."""

    numbers: tuple[evidence.Floats, ...] = ()
    groups: tuple[evidence.Words, ...] = ()

    @property
    def columns(self) -> int:
        """How many degrees of freedom it takes at most."""
        return len(self.numbers) + sum(np.unique(g).size - 1 for g in self.groups)

    def without(self, *drop: int) -> HeldAlike:
        """For the items that are left."""
        return HeldAlike(tuple(np.delete(v, drop) for v in self.numbers),
                    tuple(np.delete(g, drop) for g in self.groups))  # fmt: skip

    def design(self, more: evidence.Words | evidence.Floats | None) -> evidence.Floats:
        """What is held alike, ``more`` being the groups the items come in anyway."""
        return adjusted.design(self.numbers, [*self.groups, *([] if more is None else [more])])


def held_alike(
    study: Study,
    given: Sequence[str] | None,
    tables: Sequence[Table],
    pairs: evidence.Pairs,
    point: evidence.Checkpoint | None,
) -> tuple[evidence.Pairs, HeldAlike | None]:
    """The pairs of the items that have all of ``given``, and what those items have of it.

    A measure gives each item's value at ``point`` (else its mean, as x and y do), any other column
    the group it stands in.  What lacks one is named among those without a partner.
    """
    if not given:
        return pairs, None
    known = {name: _of_items(study, name, tables, point) for name in given}
    here = np.array([all(item in of for of in known.values()) for item in pairs.items.tolist()],
                    dtype=bool)  # fmt: skip
    left = evidence.kept(pairs, here) if len(here) else pairs
    left = replace(left, alone=(*pairs.alone, *pairs.items[~here].tolist()) if len(here) else ())
    items = left.items.tolist()
    numbers, groups = [], []
    for name, of in known.items():
        if name in study.description.measures:
            numbers.append(np.array([of[i] for i in items], dtype=np.float64))
        else:
            groups.append(np.array([of[i] for i in items], dtype=np.str_))
    return left, HeldAlike(tuple(numbers), tuple(groups))


def _of_items(
    study: Study, name: str, tables: Sequence[Table], point: evidence.Checkpoint | None
) -> dict[str, float] | dict[str, str]:
    """Each item's value of a measure, or the one group of a column it stands in."""
    every = [*tables, *study.tables.values()]
    if name in study.description.measures:
        table = next((t for t in every if name in t.measures), None)
        return {} if table is None else evidence.at(table, name, point).as_dict()
    for table in every:
        if name in table.frame.columns:
            rows = table.frame[[table.item, name]].dropna().drop_duplicates()
            alone = rows[~rows[table.item].duplicated(keep=False)]
            return dict(zip(alone[table.item].astype(str), alone[name].astype(str), strict=True))
    return {}
