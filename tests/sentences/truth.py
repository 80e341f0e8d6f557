"""What is so, worked out from the raw rows by other means than the code's: pandas and scipy.stats.

``truth_of`` knows a claim's numbers where its test is a textbook one (change, difference, link
over items that were all read at every checkpoint, counts against a limit); elsewhere it takes the
published numbers, so that the sentences are still held to something.
"""

from __future__ import annotations

import math
import warnings
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd
from scipy import stats
from sentences.studies import World

SIDE = {"up": 1, "higher": 1, "positive": 1, "down": -1, "lower": -1, "negative": -1, "any": 0}


@dataclass
class Truth:
    """The numbers behind one claim.  ``own`` says that they were worked out here."""

    kind: str
    test: dict[str, Any]
    n: int | None = None
    estimate: float | None = None
    ranges: dict[int, tuple[float, float]] = field(default_factory=dict)
    """By level in percent: both ends."""
    ups: int | None = None
    downs: int | None = None
    margin: float | None = None
    own: bool = False
    more: dict[str, Any] = field(default_factory=dict)

    @property
    def side(self) -> int:
        return SIDE[self.test.get("direction", "any")]

    @property
    def size(self) -> float | None:
        return self.test.get("at_least") if self.kind != "limit" else None

    @property
    def level(self) -> int:
        """The level of the range that such a claim shows."""
        return 90 if self.kind in ("no-change", "no-association", "same-line", "break-in") else 95

    @property
    def range(self) -> tuple[float, float] | None:
        return self.ranges.get(self.level)

    def toward(self, value: float) -> float:
        """``value`` counted in the direction the claim says, else in the estimate's."""
        return value * (self.side or (1 if (self.estimate or 0) >= 0 else -1))


def truth_of(world: World, claim: dict[str, Any], published: dict[str, Any]) -> Truth:
    """The truth of one claim; ``published`` is its entry in results.json."""
    test = claim["test"]
    truth = Truth(test["kind"], test)
    units = {m[0]: m[3] for m in (world.x, world.y)} | {"carry": 0.5, "reading": 1}
    truth.margin = test.get("margin") or units.get(test.get("measure", ""))
    truth.more["matters"] = units.get(test.get("measure", ""))
    if test["kind"] in ("no-association",):
        truth.margin = test.get("margin")
    maker = {"change": _change, "no-change": _change, "difference": _difference,
             "difference-in-change": _faster, "limit": _limit,
             "rate-difference": _rates}.get(test["kind"])  # fmt: skip
    if maker is not None:
        maker(world, truth)
    if not truth.ranges:
        _as_published(truth, published)
    truth.more |= _carried(world, truth, published) | _followed(world) | _moves(world, test)
    truth.more |= {"reasons": published["reasons"], "p_holm": published["p_holm"]}
    if truth.kind == "change":
        truth.more["step_without"] = _without_step(world, test, published)
    if truth.kind in ("change", "no-change", "difference-in-change"):
        truth.more["lack"] = _lack(world, test)
    if truth.kind in ("change", "no-change"):
        start = published.get("worked_out", {}).get("mean_from")
        shown = published.get("shown", published)
        truth.more["pastends"] = ends_passed(test["measure"], start, shown["low"], shown["high"])
    if truth.kind == "trend":
        of_shots = test["measure"] == "carry"
        rows = frame_of(world, "shots" if of_shots else "read").dropna(subset=[test["measure"]])
        far = rows.groupby(world.each)[test["over"]].agg(lambda v: v.max() - v.min())
        truth.more["ragged"] = far.nunique() > 1
        truth.more["uneven"] = _uneven(rows, world.each, test)
    if truth.kind == "break-in":
        truth.more |= _shares(world, test, truth.more["matters"] or 0.0)
        truth.more["before"] = _gone_again(world, test)
    if truth.kind == "same-line":
        both = frame_of(world).dropna(subset=[test["x"], test["y"]])
        truth.more["n_line"] = both[world.each].nunique()
    return truth


def ends_passed(
    measure: str, start: float | None, low: float | None, high: float | None
) -> bool:
    """Whether some of a range of changes takes percentages to where none can lie."""
    if measure != "share" or start is None or low is None or high is None:
        return False
    return 0 <= start <= 100 and (start + low < 0 or start + high > 100)


def _uneven(rows: pd.DataFrame, each: str, test: dict[str, Any]) -> tuple[float, float] | None:
    """What even slopes come to and what the ends lie apart, where the two surely differ."""
    mean = rows.groupby([each, test["over"]])[test["measure"]].mean()
    told = []
    for _, y in mean.groupby(level=0, observed=True):
        at = y.index.get_level_values(1).to_numpy(float)
        if len(y) > 1:
            even = stats.theilslopes(y.to_numpy(), at)[0] * (at[-1] - at[0])
            told.append((even, y.iloc[-1] - y.iloc[0]))
    even, ends = np.array(told, dtype=float).reshape(-1, 2).T
    low, high = _ranges(even - ends).get(95, (0.0, 0.0))
    return None if low <= 0 <= high else (float(even.mean()), float(ends.mean()))


