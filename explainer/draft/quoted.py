"""A report's own sentences as claims, in the names of the draft: which measure, table and groups.

By words alone, and each stub stays marked to confirm.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from itertools import combinations

from explainer import units
from explainer.draft.plan import Plan, TablePlan
from explainer.draft.written import scalar_text
from explainer.study.description.tests import kinds

#: Words of names that tell little apart, words of no weight, and how much of a name, by weight, a
#: sentence has to hold.
_COMMON = frozenset((
    "mean", "total", "average", "cover", "ball", "bowler", "game", "games", "count", "after",
    "before", "first", "last", "second",
))  # fmt: skip
_EMPTY = frozenset(("per", "of", "the", "and", "in", "at", "to", "from", "with", "on", "a", "an"))
_LITTLE, _ENOUGH = 0.3, 0.7


def with_names(stubs: str, plan: Plan) -> str:
    """Stubs of claims with names of the plan where the sentence says which: measures in the order
    it names them, their table, its last checkpoint, and the two groups it compares."""
    lines, said = [], ""
    for line in stubs.splitlines():
        if line.lstrip().startswith("report_says: "):
            said = json.loads(line.split(": ", 1)[1]).casefold()
        if line.lstrip().startswith("test: {"):
            test, mark, more = line.partition("}  # CONFIRM")
            line = _named_test(test, said, plan) + mark + more
        lines.append(line)
    return "\n".join(lines)


def _named_test(test: str, said: str, plan: Plan) -> str:
    counted = next((t for t in plan.tables if t.parts.counts), None)
    if "successes: COLUMN" in test and counted is not None and counted.parts.counts is not None:
        hits, tries = counted.parts.counts
        test = test.replace("successes: COLUMN", f"successes: {scalar_text(hits.name)}")
        test = test.replace("attempts: COLUMN", f"attempts: {scalar_text(tries.name)}")
        test = test.replace(", ", f", table: {scalar_text(counted.name)}, ", 1)
        return _with_groups(test, said, counted)
    found = _measures_said(said, plan)
    together = [
        (names, [t for t in plan.tables if set(names) <= {c.name for c in t.parts.measures}])
        for names in combinations(found, test.count("MEASURE"))
    ]  # fmt: skip
    names, tables = next((one for one in together if one[0] and one[1]), ((), []))
    if not tables:
        return test
    for name in names:
        test = test.replace("MEASURE", name, 1)
    table = next((t for t in tables if t.parts.group), tables[0])
    test = test.replace(", ", f", table: {scalar_text(table.name)}, ", 1)
    use = table.parts.use
    if use is not None and use.numeric:
        test = re.sub(r"\bto: LAST\b", f"to: {max(use.numbers):g}", test)
        test = re.sub(r"\bfrom: 0\b", f"from: {min(use.numbers):g}", test)
        test += _at(test, said, use.numbers)
    return _with_groups(test, said, table)


def _with_groups(test: str, said: str, table: TablePlan) -> str:
    """The two groups a sentence compares, or the one it is about, as the table calls them."""
    group = table.parts.group
    sorts = [c for c in table.tidy.columns if not c.numeric and 2 <= len(c.distinct) <= 12]
    for column in sorted(sorts, key=lambda c: c is not group):
        levels = sorted(
            (found.start(), level) for level in column.distinct
            if (found := re.search(rf"\b{re.escape(level.casefold())}\b", said))
        )  # fmt: skip
        if len(levels) == 2 and "ONE" in test:
            for capitals, value in (("COLUMN", column.name), ("ONE", levels[0][1]),
                                    ("OTHER", levels[1][1])):  # fmt: skip
                test = scalar_text(value).join(re.split(rf"\b{capitals}\b", test))
        elif len(levels) == 1 and "COLUMN" not in test and _sorted(levels[0][1], said, table):
            test += f", only: {scalar_text({column.name: levels[0][1]})}"
    return test


def _sorted(level: str, said: str, table: TablePlan) -> bool:
    """Whether a sentence speaks of such items (sanded balls), not of doing it (be sanded)."""
    if level.casefold() in ("a", "i"):  # an article is no sample
        return False
    nouns = rf"(?:balls?|covers?|ones?|bowlers?|players?|{re.escape(table.parts.each)}s?)"
    return re.search(rf"\b{re.escape(level.casefold())} {nouns}\b", said) is not None


def _at(test: str, said: str, checkpoints: Sequence[float]) -> str:
    """``, at: 160`` where a sentence says so of a test that is about one checkpoint."""
    kind = re.search(r"kind: ([\w-]+)", test)
    if kind is None or "at" not in kinds()[kind[1]].model_fields:
        return ""
    after = re.search(r"\bafter (\d+)\b", said)
    if after and float(after[1]) in checkpoints:
        return f", at: {after[1]}"
    return f", at: {max(checkpoints):g}" if re.search(r"\bat the end\b", said) else ""


def _measures_said(said: str, plan: Plan) -> list[str]:
    """Measures whose own words a sentence holds, in the order it names them; of those that share
    their words the first of the plan, which is the table's before the chart's."""
    held = []
    for place, measure in enumerate(plan.measures):
        share, at = max(
            (_held(text, said) for text in (measure.name, measure.term)), key=lambda one: one[0]
        )
        if share >= _ENOUGH:
            held.append((-share, place, measure.name, at))
    found: list[tuple[int, int, str]] = []
    known: list[frozenset[int]] = []
    for _, place, name, at in sorted(held, key=lambda one: one[:2]):
        if not any(at <= other for other in known):
            known.append(at)
            found.append((min(at), place, name))
    if not found:  # `at least 40 microinches` says what was measured by its unit
        unit = next((m for m in plan.measures if m.unit != "count" and
                     re.search(rf"\d {units.plural(m.unit)}\b", said)), None)  # fmt: skip
        return [unit.name] if unit else []
    return [name for _, _, name in sorted(found)]


def _held(text: str, said: str) -> tuple[float, frozenset[int]]:
    """How much of a name a sentence holds, by weight, and where; nothing where only common words
    of it are there."""
    words = [w for w in re.findall(r"[a-z]{3,}", text.casefold()) if w not in _EMPTY]
    at = {w: match.start() for w in words if (match := re.search(rf"\b{w}", said))}
    weight = {w: _LITTLE if w in _COMMON else 1.0 for w in words}
    if not words or (all(w in _COMMON for w in at) and len(at) < len(weight)):
        return 0.0, frozenset()
    return sum(weight[w] for w in at) / sum(weight.values()), frozenset(at.values())
