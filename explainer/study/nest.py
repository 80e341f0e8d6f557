"""Items that it takes several columns to name: sample 2 of one model is not sample 2 of another."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

import numpy as np
import pandas as pd

from explainer.study.csvfile import Cells


def named_whole(cells: Cells, nest: tuple[str, ...]) -> Cells:
    """``cells`` with the last column of ``nest`` naming each item alone: ``Plover 2``.

    A name that begins with the names around it already stays as it is, and a gap in any of the
    columns stays a gap, so that it is found and told as one.  Columns that are not there are
    passed over; which must be there is checked elsewhere.
    """
    columns = [column for column in nest if column in cells.words]
    if len(columns) < 2 or columns[-1] != nest[-1] or not len(cells.frame):
        return cells
    parts = np.column_stack([cells.codes[column] for column in columns])
    distinct, codes = np.unique(parts, axis=0, return_inverse=True)
    named = [
        [cells.words[column][code] for column, code in zip(columns, row, strict=True)]
        for row in distinct
    ]
    whole = [_name(parts) for parts in named]
    if len(set(filter(None, whole))) < sum(map(all, named)):  # two items of one short name
        whole = [" ".join(parts) if all(parts) else "" for parts in named]
    words = tuple(dict.fromkeys(whole))
    places = {name: place for place, name in enumerate(words)}
    own = np.array([places[name] for name in whole])[codes.reshape(-1)]
    item = nest[-1]
    frame = cells.frame.copy()
    from_codes: Any = pd.Categorical.from_codes
    frame[item] = pd.Series(from_codes(own, list(words)), index=frame.index)
    return replace(
        cells, frame=frame,
        codes=MappingProxyType({**cells.codes, item: own}),
        words=MappingProxyType({**cells.words, item: words}),
    )  # fmt: skip


def _name(parts: list[str]) -> str:
    *around, own = parts
    if not all(parts):
        return ""
    missing = [part for part in around if not re.match(rf"{re.escape(part)}\b", own, re.I)]
    return " ".join((*missing, own))


def picked_whole(
    picked: Mapping[str, str | float], nest: tuple[str, ...], items: Collection[str]
) -> Mapping[str, str | float]:
    """``picked`` (column: value) with an item's own number as its whole name.

    ``{model: Plover, sample: 2}`` picks ``Plover 2``; a whole name, or a number whose model is not
    picked with it, stays as it is.
    """
    if len(nest) < 2 or not set(nest) <= set(picked):
        return picked
    own = picked[nest[-1]]
    parts = [v if isinstance(v, str) else f"{v:g}" for v in (picked[column] for column in nest)]
    names = (name for name in (_name(parts), " ".join(parts)) if name in items)
    return picked if own in items else {**picked, nest[-1]: next(names, own)}