def _carried(world: World, truth: Truth, published: dict[str, Any]) -> dict[str, Any]:
    """Who carries it, and what is left without: worked out here for plain changes."""
    found = published.get("worked_out", {})
    names = tuple(found[k] for k in ("fragile_item", "fragile_pair") if found.get(k))
    if not names or found.get("ranks_opposite"):
        return {}
    left, whole = found.get("fragile_without"), published["estimate"]
    if truth.kind == "tracks-within":
        whole = published["extra"].get("r")
    test = truth.test
    if truth.kind == "change" and not truth.more.get("models"):
        d = changes(world, test["measure"], test["from"], test["to"])
        if abs(float(d.mean()) - whole) < 1e-9:
            left = float(d.drop(list(names)).mean())
    return {"carriers": names, "without": left, "whole": whole}


def _gone_again(world: World, test: dict[str, Any]) -> float:
    """The least p of a paired t test of what went between a checkpoint by which 80% was done or
    more, and the claim's own, at which less than half of that was left; each model counts once."""
    first, by, last, y = test["from"], test["by"], test["to"], test["measure"]
    models = frame_of(world).drop_duplicates(world.each).set_index(world.each)["model"]
    found = [1.0]
    for use in (use for use in world.uses if first < use < by):
        ends = {"done": use, "by": by, "whole": last}
        steps = pd.DataFrame({k: changes(world, y, first, v) for k, v in ends.items()}).dropna()
        means = steps.groupby(models.reindex(steps.index)).mean().mean()
        back = (steps["by"] - steps["done"]).to_numpy(float)
        if len(back) > 1 and means["whole"] and means["done"] / means["whole"] >= 0.8 \
                and means["by"] / means["done"] < 0.5:  # fmt: skip
            alike = float(np.ptp(back)) < 1e-9
            found.append(0.0 if alike else float(stats.ttest_1samp(back, 0).pvalue))
    return min(found)


def _shares(world: World, test: dict[str, Any], least: float) -> dict[str, Any]:
    """The share done by then without each item in turn, and whether the whole change is sure then;
    each model counts once.  Whether single ones went both ways, by as much as matters."""
    ends = {end: changes(world, test["measure"], test["from"], test[end]) for end in ("by", "to")}
    both = pd.DataFrame(ends).dropna()
    models = frame_of(world).groupby(world.each)["model"].first()
    alone = not 1 < models.reindex(both.index).nunique() < len(both)

    def share(d: pd.DataFrame) -> float:
        means = (d if alone else d.groupby(models.reindex(d.index)).mean()).mean()
        return float(means["by"] / means["to"]) if means["to"] else math.inf

    def sure(d: pd.DataFrame) -> bool:
        total = Truth("change", test, ranges=_ranges(d["to"].to_numpy(float)) if alone else {})
        if not alone and len(d) > models.reindex(d.index).nunique():
            _of_groups(d["to"], models.reindex(d.index), total)
        low, high = total.ranges.get(95, (0.0, 0.0))
        return low > 0 or high < 0

    rest = [both.drop(item) for item in both.index]
    far = both["to"][both["to"].abs() >= least]
    ways = [int((way * both["to"] > 1e-9).sum()) for way in (1, -1)]
    return {"share": share(both), "ways": ways,
            "up_and_down": bool((far > 0).any() and (far < 0).any()),
            "shares_without": [share(d) for d in rest],
            "sure_without": [sure(d) for d in rest]}  # fmt: skip


def _without_step(
    world: World, test: dict[str, Any], published: dict[str, Any]
) -> float | None:
    """The change by a line through the means at the other checkpoints, each model counted once
    where the change is so; of the items that were read at all of them."""
    at = published.get("worked_out", {}).get("one_step_at")
    if at is None:
        return None
    frame = frame_of(world)
    low, high = sorted((test["from"], test["to"]))
    wide = frame[frame["games"].between(low, high)].pivot_table(
        index=world.each, columns="games", values=test["measure"], aggfunc="mean").dropna()
    ends = changes(world, test["measure"], test["from"], test["to"])
    model = frame.groupby(world.each)["model"].first()
    several = 1 < model.reindex(ends.index).nunique() < len(ends)
    wide = wide.astype(float)
    means = (wide.groupby(model.reindex(wide.index)).mean() if several else wide).mean().drop(at)
    slope = stats.linregress(means.index.to_numpy(float), means.to_numpy(float)).slope
    return float(slope * (test["to"] - test["from"]))


