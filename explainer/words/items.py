"""What counts as one in a test, and the word for it: ball, bowler; ball T3."""

from __future__ import annotations

from typing import Any

from explainer.claims.verdict import Verdict
from explainer.study.model import Study, Table


def table_of(verdict: Verdict, study: Study) -> Table | None:
    return study.tables.get(verdict.table)


def item_word(study: Study, table: Table | None) -> str:
    """The word for one of what counts: ball, bowler."""
    each = table.item if table is not None else study.description.tested.each
    return each.replace("_", " ").replace("-", " ").lower()


def item_of(verdict: Verdict, study: Study, table: Table | None) -> str:
    """The word for what counts in this test: whoever repeats, where the test names them."""
    who = getattr(verdict.test, "within", None)
    if verdict.test.kind == "rate-difference" and who:
        return str(who).replace("_", " ").replace("-", " ").lower()
    return item_word(study, table)


def named(item: str, name: Any) -> str:
    """An item by name: ``ball T3``; a name that already says what it is stands alone."""
    text = str(name)
    return text if item in text.casefold() else f"{item} {text}"
