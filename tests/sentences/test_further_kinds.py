"""Random studies of the further kinds: each sentence held to numbers worked out beside the code.

Worlds of every size, from two items up, with ties, equal values, items that leave and effects of
any size.  What is checked: a label says what its range shows; no phrase is left without a variant
that is true; nothing unreadable is printed; and words that state a relation (all, none, more,
less) are so by the raw rows.  All of it is invented.
"""

from __future__ import annotations

import json
import random
import re
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from scipy import stats

sys.path.insert(0, str(Path(__file__).parents[1]))

from calibration.worlds import study_of
from sentences.oracle import ALLOWED, JUNK, strip_and_label
from sentences.studies import World

from explainer.claims.judge import judge
from explainer.claims.verdict import Judgement, Verdict
from explainer.study.load import load_study, open_workspace
from explainer.words.facts.claim import NAMES, shown, table_of
from explainer.words.facts.kinds import KINDS
from explainer.words.facts.relations import lies
from explainer.words.phrases.book import defects_of
from explainer.words.say import AUDIENCES, say

DRAWS = 24
MODELS = ("Plover", "Teasel", "Linnet")


class Drawn:
    """One random study with a claim of each further kind, and its rows."""

    def __init__(self, seed: int) -> None:
        self.draw = draw = random.Random(f"further {seed}")
        self.n = draw.choice((2, 3, 4, 5, 6, 8, 12, 20))
        self.effect = draw.choice((0, 0, 0.5, 2, -2, 8))
        self.sd, self.step = draw.choice((0.05, 0.5, 2)), draw.choice((0.01, 0.5, 2))
        self.known_gauge = draw.random() < 0.5
        self.uses = draw.choice(((0, 60), (0, 10, 20, 60), (0, 5, 10, 20, 40)))
        self.rows = self._rows()
        self.pairs = [
            {"ball": f"Q{i + 1}", "gauge": who, "hard": self._round(75 + lag + draw.gauss(0, 1))}
            for i in range(self.n) for lag in [draw.gauss(0, 3)] for who in ("old", "new")
        ]
        self.steps = [
            {"ball": f"S{k}{i}", "grit": grit, "bite": self._round(
                50 + draw.choice((0, 1, -1, 3)) * k + draw.gauss(0, self.sd))}
            for k, grit in enumerate((500, 1000, 2000)) for i in range(self.n)
        ]  # fmt: skip

    def _round(self, value: float) -> float:
        return round(round(value / self.step) * self.step, 4)

    def _rows(self) -> list[dict[str, Any]]:
        draw, rows, gone = self.draw, [], self.draw.choice((0, 0, 0.2))
        for i in range(self.n):
            level, mine = draw.gauss(20, self.sd), self.effect + draw.gauss(0, self.sd)
            for use in self.uses:
                for shot in range(draw.choice((1, 1, 4))):
                    if draw.random() < gone:
                        continue
                    value = level + mine * use / self.uses[-1] + draw.gauss(0, self.sd / 4)
                    rows.append({"ball": f"B{i + 1}", "model": MODELS[i % 3], "games": use,
                                 "shot": shot, "hook": self._round(value)})  # fmt: skip
        return rows or [{"ball": "B1", "model": MODELS[0], "games": 0, "shot": 0, "hook": 1.0}]

    def tests(self) -> dict[str, dict[str, Any]]:
        """One claim or more of each further kind, whatever the numbers are."""
        pick, first, last = self.draw.choice, self.uses[0], self.uses[-1]
        way, span = pick(("up", "down", "any")), {"from": first, "to": last, "table": "t"}
        y, level = {"measure": "hook"}, pick((18, 19.5, 20, 21, 25))
        models = {"by": "model", "a": MODELS[0], "b": MODELS[1], "table": "t"}
        made: dict[str, dict[str, Any]] = {
            "about": {"kind": "mean-is", **y, "value": level, "within": pick((0.1, 1, 3))},
            "at-least": {"kind": "mean-is", **y, pick(("at_least", "at_most")): level,
                         "at": last},
            "scatter": {"kind": "spread", **y, **span, "direction": pick(("more", "less", "any"))},
            "every": {"kind": "share-of-items", **y, **span, "direction": way, "share": "every"},
            "most": {"kind": "share-of-items", **y, **span, "direction": way,
                     "share": pick(("most", 0.9, 0.25))},
            "no-worse": {"kind": "no-worse", **y, **span, "worse": pick(("up", "down")),
                         "margin": pick((0.2, 1, 4))},
            "settled": {"kind": "settles", **y, **span, "by": self.uses[-2], "direction": way,
                        "margin": pick((0.2, 1, 4))},
            "since-then": {"kind": "since", **y, "over": "games", "since": self.uses[-2],
                           "direction": way, "table": "t"},
            "reached": {"kind": "crossing", **y, "limit": level, "over": "games",
                        "after": pick(self.uses), "within": pick((5, 20)), "table": "t"},
            "all-such": {"kind": "population-limit", **y, pick(("at_least", "at_most")): level,
                         "share": pick((0.9, 0.95)), "table": "t"},
            "agree": {"kind": "agreement", "measure": "hard", "by": "gauge", "a": "old",
                      "b": "new", "within": pick((0.5, 2, 5)), "limit": 75},
            "gauges-alike": {"kind": "no-difference", "measure": "hard", "by": "gauge",
                             "a": "old", "b": "new", "margin": pick((0.3, 1, 4))},
            "graded": {"kind": "steps", "measure": "bite", "by": "grit", "direction": way},
        }
        made |= {
            "every-by": made["every"] | {"at_least": pick((0.5, 1, 3))},
            "most-by": made["most"] | {"at_least": pick((0.5, 1, 3))},
            "on-gauges": {"kind": "ranking", "measure": "hard", "by": "gauge", "within": "ball",
                          "first": "old", "direction": pick(("higher", "lower"))},
        }  # fmt: skip
        if len(self.uses) == 2:
            del made["settled"]
        here = {row["model"] for row in self.rows}
        if {*MODELS[:2]} <= here:
            made |= {
                "even": {"kind": "spread", **y, **models, "direction": pick(("more", "less"))},
                "best": {"kind": "ranking", **y, "by": "model", "first": MODELS[0], "table": "t"},
                "alike": {"kind": "ranking", **y, "by": "model", "same": pick((0.5, 3)),
                          "table": "t"},
                "groups-alike": {"kind": "no-difference", **y, **models,
                                 "margin": pick((0.3, 1, 4))},
                "not-worse": {"kind": "no-worse", **y, **models, "worse": "up", "margin": 1},
                "ordered": {"kind": "ranking", **y, "by": "model", "order": [*MODELS[:2]],
                            "table": "t", "direction": pick(("higher", "lower"))},
            }  # fmt: skip
        return made

    def write(self, folder: Path) -> Path:
        folder.mkdir(parents=True)
        for name, rows in (("t", self.rows), ("pairs", self.pairs), ("steps", self.steps)):
            pd.DataFrame(rows).to_csv(folder / f"{name}.csv", index=False)
        gauge = {"repeatability_sd": 0.2} if self.known_gauge else {}
        description = {
            "title": "Drawn", "question": "What holds?", "invented": True,
            "tested": {"each": "ball"},
            "use": {"column": "games", "term": "games rolled", "unit": "game"},
            "measures": {
                "hook": {"term": "total hook", "unit": "board", "more_is": "more hook",
                         "less_is": "less hook", **gauge},
                "hard": {"term": "hardness", "unit": "Shore D"},
                "bite": {"term": "cover roughness", "unit": "microinch", "more_is": "rougher",
                         "less_is": "smoother"},
            },
            "tables": {"t": {"file": "t.csv", "order": "shot"}, "pairs": {"file": "pairs.csv"},
                       "steps": {"file": "steps.csv"}},
            "claims": [{"id": name, "report_says": "It is so.", "plainly": "So it is.",
                        "test": test} for name, test in self.tests().items()],
        }  # fmt: skip
        (folder / "study.yaml").write_text(json.dumps(description), encoding="utf-8")
        return folder


