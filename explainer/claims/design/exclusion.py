"""Left out by hand: with and without the readings that the author excludes, side by side.

A physical cause is a good reason to leave a reading out, and leaving it out may still be what makes
the verdict; then that is said (methods: ICH E9, section 5.3, on sensitivity analyses).
"""

from __future__ import annotations

from dataclasses import replace

from explainer.claims import rules
from explainer.claims.build import Case
from explainer.claims.design.found import Found, judged_with, moved_there, range_shown, read_by
from explainer.claims.evidence import only_rows
from explainer.claims.verdict import Verdict


def look(case: Case, verdict: Verdict) -> Found | None:
    """``exclusion-decides``: the verdict is another one with the excluded readings put back."""
    mine = {table.name for table, _ in read_by(case)} or {verdict.table}
    here = {
        (entry.table, entry.row) for entry in case.study.description.excluded
        if entry.table in mine and entry.row in case.study.tables[entry.table].frame.index
    }  # fmt: skip
    if not here or not case.study.whole:
        return None
    whole = only_rows(replace(case.study, tables=case.study.whole), case.test.only)
    again = judged_with(case, {name: whole.tables[name] for name in mine})
    if (again.n_rows, again.estimate) == (verdict.n_rows, verdict.estimate):
        return None  # left out of the table, but not of what this test reads
    turns = again.code != verdict.code
    low, high = range_shown(again, verdict)
    known = {
        "excluded": tuple(_named(case, table, row) for table, row in sorted(here)),
        "exclusion_turns": turns, "with_estimate": again.estimate, "with_low": low,
        "with_high": high, "with_moved": moved_there(again, verdict),
    }  # fmt: skip
    reasons = ("exclusion-decides",) if turns else ()
    alone = {"with_own": verdict.code, "with_code": again.code}
    return Found(rules.between(verdict.code, again.code), reasons, known, alone=alone)


def _named(case: Case, name: str, row: int) -> str:
    """Whose reading it is, and in which row."""
    table = case.study.tables[name]
    return f"{table.frame[table.item].loc[row]!s} in row {row}"
