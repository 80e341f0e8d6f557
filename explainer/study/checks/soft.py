"""Warnings: what a study may leave out, and what the reader then misses."""

from __future__ import annotations

from collections.abc import Iterator

from explainer.errors import Problem
from explainer.study.checks.context import Context
from explainer.study.description import tests as tst
from explainer.study.description.tests import Operand


def anything_to_show(c: Context) -> Iterator[Problem]:
    """A study without claims or figures says little."""
    for what, entries in (("claims", c.description.claims), ("figures", c.description.figures)):
        if not entries:
            yield c.warning(
                (what,), f"no {what}", f"at least one of the {what}",
                f"the page has no {what} part", f"no-{what}",
            )  # fmt: skip


def claims_shown(c: Context) -> Iterator[Problem]:
    """Each tested claim can be seen on some figure."""
    drawn: set[str] = set()
    for figure in c.description.figures:
        for key in ("x", "y", "successes", "board"):
            value = getattr(figure, key, None)
            drawn.add(value.measure if isinstance(value, Operand) else str(value))
    for i, claim in enumerate(c.description.claims):
        if claim.figure is not None:
            continue
        needed = [m for test in claim.all_tests for m in _measures(test)]
        if needed and not any(m in drawn for m in needed):
            yield c.warning(
                ("claims", i, "id"), f"no figure that shows the claim `{claim.id}`",
                "one drawn from what it speaks of", "readers cannot see it", "unshown", key=False,
            )  # fmt: skip


def _measures(test: tst.AnyTest) -> list[str]:
    values = [getattr(test, key, None) for key in ("measure", "x", "y", "successes")]
    return [v.measure if isinstance(v, Operand) else str(v) for v in values if v is not None]


def figures_explained(c: Context) -> Iterator[Problem]:
    """Each figure has a word from the author."""
    for i, figure in enumerate(c.description.figures):
        if figure.say is None:
            yield c.warning(
                ("figures", i, "id"), f"no `say` for the figure `{figure.id}`",
                "a word from you about it", "only our own sentences stand under it", "unsaid",
                key=False,
            )  # fmt: skip


def sources_named(c: Context) -> Iterator[Problem]:
    """Each table says where its numbers stand."""
    if c.description.data_source is not None:
        return
    for name, table in c.description.tables.items():
        if table.source is None:
            yield c.warning(
                ("tables", name), f"no `source` for the table `{name}`",
                "where its numbers stand in the report", "readers cannot look them up", "no-source",
            )  # fmt: skip


def margins_set(c: Context) -> Iterator[Problem]:
    """Measures that claims compare have a smallest size that matters."""
    seen: set[str] = set()
    for _, test in c.tests():
        if not isinstance(test, tst.Change | tst.NoChange | tst.Difference | tst.Trend):
            continue
        if isinstance(test, tst.NoChange) and test.margin is not None:
            continue
        measure = c.description.measures.get(test.measure)
        if measure is None or measure.matters_from is not None or test.measure in seen:
            continue
        seen.add(test.measure)
        yield c.warning(
            ("measures", test.measure), f"no `matters_from` for `{test.measure}`",
            "the smallest change a bowler would notice",
            "nothing can be shown to be too small to matter", "no-margin",
        )  # fmt: skip