def judged(seed: int, folder: Path) -> tuple[Drawn, Judgement]:
    drawn = Drawn(seed)
    workspace = folder / "ws"
    path = drawn.write(workspace / "studies" / f"s{seed}")
    return drawn, judge(load_study(path, open_workspace(workspace)))


def faults(drawn: Drawn, judgement: Judgement) -> Iterator[str]:
    """Everything that is not so in what is said of one study."""
    for audience in AUDIENCES:
        said = say(judgement, audience)
        for v in judgement.verdicts:
            words = said.claims[v.claim.id]
            for text in (words.says, *words.because, words.settle, words.estimate, words.method):
                junk = JUNK.search(text)
                if junk and not ALLOWED.search(junk[0]):
                    yield f"{v.claim.id} {v.code}: junk {junk[0]!r}: {text}"
                yield from (f"{v.claim.id} {v.code} {v.test}: {why}: {text}"
                            for why in untrue(drawn, v, text))  # fmt: skip
        of = {v.claim.id: v for v in judgement.verdicts}
        for (_, why, _), id in zip(said.questions, said.questioned, strict=True):
            yield from (f"question of {id}: {x}: {why}" for x in _open(of.get(id), why))
    yield from (f"{d.found}" for d in defects_of(judgement))
    yield from (f"{v.claim.id}: {x}" for v in judgement.verdicts if (x := _strip(v)))


