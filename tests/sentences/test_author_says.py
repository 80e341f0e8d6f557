"""What an author adds, held to the raw rows: voices, nests, units of use and walks, at random.

The oracle knows neither the phrase book nor its conditions: what a sentence about an item means is
worked out from the rows (scipy and statsmodels where a test is needed), by its words alone.
"""

from __future__ import annotations

import random
import re
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
from scipy.stats import kendalltau
from statsmodels.stats.proportion import confint_proportions_2indep

from explainer.claims.judge import judge
from explainer.claims.results import results
from explainer.claims.verdict import FigureResult, Judgement
from explainer.study.load import load_study, open_workspace
from explainer.words.phrases.book import defects_of
from explainer.words.quantity.numerals import cardinal
from explainer.words.say import say

sys.path.insert(0, str(Path(__file__).parents[1]))

from sentences.studies import World
from sentences.test_no_false_sentence import faults

VOICES: tuple[Any, ...] = ("report", "rule", "author", "lanes", "viewers", {"other": "a letter"})
NESTS = ("model", "shelf")
PEOPLE = ("bowler", "patient")
UNITS = ({"term": "league night", "each": 3}, {"term": "season", "each": 96},
         {"term": "practice", "each": 7.5})  # fmt: skip
SD = 1.96 * 2**0.5


class Told(World):
    """A random study with everything of the author's, from a stream of its own."""

    def __init__(self, seed: int) -> None:
        super().__init__(seed)
        own = random.Random(f"say of study {seed}")
        self.nest = own.choice((None, *NESTS))
        if self.each in PEOPLE:  # they get initials, and stand in no nest
            self.nest = None
        if self.nest == "shelf":  # a ball stays on its shelf, else it were two
            for row in self.files["read"]:
                row["shelf"] = ("left", "right", "floor")[int(row[self.each][1:]) % 3]
        self.units = own.sample(UNITS, own.choice((1, 2, 3)))
        self.sd = {m[0]: own.choice((None, 0.1, 0.5, 2)) for m in (self.x, self.y)}
        self.aside = own.choice(("like", "guess", "opinion"))
        for claim in self.claims:
            claim["said_by"] = voice = own.choice(VOICES)
            if voice != "report":
                claim["says"] = claim.pop("report_says")
            claim[self.aside] = self._aside()
        for figure in self.figures:
            figure["walk"] = figure["kind"] not in ("gauge", "ball-paths")
        if len(self.figures) > 1:
            self.figures[0]["pair"] = [f["id"] for f in self.figures[:2]]

    def _more_tables(self) -> None:
        """Shots and tries in every study: each kind of walk is met in a few draws."""
        super()._more_tables()
        for name, make, more in (("shots", self._shots, {"order": "shot"}),
                                 ("tries", self._tries, {"tested": {"each": "bowler"}})):
            if name not in self.files:
                self.files[name] = make()
                self.tables[name] = {"file": f"{name}.csv", "source": "Table 2", **more}

    def _figures(self) -> list[dict[str, Any]]:
        """All of them, as they come of several draws."""
        return list({f["id"]: f for _ in range(9) for f in World._figures(self)}.values())

    def _aside(self) -> Any:
        end = {"what": "It is like a shoe.", "stops": "A shoe is not sanded."}
        return end if self.aside == "like" else "It may be the damp."

    def description(self) -> dict[str, Any]:
        made = super().description()
        if self.nest:
            made["tested"]["each"] = [self.nest, self.each]
            for table in made["tables"].values():  # the others have no such column
                if table["file"] != "read.csv":
                    table.setdefault("tested", {"each": self.each})
        made["use"]["as"] = self.units
        for key, sd in self.sd.items():
            if sd is not None:
                scale = next(m[7] for m in (self.x, self.y) if m[0] == key)
                made["measures"][key]["repeatability_sd"] = sd * scale
        return made


def told(seed: int, folder: Path) -> tuple[Told, Judgement]:
    workspace = folder / f"told-{seed}"
    world = Told(seed)
    return world, judge(load_study(world.write(workspace), open_workspace(workspace)))


def frame(world: Told, file: str) -> pd.DataFrame:
    read = pd.DataFrame(world.files[file])
    return read.apply(lambda c: pd.to_numeric(c) if c.name in ("games", "shot", world.x[0],
                                                               world.y[0]) else c)  # fmt: skip


def item_of(text: str, names: list[str]) -> str:
    """The item a sentence speaks of: the longest of the names in it."""
    found = [n for n in names if re.search(rf"(?<!\w){re.escape(n)}(?!\w)", text)]
    assert found, text
    return max(found, key=len)