def _lack(world: World, test: dict[str, Any]) -> int:
    """How many of those that a change is asked of have no reading at one of its two ends."""
    frame = frame_of(world)
    if "a" in test:
        frame = frame[frame["model"].isin([test["a"], test["b"]])]
    whole = changes(world, test["measure"], test["from"], test["to"])
    return len(set(frame[world.each]) - set(whole.index))


def _moves(world: World, test: dict[str, Any]) -> dict[str, Any]:
    """Whether any item's x and y both changed, and whether both differ from item to item."""
    if "x" not in test:
        return {}
    pair = frame_of(world)[[world.each, test["x"], test["y"]]].dropna()
    both = [test["x"], test["y"]]
    own = pair.astype(dict.fromkeys(both, float)).groupby(world.each)
    return {"moves": bool((own.max() - own.min()).gt(1e-9).all(axis=1).any()),
            "flat": _flat_in(world, both)}  # fmt: skip


def _flat_in(world: World, both: list[str]) -> dict[tuple[bool, bool], set[str]]:
    """The measures, by name, in which the means of all items are the same: (over the checkpoints
    that all of them were read at, among those of one model)."""
    frame = frame_of(world).dropna(subset=both).astype(dict.fromkeys(both, float))
    read_by = frame.groupby("games")[world.each].nunique()
    at_all = frame[frame["games"].isin(read_by[read_by == frame[world.each].nunique()].index)]
    terms = {m[0]: m[1] for m in (world.x, world.y)}
    found = {}
    for shared, rows in ((False, frame), (True, at_all)):
        means = rows.groupby(world.each)[both].mean()
        model = rows.groupby(world.each)["model"].first().reindex(means.index)
        for inside, sets in ((False, [means]), (True, [s for _, s in means.groupby(model)])):
            found[shared, inside] = {
                terms.get(m, m) for m in both
                if len(rows) and all(float(np.ptp(s[m])) < 1e-9 for s in sets)
            }  # fmt: skip
    return found


def _followed(world: World) -> dict[str, Any]:
    """How often each item was read at the most and in full, and until when."""
    frame = frame_of(world)
    read = frame.dropna(subset=[world.x[0], world.y[0]], how="all")
    places = read.groupby(world.each)["games"]
    often, until = places.nunique().tolist(), places.max().tolist()
    for measure in (world.x[0], world.y[0]):
        own = frame.dropna(subset=[measure]).groupby(world.each)["games"].nunique()
        often += own.reindex(read[world.each].unique(), fill_value=0).tolist()
    if len(until) < world.n:
        often, until = [*often, 0], [*until, -1]
    return {"often": often, "until": until}


def frame_of(world: World, table: str = "read") -> pd.DataFrame:
    return pd.DataFrame(world.files[table]).replace("", np.nan)


def _ranges(values: np.ndarray[Any, Any]) -> dict[int, tuple[float, float]]:
    if len(values) < 2 or np.ptp(values) < 1e-9:  # equal but for the arithmetic
        return {}
    return {
        level: tuple(map(float, stats.ttest_1samp(values, 0).confidence_interval(level / 100)))
        for level in (95, 90, 80)
    }


def changes(world: World, measure: str, start: float, end: float) -> pd.Series:
    """Each item's last reading less its first, for the items that have both."""
    frame = frame_of(world)
    wide = frame.pivot_table(index=world.each, columns="games", values=measure, aggfunc="mean")
    if start not in wide or end not in wide:
        return pd.Series(dtype=float)
    return (wide[end].astype(float) - wide[start].astype(float)).dropna()


def _change(world: World, truth: Truth) -> None:
    test = truth.test
    d = changes(world, test["measure"], test["from"], test["to"])
    if not len(d):
        return
    model = frame_of(world).groupby(world.each)["model"].first().reindex(d.index)
    truth.n, truth.estimate = len(d), float(d.mean())
    truth.ups, truth.downs = int((d > 0).sum()), int((d < 0).sum())
    truth.more["scattered"] = len(d) > 1 and bool(abs(d.mean()) <= d.std(ddof=1) * (1 + 1e-9))
    truth.ranges, truth.own = _ranges(d.to_numpy(float)), True
    if 1 < model.nunique() < len(d):
        _of_groups(d.astype(float), model, truth)