def _open(v: Verdict | None, why: str) -> Iterator[str]:
    """What is told of an open claim: where a jump lies only if it fits better than a drift by 4
    (AICc), and which of two scatters more only if it does."""
    if v is None:
        return
    ahead = v.detail.numbers().get("jump_ahead")
    if ahead is not None:
        if "the jump at" in why and ahead < 4:
            yield "a drift fits as well"
        if ("fits that better" in why and ahead >= 0) or ("fits that nearly" in why and ahead < 0):
            yield "it is the other of the two that fits better"
    if v.test.kind == "spread" and v.estimate and (
        found := re.search(r"a scatter [\d.,]+% (more|less)", why)
    ) and (found[1] == "more") != (v.estimate > 0):
        yield "it scatters the other way"


def _strip(v: Verdict) -> str | None:
    if v.strip is None or v.strip.low is None or v.strip.high is None or "no-margin" in v.reasons:
        return None
    if v.test.kind == "settles" and v.strip.level == 0.95:  # the first half is a change
        return None
    return strip_and_label(v.code, v.reasons, lies(v.strip, v.strip.low, v.strip.high))


def changes(drawn: Drawn) -> pd.Series:
    """Each ball's last mean less its first, for those that have both."""
    wide = pd.DataFrame(drawn.rows).pivot_table(index="ball", columns="games", values="hook")
    first, last = drawn.uses[0], drawn.uses[-1]
    if first not in wide or last not in wide:
        return pd.Series(dtype=float)
    return (wide[last] - wide[first]).dropna()


def untrue(drawn: Drawn, v: Verdict, text: str) -> Iterator[str]:
    """Relations that the words state and the rows deny."""
    ends = (v.estimate, v.low, v.high)
    if "too few to work this out at all" in text and (
        v.code in ("backed", "against") or any(end is not None for end in ends)
    ):
        yield "it was worked out"
    if v.estimate is not None and v.test.kind in WORDS:
        yield from WORDS[v.test.kind](drawn, v, text)


def _counts(drawn: Drawn, v: Verdict, text: str) -> Iterator[str]:
    d, side = changes(drawn), {"up": 1, "down": -1}.get(v.test.direction)  # type: ignore[union-attr]
    way = d.abs() if side is None else side * d
    size = getattr(v.test, "at_least", None)
    so = way > 1e-9 if size is None else way > size - 1e-9
    if "in every one of" in text and "Is it so" not in text and not so.all():
        yield "not every one"
    found = re.search(r" (?:fell|rose|changed)(?: by at least .+?)? in (\d+) of", text)
    if found and int(found[1]) > int(so.sum()):
        yield "fewer went that way"
    if "more than half" in text and v.code == "backed" and not so.mean() > 0.5:
        yield "not even half of these"
    if (size is None) == ("by at least" in text) and " in " in text and found:
        yield "the size is another one"
    yield from _called(way, v, text)