def journey(world: Told, item: str, measure: str) -> np.ndarray:
    rows = frame(world, "read")
    own = rows[rows[world.each] == item].dropna(subset=[measure]).sort_values("games")
    return own.groupby("games")[measure].mean().to_numpy()


def sees(world: Told, measure: str) -> float | None:
    sd = world.sd[measure]
    scale = next(m[7] for m in (world.x, world.y) if m[0] == measure)
    return None if sd is None else SD * sd * scale


def over_use(text: str, y: np.ndarray, far: float | None) -> bool:
    """Whether what is said of one item's readings in turn is so."""
    if far is None or len(y) < 2:
        return not re.search(r"gauge|the reading can|flat|[Ll]evel\b|fell|rose|went|goes", text)
    whole, span = y[-1] - y[0], np.ptp(y)
    word = re.search(r"\b(fell|rose|down|up)\b", text)
    if "then level" in text or "After that it was level" in text:
        steps = [k for k in range(1, len(y) - 1)
                 if abs(y[k] - y[k - 1]) > far and np.ptp(y[k:]) <= far and np.ptp(y[:k]) <= far]
        return bool(steps) and (word is None or (word[1] in ("fell", "down")) == (whole < 0))
    if re.search(r"went back|turned round", text):
        turns = ((y[k] - y[0], y[-1] - y[k]) for k in range(1, len(y) - 1))
        return any(min(abs(a), abs(b)) > far and a * b < 0 for a, b in turns)
    if "moves about" in text:
        return abs(whole) <= far < span
    if re.search(r"hardly moves|Level|Nothing on", text):
        return span <= far
    assert word is not None, text
    return abs(whole) > far and (word[1] in ("fell", "down")) == (whole < 0)


def tried(text: str, rows: pd.DataFrame, who: str) -> bool:
    """Newcombe's range of the gap between two rates, by statsmodels, leaves out 0 or does not."""
    a, b = (rows[(rows.bowler == who) & (rows.oil == oil)].iloc[0] for oil in ("long", "short"))
    told = [(int(s), int(t)) for s, t in re.findall(r"(\d+) of (\d+)", text)]
    if told != [(a.strikes, a.shots), (b.strikes, b.shots)]:
        return False
    low, high = confint_proportions_2indep(b.strikes, b.shots, a.strikes, a.shots,
                                           method="newcomb", compare="diff")  # fmt: skip
    if "luck of so many tries can" in text or "no further apart" in text:
        return bool(low <= 0 <= high)
    up = re.search(r"\bup\b", text) is not None
    return bool(low > 0) if up else bool(high < 0)


def drifted(text: str, rows: pd.DataFrame) -> bool:
    """A drift stands out of luck, and goes that way; correlated neighbors only make it harder."""
    if "direction" in text:
        return True
    tau, p = kendalltau(rows.shot, rows.carry)
    return bool(p < 0.05) and ("down" in text) == (tau < 0)


def two(text: str, x: np.ndarray, y: np.ndarray, far: tuple[float | None, float | None]) -> bool:
    """Which of two measures moved by more than its gauge blurs."""
    if far[0] is None or far[1] is None or len(x) < 2:
        return "too close" not in text and "goes" not in text
    moved = (abs(x[-1] - x[0]) > far[0], abs(y[-1] - y[0]) > far[1])
    said = {("too close" in text, " and from " in text, "stays where" in text)}
    expect = {(True, True): (False, True, False), (False, False): (False, False, True)}
    return said == {expect.get(moved, (True, False, False))}


def ranked(text: str, value: float, before: float | None, far: float | None) -> bool:
    if before is None or far is None:
        return "can't tell" not in text and "next" not in text
    return ("can't tell" in text) == (before - value <= far)


NUMBERS = {cardinal(n): n for n in range(21)} | {"none": 0}


def counted(word: str) -> int:
    """``seven`` or ``23`` as a number."""
    return int(word) if word.isdigit() else NUMBERS[word.lower()]


def summed(
    text: str, world: Told, result: FigureResult, rows: pd.DataFrame, far: float | None
) -> bool:
    """What all items came to: those that went one way, and those that did so past their chance."""
    rates = result.figure.kind == "rates"
    if rates:
        share = rows.assign(share=rows.strikes / rows.shots).pivot(
            index="bowler", columns="oil", values="share")  # fmt: skip
        sides = [rate.name for rate in result.data.pooled]
        change = (share[sides[-1]] - share[sides[0]]).dropna()
    else:
        rows = rows.dropna(subset=[world.x[0]])
        wide = rows.pivot_table(index=world.each, columns="games", values=world.x[0])
        change = (wide[wide.columns[-1]] - wide[wide.columns[0]]).dropna()
    ups, downs = int((change > 0).sum()), int((change < 0).sum())
    if "as many went up as down" in text:
        return ups == downs > 0
    way = re.search(r"(?:all (\S+) \S+|(\S+) of (\S+) \S+)( read at both ends)? went (up|down)",
                    text)  # fmt: skip
    assert way is not None, text
    everyone = len(change) == (rows["bowler"] if rates else rows[world.each]).nunique()
    if bool(way[4]) == (everyone or rates):
        return False
    went = ups if way[5] == "up" else downs
    if way[1] and not went == len(change) == counted(way[1]):
        return False
    if way[2] and (went, len(change)) != (counted(way[2]), counted(way[3])):
        return False
    past = re.search(r"(that one|\S+ of them) by more than the (?:gauge|reading)", text)
    if past is None:
        return rates or far is None
    sure = int(((change if way[5] == "up" else -change) > (far or 0.0)).sum())
    told = went if past[1] in ("that one", "each of them") else counted(past[1].split()[0])
    return far is not None and sure == told