def _of_groups(d: pd.Series, model: pd.Series, truth: Truth) -> None:
    """Items that come in models: the mean of the models, each with its own spread (Satterthwaite);
    the spread within them pooled where a model has one item or none."""
    each = d.groupby(model)
    sizes, means, spreads = each.size(), each.mean(), each.var(ddof=1).fillna(0.0)
    truth.estimate = float(means.mean())
    g, n = len(sizes), len(d)
    if (sizes < 2).any() or (spreads < 1e-18).any():
        within = float(((d - model.map(means)) ** 2).sum()) / (n - g)
        variance, df = within * float((1 / sizes).sum()), float(n - g)
    else:
        parts = spreads / sizes
        variance = float(parts.sum())
        df = variance**2 / float((parts**2 / (sizes - 1)).sum())
    if variance < 1e-18:
        truth.ranges, truth.own = {}, False
        return
    se = math.sqrt(variance) / g
    truth.ranges = {level: tuple(map(float, stats.t.interval(level / 100, df, truth.estimate, se)))
                    for level in (95, 90, 80)}  # fmt: skip


def _welch(a: pd.Series, b: pd.Series, truth: Truth) -> None:
    if len(a) < 2 or len(b) < 2 or (a.std() < 1e-9 and b.std() < 1e-9):
        return
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)  # one side without any spread
        result = stats.ttest_ind(a.astype(float), b.astype(float), equal_var=False)
    truth.estimate, truth.own = float(a.mean() - b.mean()), True
    truth.ranges = {
        level: tuple(map(float, result.confidence_interval(level / 100))) for level in (95, 90, 80)
    }


def _difference(world: World, truth: Truth) -> None:
    frame, test = frame_of(world), truth.test
    if "at" in test:
        frame = frame[frame["games"] == test["at"]]
    each = frame.dropna(subset=[test["measure"]]).groupby(["model", world.each])[test["measure"]]
    means = each.mean()
    names = means.index.get_level_values(0)
    if test["a"] not in names or test["b"] not in names:
        return
    a, b = means[test["a"]], means[test["b"]]
    truth.n = len(a) + len(b)
    truth.more = {"mean_a": float(a.mean()), "mean_b": float(b.mean())}
    _welch(a, b, truth)


def _faster(world: World, truth: Truth) -> None:
    test = truth.test
    d = changes(world, test["measure"], test["from"], test["to"])
    model = frame_of(world).groupby(world.each)["model"].first()
    a, b = (d[model.reindex(d.index) == test[name]] for name in ("a", "b"))
    truth.n = len(a) + len(b)
    if len(a) and len(b):
        truth.more = {"change_a": float(a.mean()), "change_b": float(b.mean())}
    _welch(a, b, truth)


def _limit(world: World, truth: Truth) -> None:
    test = truth.test
    frame = frame_of(world)
    read = frame[frame["games"] == test["at"]].set_index(world.each)[test["measure"]].dropna()
    low, high = test.get("at_least"), test.get("at_most")
    past = pd.concat([side for side in (
        read - low if low is not None else None, high - read if high is not None else None,
    ) if side is not None], axis=1).min(axis=1)  # fmt: skip
    truth.n, truth.own = len(read), True
    truth.more = {"right": int((past >= 0).sum()), "wrong": int((past < 0).sum()),
                  "unread": len(read) < frame[world.each].nunique()}  # fmt: skip


def _rates(world: World, truth: Truth) -> None:
    test = truth.test
    frame = frame_of(world, "tries")
    frame["rate"] = frame["strikes"] / frame["shots"]
    wide = frame.pivot_table(index="bowler", columns="oil", values="rate").dropna()
    gap = wide[test["a"]] - wide[test["b"]]
    truth.n = len(gap)
    truth.ups, truth.downs = int((gap > 0).sum()), int((gap < 0).sum())


def _as_published(truth: Truth, published: dict[str, Any]) -> None:
    """The published numbers, for tests that are not worked out here."""
    truth.estimate = published["estimate"]
    truth.n = published["n_items"] if truth.n is None else truth.n
    low, high, extra = published["low"], published["high"], published["extra"]
    if low is not None and high is not None:
        truth.ranges[95] = (low, high)
    for names in (("low90", "high90"), ("share_low90", "share_high90")):
        if extra.get(names[0]) is not None and extra.get(names[1]) is not None:
            truth.ranges[90] = (extra[names[0]], extra[names[1]])


def near(value: float, printed: str) -> bool:
    """Whether ``printed`` is ``value`` rounded to as many digits as it shows."""
    digits = printed.replace(",", "").replace("−", "-")
    places = len(digits.partition(".")[2])
    given = float(digits)
    step = 10.0 ** -places
    if places == 0:  # 1,022 or 120 may be rounded to tens
        zeros = len(digits) - len(digits.rstrip("0"))
        step = 10.0 ** min(zeros, max(len(digits.lstrip("-")) - 1, 0))
    return math.isclose(abs(value), abs(given), abs_tol=0.5000001 * step)