def _called(way: pd.Series, v: Verdict, text: str) -> Iterator[str]:
    """Who can be called, by the smallest change the gauge can see; and how many of all balls go
    that way, by SciPy's exact range with those nobody can call counted against either end."""
    line, size, n = v.extra.get("seen_from"), getattr(v.test, "at_least", None) or 0.0, len(way)
    if line:
        sure, close = way > size + line + 1e-9, (way - size).abs() <= line + 1e-9
    else:
        sure = way >= size - 1e-9 if size else way > 1e-9
        close = (way.abs() <= 1e-9) & (size == 0)
    moved, unsure = int(sure.sum()), int((close & ~sure).sum())
    if "Not one of them can be called" in text and unsure < n:
        yield "some can be called"
    more = re.search(r"(?:with more|[Mm]ore) balls", text)
    if more and unsure and v.code in ("cannot-tell", "leans") and "too-few-items" not in v.reasons:
        yield "no number of balls helps where the gauge cannot call them"
    if "More readings of each" in text and not unsure and v.test.share != "every":  # type: ignore[union-attr]
        yield "all of them can be called"
    low = stats.binomtest(moved, n).proportion_ci(0.95, "exact").low
    high = stats.binomtest(moved + unsure, n).proportion_ci(0.95, "exact").high
    found = re.search(r"like them that means (?:(\d+) to )?(\d+)%", text)
    # Where a range is wide its ends are told to the nearest ten.
    step = 5.01 if found and all(int(end or 0) % 10 == 0 for end in found.groups()) else 0.51
    if found and (abs(int(found[1] or 0) - 100 * low) > step
                  or abs(int(found[2]) - 100 * high) > step):  # fmt: skip
        yield f"the exact range is {100 * low:.1f} to {100 * high:.1f}%"
    needed = {"most": 0.5, "every": 1.0}.get(v.test.share, v.test.share)  # type: ignore[union-attr]
    said = re.search(r"(more than )?\S+ is possible, and so is less", text)
    if said and not (low < needed and (high > needed if said[1] else high >= needed)):
        yield "one of the two is ruled out"
    if "all of that is more than" in text and not low > needed:
        yield "not all of it is more"
    if "all of it is less than" in text and not high < needed:
        yield "not all of it is less"


def _average(drawn: Drawn, v: Verdict, text: str) -> Iterator[str]:
    known, value = v.detail.known(), v.estimate or 0.0
    if "nothing in it is less" in text and value < known["needs_low"]:
        yield "the average is less"
    if "nothing in it is more" in text and value > known["needs_high"]:
        yield "the average is more"


def _two_gauges(drawn: Drawn, v: Verdict, text: str) -> Iterator[str]:
    wide = pd.DataFrame(drawn.pairs).pivot_table(index="ball", columns="gauge", values="hard")
    gap = float((wide["old"] - wide["new"]).mean())
    found = re.search(r"old (?:balls )?reads? (?!next to nothing).*? (higher|lower)", text)
    if found and (gap > 0) != (found[1] == "higher"):
        yield "the other one reads higher"


def _alike(drawn: Drawn, v: Verdict, text: str) -> Iterator[str]:
    """Alike or not, by the rows: pairs of gauges, or Welch's range over balls (scipy)."""
    if v.test.by == "gauge":  # type: ignore[union-attr]
        wide = pd.DataFrame(drawn.pairs).pivot_table(index="ball", columns="gauge", values="hard")
        gaps = (wide["old"] - wide["new"]).to_numpy()
        if gaps.std() < 1e-6:
            return
        found: Any = stats.ttest_1samp(gaps, 0.0)
    else:
        means = pd.DataFrame(drawn.rows).groupby(["ball", "model", "games"])["hook"].mean()
        each = means.groupby(["ball", "model"]).mean().reset_index()
        a, b = (each.hook[each.model == name].to_numpy() for name in MODELS[:2])
        if min(len(a), len(b)) < 2 or a.std() < 1e-6 or b.std() < 1e-6:
            return
        found = stats.ttest_ind(a, b, equal_var=False)
    low, high = found.confidence_interval(0.9)
    margin = v.test.margin  # type: ignore[union-attr]
    if not np.isfinite(low) or low == high:
        return
    if "stays inside" in text and not (-margin <= low and high <= margin):
        yield "the range goes past the margin"
    if "They do differ" in text and not (low > margin or high < -margin):
        yield "the range is not past the margin"


def _since(drawn: Drawn, v: Verdict, text: str) -> Iterator[str]:
    """Which way the level went, by the balls that have readings on both sides."""
    place = v.test.since  # type: ignore[union-attr]
    cells = pd.DataFrame(drawn.rows).groupby(["ball", "games"])["hook"].mean().reset_index()
    sides = [cells[cells.games < place], cells[cells.games >= place]]
    enough = [set(s.ball.value_counts()[lambda c: c >= 1].index) for s in sides]
    both = sorted(enough[0] & enough[1])
    if not both:
        return
    before, after = (s[s.ball.isin(both)].groupby("ball").hook.mean() for s in sides)
    gap = float((after - before).mean())
    if "It went the other way" in text and ("it fell" in text) != (gap < 0):
        yield "the level went the other way"
    if "It is so" in text and v.code != "backed":
        yield "not both halves hold"