def walks(world: Told, judgement: Judgement) -> Iterator[str]:  # noqa: C901  (a kind a branch)
    """Everything false that is said of one item of a figure."""
    words = say(judgement)
    for result in judgement.figures:
        kind, before = result.figure.kind, None
        for text in words.figures[result.figure.id].walk:
            if "stand in the figure" in text:
                continue
            file = {"rates": "tries", "shot-series": "shots"}.get(kind, "read")
            column = "bowler" if kind == "rates" else world.each
            rows = frame(world, file)
            if text.startswith("In sum:"):
                if not summed(text, world, result, rows, sees(world, world.x[0])):
                    yield f"{world.name} {kind}: {text}"
                continue
            who = item_of(text, sorted(set(rows[column]))) if kind != "limit" else ""
            mx, my = world.x[0], world.y[0]
            if kind == "over-use":
                fine = over_use(text, journey(world, who, mx), sees(world, mx))
            elif kind == "rates":
                fine = tried(text, rows, who)
            elif kind == "shot-series":
                fine = drifted(text, rows[rows[world.each] == who])
            elif kind == "scatter":
                own = rows[rows[world.each] == who].dropna(subset=[mx, my]).sort_values("games")
                joined = result.data.joined
                fine = two(text, own[mx].to_numpy() if joined else np.zeros(1),
                           own[my].to_numpy(), (sees(world, mx), sees(world, my)))  # fmt: skip
            elif kind == "groups":
                value = journey(world, who, mx)[-1]
                fine = ranked(text, value, before, sees(world, mx))
                before = value
            else:
                fine = re.search(r"meets|misses|not meet|too close", text) is not None
            if not fine:
                yield f"{world.name} {kind} {who}: {text}"


def reach(world: Told, said: str) -> Iterator[str]:
    """How many of each unit the readings go through, by plain division."""
    last = max(row["games"] for row in world.files["read"])
    for unit in world.units:
        n, term = last / unit["each"], unit["term"]
        if n < 0.999 and f"not a whole {term}" not in said and f"or a whole {term}" not in said \
                and f"a whole {term}" not in said:
            yield f"{world.name}: {n:.3g} {term}s, and no word that it is not one: {said}"
        if n >= 1 and f"a whole {term}" in said:
            yield f"{world.name}: {n:.3g} {term}s, and it is said to be none: {said}"


def test_nothing_an_author_adds_is_false(tmp_path: Path, pytestconfig: Any) -> None:
    first = pytestconfig.getoption("--first")
    found: list[str] = []
    met: Counter[str] = Counter()
    for seed in range(first, first + max(4, pytestconfig.getoption("--draws") // 4)):
        world, judgement = told(seed, tmp_path)
        met.update(kind.figure.kind for kind in judgement.figures if kind.walk)
        met.update(["nest" if world.nest else "flat", f"{len(world.units)} units"])
        found += faults(world, judgement)
        found += walks(world, judgement)
        found += (f"{world.name}: {d.found}" for d in defects_of(judgement))
        found += reach(world, say(judgement).reach)
        found += voices(world, judgement)
    assert not found, f"{len(found)} false:\n" + "\n".join(found[:80])
    assert set(met) >= {"over-use", "rates", "shot-series", "scatter", "groups", "limit", "nest"}


def voices(world: Told, judgement: Judgement) -> Iterator[str]:
    """Who says what, and that only the report's own claims count for how the report holds up."""
    published = results(judgement)
    said = {c["id"]: c["said_by"] for c in published["claims"]}
    if said != {c["id"]: c["said_by"] for c in world.claims}:
        yield f"{world.name}: {said}"
    own = Counter(c["verdict"] for c in published["claims"] if c["said_by"] == "report")
    if {k: n for k, n in published["holds_up"].items() if n} != dict(own):
        yield f"{world.name}: the report holds up {published['holds_up']}, not {dict(own)}"