def _graded(drawn: Drawn, v: Verdict, text: str) -> Iterator[str]:
    means = pd.DataFrame(drawn.steps).groupby("grit")["bite"].mean()
    shares = (means.diff().dropna() / (means.iloc[-1] - means.iloc[0])).to_numpy()
    large, rest = int(np.argmax(shares)), np.delete(shares, np.argmax(shares))
    once = shares[large] >= 0.8 and (np.abs(rest) <= 0.2).all()
    if (" with the steps:" in text and once) != ("comes at once" in text):
        yield "most of the way is one step, or it is not"
    if "comes at once" in text and f"from {means.index[large]} to " not in text:
        yield "the large step lies elsewhere"
    if " with the steps:" not in text:
        return
    rises = means.iloc[-1] > means.iloc[0]
    if ("goes up" in text) != rises:
        yield "the last step is not beyond the first"
    inner = means.iloc[1] > means.iloc[2] if rises else means.iloc[1] < means.iloc[2]
    if "No step in the middle" in text and inner:
        yield "a step in the middle lies farther out"


def _ranked(drawn: Drawn, v: Verdict, text: str) -> Iterator[str]:
    if v.test.by == "gauge":  # type: ignore[union-attr]
        wide = pd.DataFrame(drawn.pairs).pivot_table(index="ball", columns="gauge", values="hard")
        gaps = (wide["old"] - wide["new"]).dropna().to_numpy()
        if gaps.std() < 1e-6:
            return
        side = 1 if v.test.direction == "higher" else -1  # type: ignore[union-attr]
        low, high = stats.ttest_1samp(side * gaps, 0.0).confidence_interval(0.95)
        if "leaves no room for a tie" in text and not low > -1e-9:
            yield "there is room for a tie"
        if "does not come" in text and not high < 1e-9:
            yield "it may come first all the same"
        return
    means = pd.DataFrame(drawn.rows).groupby(["ball", "model", "games"])["hook"].mean()
    each = means.groupby(["ball", "model"]).mean().groupby("model").mean()
    if "comes out highest" in text and each.idxmax() != MODELS[0]:
        yield "another group is highest"


WORDS: dict[str, Callable[[Drawn, Verdict, str], Iterator[str]]] = {
    "share-of-items": _counts, "mean-is": _average, "agreement": _two_gauges, "steps": _graded,
    "ranking": _ranked, "no-difference": _alike, "since": _since,
}  # fmt: skip


@pytest.mark.parametrize("part", range(4))
def test_no_sentence_is_false(part: int, tmp_path: Path) -> None:
    found = [
        f"{seed}: {fault}"
        for seed in range(part * DRAWS // 4, (part + 1) * DRAWS // 4)
        for fault in faults(*judged(seed, tmp_path / str(seed)))
    ]
    assert not found, f"{len(found)} false:\n" + "\n".join(dict.fromkeys(found[:120]))


def test_no_kind_has_a_fact_by_the_name_of_one_that_all_have(tmp_path: Path) -> None:
    """Or whoever stayed to the end would be counted by how many did not move."""
    world = World(7)
    folder = world.write(tmp_path / "world")
    drawn = [judged(3, tmp_path)[1], judge(load_study(folder, open_workspace(tmp_path / "world")))]
    asked = [(j.study, v) for j in drawn for v in j.verdicts]
    assert len({v.test.kind for _, v in asked}) > 10
    for study, v in asked:
        own = KINDS[v.test.kind](v, study, table_of(v, study), shown(v))
        assert not set(NAMES.split()) & set(own), v.test.kind


def test_a_false_word_would_be_found() -> None:
    """The check itself can fail."""
    drawn = Drawn(3)
    frame = pd.DataFrame(drawn.rows)
    test = {"kind": "share-of-items", "measure": "hook", "from": drawn.uses[0],
            "to": drawn.uses[-1], "direction": "up", "share": "every"}  # fmt: skip
    study = study_of(frame, test, use="games", measures={"hook": {"unit": "board"}})
    (v,) = judge(study).verdicts
    said = f"Total hook rose in {len(frame) + 1} of 3 balls."
    assert list(untrue(drawn, v, said)) == ["fewer went that way"]
    assert np.isfinite(v.estimate or 0.0)
