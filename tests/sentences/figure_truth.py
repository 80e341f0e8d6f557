"""What is so in a figure: the numbers behind it by name, and conditions on them.

Worked out from the drawn rows where that is one line of pandas; else from the figure's own record
in ``results.json``, whose numbers other tests hold to the rows.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import combinations
from typing import Any

import numpy as np
import pandas as pd
from scipy import stats
from sentences.studies import World
from sentences.truth import changes, ends_passed, frame_of

Found = Mapping[str, Mapping[str, Any]]


@dataclass
class FigureTruth:
    """One figure's numbers; ``so`` are its conditions, ``is_`` the values by place name."""

    kind: str
    so: dict[str, bool] = field(default_factory=lambda: defaultdict(bool))
    is_: dict[str, Any] = field(default_factory=dict)


def figure_truth(world: World, figure: dict[str, Any], record: dict[str, Any]) -> FigureTruth:
    """The truth of one figure; ``record`` is its entry in results.json."""
    truth = FigureTruth(figure["kind"])
    found = {x["kind"]: x["numbers"] for x in reversed(record["findings"])}
    truth.is_["n"] = record["n_items"]
    groups = [x["numbers"] for x in record["findings"] if x["kind"] == "group-change"]
    frame = frame_of(world, figure["table"])
    y = figure.get("y")
    if y in frame:
        read = frame[y].dropna().astype(float)
        truth.is_ |= {"lowest": read.min(), "highest": read.max()} if len(read) else {}
        truth.is_["read"] = len(read)
    MAKERS[figure["kind"]](truth, found, world, figure)
    # How many values are drawn, and whether there are two that differ.
    alike = truth.is_.get("lowest") == truth.is_.get("highest")
    truth.so |= {"alike": alike, "varied": not alike, "lone": truth.is_.get("read") == 1}
    # Of three marks a path can turn at the middle one only, which says nothing; nor does a turn
    # beside a mark at which the average may lie anywhere on the lane.
    marks, wide = truth.is_.pop("marks_of", {}), truth.is_.pop("wide_of", {})
    turns = [x["numbers"] for x in record["findings"] if x["kind"] == "breakpoint"]
    turns = [turn for turn in turns if len(marks[turn["name"]]) > 3
             and not _beside(turn["distance"], marks[turn["name"]], wide[turn["name"]])]
    sound = all(turn["distance"] in marks[turn["name"]] for turn in turns)
    if figure["kind"] == "ball-paths":
        truth.so |= {"turn": bool(turns) and sound, "noturn": not turns}
    places = {turn["distance"] for turn in turns}
    truth.so |= {"oneturns": len(turns) == 1, "bothturn": len(turns) == 2,
                 "there1": len(places) == 1, "there2": len(places) == 2}  # fmt: skip
    if turns:
        truth.is_ |= {"turnat": turns[0]["distance"], "turnpart": turns[0]["name"],
                      "turnlast": turns[-1]["distance"]}  # fmt: skip
    if groups:
        truth.so["groups"] = len(groups) > 1
        truth.is_["bygroup"] = [g["change"] for g in groups]
    return truth


def _beside(mark: float, marks: set[float], wide: set[float]) -> bool:
    """Whether a mark, or the next one on either side of it, is one of those."""
    at = sorted(marks).index(mark) if mark in marks else 0
    return bool(set(sorted(marks)[max(at - 1, 0) : at + 2]) & wide)


def _ranged(truth: FigureTruth, numbers: Mapping[str, Any] | None, name: str) -> None:
    """Whether there is a number, a range, and how it lies to 0."""
    so = truth.so
    so["none"] = numbers is None
    if numbers is None:
        return
    low, high = numbers.get("low"), numbers.get("high")
    truth.is_ |= {"est": numbers[name], "rng": (low, high)}
    so["some"] = True
    so["norange"] = low is None or high is None
    so["zero"] = not so["norange"] and low < 0 < high  # type: ignore[operator]
    so["clear"] = not so["norange"] and not so["zero"]
    so["tiny"], so["nottiny"] = numbers[name] == 0, numbers[name] != 0


def _margin(world: World, figure: dict[str, Any]) -> float:
    return {world.x[0]: world.x[3], world.y[0]: world.y[3]}[figure["y"]]


def _over_use(truth: FigureTruth, found: Found, world: World, figure: dict[str, Any]) -> None:
    so, is_ = truth.so, truth.is_
    change, early, odd = found.get("change"), found.get("early-step"), found.get("odd-item")
    _ranged(truth, change, "change")
    small = found.get("small")
    so["small"], so["notsmall"] = small is not None, small is None
    shift = (found.get("change") or {}).get("change")
    so["shortof"] = so["notsmall"] and shift is not None and abs(shift) < _margin(world, figure)
    is_["margin"] = _margin(world, figure)
    frame = frame_of(world)
    each = len(frame.groupby([world.each, "games"]).size())
    read = frame.dropna(subset=[figure["y"]])
    is_["n"] = read[world.each].nunique()  # a line for each that was ever read
    so["missing"] = len(read) < world.n * len(world.uses) or each < world.n * len(world.uses)
    so["notmissing"] = not so["missing"]
    is_["points"] = len(world.uses)
    so["bold"], so["notbold"] = is_["n"] > 1, is_["n"] < 2  # one has no average
    once = read.groupby(world.each)["games"].nunique() < 2
    so["marked"], so["notmarked"] = bool(once.any()), not once.any()
    if change is not None:
        d = changes(world, figure["y"], change["from"], change["to"])
        ups, downs = int((d > 0).sum()), int((d < 0).sum())
        # Of models with more items than others each counts once, and that is said.
        models = frame.drop_duplicates(world.each).set_index(world.each)["model"]
        so["uneven"] = models[d.index].value_counts().nunique() > 1
        so["even"] = not so["uneven"]
        counts = models[d.index].value_counts()
        is_["few"] = int(counts[counts > 1].sum())
        so["alone"] = len(counts) > 1 and 0 < is_["few"] < len(d)
        so["same"] = change["mean_from"] == change["mean_to"]
        so["pastends"] = ends_passed(figure["y"], change["mean_from"], change["low"],
                                     change["high"])
        so["unlike"] = not so["same"]
        is_ |= {"from": change["mean_from"], "to": change["mean_to"], "nc": len(d),
                "same": ups if change["change"] > 0 else downs}  # fmt: skip
        so["all"], so["notall"] = is_["same"] == len(d), is_["same"] < len(d) or len(d) == 1
        so["single"], so["several"] = len(d) == 1, len(d) > 1
        so["full"], so["partly"] = len(d) == is_["n"], len(d) < is_["n"]
        is_["nb"] = len(d)
    if early is not None:
        share = early["share"]
        so |= {"early": True, "back": bool(early["back"]), "notback": not early["back"],
               "flat": bool(early["flat"]),
               "notflat": not early["flat"], "nearly": early["nearly_by"] is not None,
               "whole": share >= 1, "part": share < 1}  # fmt: skip
        is_["share"] = min(share, 1.0)
        steps = _steps_after(world, figure["y"], early["by"])
        gone_past = _gone_past(world, figure["y"], early["by"])
        so |= {"past": bool(gone_past), "notpast": not gone_past,
               "cameback": any(p < 0.05 for p in gone_past.values()),
               "backluck": any(p > 5e-3 / len(world.uses) for p in gone_past.values())}  # fmt: skip
        is_["past"] = gone_past
        so |= {"moved": min(steps.values()) < 0.05, "maybeluck": min(steps.values()) > 1e-4}
        is_["gone"] = {
            late: float(changes(world, figure["y"], early["by"], late).mean()) * whole < 0
            for whole in [change["change"]] for late in world.uses if late > early["by"]  # type: ignore[index]
        }
    if odd is not None:
        _odd(truth, odd, world, changes(world, figure["y"], change["from"], change["to"]))  # type: ignore[index]


def _odd(truth: FigureTruth, odd: dict[str, Any], world: World, moved: pd.Series) -> None:
    so, is_, own = truth.so, truth.is_, sorted(moved)
    below, above = own[(len(own) - 1) // 2], own[len(own) // 2]
    middle, apart = (below + above) / 2, _apart(world, moved)
    so |= {"odd": True, "oddnumber": len(own) % 2 == 1, "evennumber": len(own) % 2 == 0,
           "midmoved": abs(middle) > 1e-9, "midtiny": abs(middle) < 1e-6,
           "oneodd": apart == 1, "manyodd": apart > 1}  # fmt: skip
    is_ |= {"who": odd["item"], "oddchange": odd["change"], "others": middle,
            "changes": len(own), "napart": apart}  # fmt: skip


def _apart(world: World, own: pd.Series) -> int:
    """How many lie three robust spreads from the middle, and from the others of their model."""
    models = frame_of(world).drop_duplicates(world.each).set_index(world.each)["model"]
    far, found = 3 * 1.4826 * (own - own.median()).abs().median(), 0
    for item, change in own.items():
        mates = own[(models.reindex(own.index) == models[item]) & (own.index != item)]
        found += abs(change - own.median()) > far and not (
            len(mates) and abs(change - mates.median()) <= far)
    return found


def _gone_past(world: World, y: str, by: float) -> dict[float, float]:
    """The checkpoints between ``by`` and the last at which more than 1.1 times the whole change was
    done, each with the p of a paired t test of what came after it."""
    first, last = world.uses[0], world.uses[-1]
    models = frame_of(world).drop_duplicates(world.each).set_index(world.each)["model"]
    found = {}
    for late in (use for use in world.uses[:-1] if use > by):
        here = changes(world, y, first, late)
        whole = changes(world, y, first, last)
        both = here.index.intersection(whole.index)
        done, full = (d[both].groupby(models[both]).mean().mean() for d in (here, whole))
        if len(both) and done / full > 1.1 + 1e-9:
            moved = changes(world, y, late, last)[both].to_numpy(float)
            found[late] = (1.0 if len(moved) < 2 else float(np.ptp(moved) > 1e-9)
                           and float(stats.ttest_1samp(moved, 0).pvalue))  # fmt: skip
    return found


def _steps_after(world: World, y: str, by: float) -> dict[tuple[float, float], float]:
    """p of a paired t test over the items of each pair of checkpoints from ``by`` on."""
    found = {}
    for pair in combinations([use for use in world.uses if use >= by], 2):
        moved = changes(world, y, *pair).to_numpy(float)
        if len(moved) < 2 or np.ptp(moved) < 1e-9:  # all of them by as much
            found[pair] = float(not len(moved) or abs(moved[0]) < 1e-9)
        else:
            found[pair] = float(stats.ttest_1samp(moved, 0).pvalue)
    return found


def _scatter(truth: FigureTruth, found: Found, world: World, figure: dict[str, Any]) -> None:
    so, is_ = truth.so, truth.is_
    between, inner, one = found.get("between"), found.get("within"), found.get("one-item")
    _ranged(truth, between, "r")
    so["joined"] = bool(figure["join"]) and len(world.uses) > 1
    so["notjoined"] = not so["joined"]
    so["single"] = is_["n"] == 1
    # A line to each that has two places, and its own slope to each whose places lie apart across.
    rows = frame_of(world, figure["table"])
    own = rows.dropna(subset=[figure["x"], figure["y"]]).groupby(world.each)[figure["x"]]
    so["loners"], is_["inside"] = bool((own.count() < 2).any()), int((own.nunique() > 1).sum())
    is_ |= {"loner": int((own.count() == 1).sum()),
            "still": int(((own.count() > 1) & (own.nunique() == 1)).sum())}
    for name in ("loner", "still"):
        so |= {name: is_[name] > 0, f"one{name}": is_[name] == 1, f"no{name}": is_[name] == 0}
    so["trails"], is_["all"] = not so["loners"], is_["n"]
    if so["notjoined"] and not figure.get("line_from"):  # a dot is an average
        dots = _means(world, figure)[figure["y"]]
        is_ |= {"lowest": dots.min(), "highest": dots.max()} if dots.nunique() == 1 else {}
    so["someinside"] = is_["inside"] < is_["n"]
    edges = (found["edge"].get("x_from"), found["edge"].get("x_to"))
    so["xalike"], so["xvaried"] = edges[0] == edges[1], edges[0] != edges[1]
    so["apart"], so["spread"] = False, True
    if between is not None:
        is_["slope"] = between["slope"]
        if not figure.get("line_from"):
            _between_models(truth, found, world, figure)
    else:
        if not figure.get("line_from") and figure["x"] != figure["y"]:
            means = _means(world, figure)
            own = means.corr().iloc[0, 1] if len(means) > 2 else float("nan")
            so["alone"], so["nolink"] = bool(own == own), bool(own != own)
            so["two"], so["nottwo"] = len(means) == 2, len(means) != 2
            is_ |= {"ralone": own} if own == own else {}
    if inner is not None:
        low, high = inner["slope_low"], inner["slope_high"]
        so |= {"inner": True, "innerzero": low is None or low < 0 < high,
               "innerclear": low is not None and not low < 0 < high}  # fmt: skip
        is_ |= {"islope": inner["slope"], "irng": (low, high)}
        so["differ"] = found["levels"]["verdict"] == "differ"
        so["notdiffer"] = not so["differ"]
        so["smaller"] = bool(between and between["slope"] and low is not None
                             and max(0.0, high * (1 if between["slope"] > 0 else -1),
                                     low * (1 if between["slope"] > 0 else -1))
                             < abs(between["slope"]))  # fmt: skip
    if one is not None:
        so |= {"one": True, "gone": one["r_without"] is None, "left": one["r_without"] is not None}
        is_ |= {"who": one["item"], "rwithout": one["r_without"]}
    so["notone"] = one is None
    so["oneline"] = one is None or one["r_without"] is None
    so["twolines"] = not so["oneline"]
    claims = [c["test"] for c in world.claims]
    so["held"] = any(c["kind"] == "association" for c in claims)  # may hold the group alike
    both = rows.dropna(subset=[figure["x"], figure["y"]])
    places = [set(own["games"]) for _, own in both.groupby(world.each)] if so["joined"] else []
    shared = set.intersection(*places) if places else set()
    so["lineown"] = bool(shared) and any(own != shared for own in places) and any(
        c["kind"] == "same-line" and not c.get("line_from")
        and (c["x"], c["y"]) == (figure["x"], figure["y"]) for c in claims)  # fmt: skip


def _between_models(
    truth: FigureTruth, found: Found, world: World, figure: dict[str, Any]
) -> None:
    """Whether less than half of a link is left among items of one model: worked out here where the
    dots are the averages, else as the figure's record has it."""
    told = found.get("between-groups")
    truth.is_["rgroup"] = told["r"] if told else None
    untold = told is not None and told["r"] is None
    truth.so |= {"apart": told is not None and not untold, "spread": told is None, "untold": untold}
    means = _means(world, figure)
    of = frame_of(world, figure["table"]).groupby(world.each)["model"].first().reindex(means.index)
    left = means - means.groupby(of).transform("mean")
    whole = float(means.corr().iloc[0, 1])
    if abs(whole - found["between"]["r"]) > 1e-9 or not 1 < of.nunique() < len(means):
        return
    inside = float(left.corr().iloc[0, 1])
    if len(means) - of.nunique() - 1 >= 3 and inside == inside:
        apart = truth.so["clear"] and inside * (1 if whole > 0 else -1) < abs(whole) / 2
        truth.so |= {"apart": apart, "spread": not apart, "untold": False}
        truth.is_["rgroup"] = inside


def _means(world: World, figure: dict[str, Any]) -> pd.DataFrame:
    """Each item's averages, compared where all were read, if they were anywhere."""
    rows = frame_of(world, figure["table"]).dropna(subset=[figure["x"], figure["y"]])
    if "games" in rows:
        many = rows.groupby("games")[world.each].transform("nunique")
        shared = rows[many == rows[world.each].nunique()]
        rows = rows if shared.empty else shared
    return rows.groupby(world.each)[[figure["x"], figure["y"]]].mean().astype(float)


def _steepness(means: pd.DataFrame) -> float:
    """Least squares of the second column on the first."""
    x, y = (means.iloc[:, i] - means.iloc[:, i].mean() for i in (0, 1))
    return float((x * y).sum() / (x * x).sum())


def _shots(truth: FigureTruth, found: Found, world: World, figure: dict[str, Any]) -> None:
    so, is_ = truth.so, truth.is_
    _ranged(truth, found.get("drift"), "slope")
    so["notclear"] = not so["clear"]
    frame = frame_of(world, "shots")
    is_["shots"] = len(frame)
    so["dotted"] = frame[world.each].nunique() <= 6  # of more series the lines alone are drawn
    runs = frame.groupby(world.each)["shot"]
    drift = found.get("drift") or {}
    is_["margin"] = matters = 0.5  # of ball speed, as these studies have it
    reach = [drift.get(end) for end in ("low", "high")]
    most = float("inf") if None in reach else max(map(abs, reach))
    so["tiny"] = most * float(runs.max().sub(runs.min()).max()) < matters
    so["longer"] = not so["tiny"]
    flagged = found.get("flagged")
    so["flagged"] = flagged is not None
    if flagged is not None:
        so["mixture"], so["notmixture"] = bool(flagged["mixture"]), not flagged["mixture"]
        is_ |= {"flags": flagged["count"], "of": len(frame)}
    ends = found.get("first-last")
    if ends is not None:
        own = frame.sort_values("shot").groupby(world.each)["carry"]
        first, last = figure["first"], figure["last"]
        gap = own.apply(lambda s: s.iloc[-last:].mean() - s.iloc[:first].mean()).mean()
        is_ |= {"first": first, "last": last, "gap": float(gap)}
        so["ends"] = True


def _paths(truth: FigureTruth, found: Found, world: World, figure: dict[str, Any]) -> None:
    so, is_ = truth.so, truth.is_
    apart = found.get("difference-at")
    frame = frame_of(world, "paths")
    # Marks that all paths of a part were read at: an average is one only there.
    whole, wide, many = {}, {}, []
    for part, of in frame.groupby("part") if figure.get("by") else [("all", frame)]:
        marks = of.pivot_table(index=world.each, columns="feet", values="board").dropna(axis=1)
        whole |= {part: set(marks.columns)} if len(marks.columns) else {}
        n, p = marks.shape
        half = stats.t.ppf(1 - 0.025 / max(p, 1), n - 1) * marks.std(ddof=1) / n**0.5
        wide |= {part: set(marks.columns[2 * half > 39])}
        many += [of[world.each].nunique()] if len(marks.columns) else []
    is_ |= {"marks_of": whole, "wide_of": wide}
    so |= {"compared": apart is not None, "notcompared": apart is None}
    # An average that is known at one mark only is a dot and no line.
    lone = sum(len(marks) == 1 for marks in whole.values())
    so |= {"lines": not lone, "marks": lone == len(whole), "linesmarks": 0 < lone < len(whole)}
    so |= {"manypaths": len(whole) > 1, "onepath": len(whole) == 1, "nopath": not whole}
    so |= {"averagepath": max(many, default=0) > 1, "ownpath": max(many, default=0) == 1}
    of_one = [part for part, of in frame.groupby("part") if of[world.each].nunique() == 1]
    so |= {"solepath": len(of_one) == 1, "solepaths": len(of_one) > 1, "notsole": not of_one,
           "markless": not set.intersection(*whole.values(), *[set()] * (not whole))}  # fmt: skip
    so["commonmark"] = not so["markless"]
    is_["solepart"] = of_one[0] if of_one else ""
    so |= {"apart": bool(apart and apart["count"]), "notapart": bool(apart and not apart["count"]),
           "once": bool(apart and apart["count"] == 1),
           "often": bool(apart and apart["count"] > 1)}  # fmt: skip
    if apart is not None:
        is_ |= {"count": apart["count"], "of": apart["distances"], "largest": apart["largest"],
                "at": apart["largest_at"], "from": apart["from"]}  # fmt: skip
        so["there"] = apart["from"] == apart["largest_at"]
        ends = [set(of[world.each]) for _, of in frame.groupby("part")]
        so["both"] = len(ends[0] & ends[1]) >= 2
        so["sides"] = not so["both"]
        so["apart"] &= all(apart["largest_at"] in marks for marks in whole.values())
        is_["nc"] = len(ends[0] & ends[1] if so["both"] else ends[0] | ends[1])
        so["inboth"] = so["both"] and ends[0] != ends[1]
        so["evenly"] = not so["inboth"]
        so["oneof"] = len(set.intersection(*whole.values())) == 1
        so["elsewhere"] = not so["there"]


def _groups(truth: FigureTruth, found: Found, world: World, figure: dict[str, Any]) -> None:
    so, is_ = truth.so, truth.is_
    gap, wide = found.get("difference"), found.get("spread")
    _ranged(truth, gap, "difference")
    is_["margin"] = _margin(world, figure)
    low, high = is_.get("rng", (None, None))
    so["small"] = None not in (low, high) and max(-low, high) <= is_["margin"]
    so["notsmall"] = not so["small"]
    so["shortof"] = so["notsmall"] and abs(is_.get("est", np.inf)) < is_["margin"]
    frame = frame_of(world)
    at = frame[frame["games"] == figure["at"]].dropna(subset=[figure["y"]])
    means = at.groupby(["model", world.each])[figure["y"]].mean().groupby("model").mean()
    read = at[figure["y"]].astype(float)
    is_ |= {"lowest": read.min(), "highest": read.max()} if len(read) else {}
    is_["read"] = len(read)
    is_ |= {"ng": len(means), "at": figure["at"]}
    so["alone"], so["many"], so["nothing"] = len(means) < 2, len(means) > 1, not len(means)
    if gap is not None:
        is_ |= {"a": means.idxmax(), "b": means.idxmin(), "mean_a": means.max(),
                "mean_b": means.min(), "nc": gap["n_items"]}  # fmt: skip
        sizes = at.groupby("model")[world.each].nunique()
        for side in "ab":
            so[f"lone_{side}"] = bool(sizes[gap[side]] == 1)
            so[f"many_{side}"] = not so[f"lone_{side}"]
        tied = np.isclose(means[[gap["a"], gap["b"]]], [means.max(), means.min()])
        if tied.all():
            is_ |= {"a": gap["a"], "b": gap["b"]}
    if wide is not None:
        own = at[at["model"] == wide["group"]][figure["y"]].astype(float)
        so |= {"wide": True, "two": len(means) == 2, "more": len(means) > 2}
        is_ |= {"wide": wide["group"], "wlow": own.min(), "whigh": own.max()}


def _rates(truth: FigureTruth, found: Found, world: World, figure: dict[str, Any]) -> None:
    so, is_ = truth.so, truth.is_
    each = found.get("stratified")
    _ranged(truth, each, "difference")
    frame = frame_of(world, "tries")
    total = frame.groupby("oil", sort=False)[["strikes", "shots"]].sum()
    rate = total["strikes"] / total["shots"]
    lump = rate["long"] - rate["short"]
    once = frame.groupby("bowler")["shots"].sum().max() <= 1  # else nobody was picked by outcome
    picked = bool(once) and any(c["test"].get("in") == "odds" for c in world.claims)
    so |= {"picked": picked, "notpicked": not picked}
    so |= {"lump": True, "turned": bool(each) and lump * each["difference"] < 0}  # type: ignore[index]
    ahead = lump if each is None else each["difference"]
    counts = frame.pivot_table(index="bowler", columns="oil", values=["strikes", "shots"],
                               aggfunc="sum").dropna()  # fmt: skip
    made, tried = counts["strikes"], counts["shots"]
    gaps = made["long"] / tried["long"] - made["short"] / tried["short"]
    if each is not None:  # Mantel and Haenszel's weights
        weights = tried["long"] * tried["short"] / (tried["long"] + tried["short"])
        is_["est"] = float((gaps * weights).sum() / weights.sum())
    is_ |= {"rate_a": rate["long"], "rate_b": rate["short"], "a": "long", "b": "short",
            "ahead": "long" if ahead > 0 else "short", "behind": "short" if ahead > 0 else "long",
            "lahead": "long" if lump > 0 else "short", "lbehind": "short" if lump > 0 else "long",
            "same": int((gaps > 0).sum() if ahead > 0 else (gaps < 0).sum()),
            "nc": len(gaps)}  # fmt: skip
    so |= {"all": is_["same"] == len(gaps), "again": len(gaps) > 0}


def _gauge(truth: FigureTruth, found: Found, world: World, figure: dict[str, Any]) -> None:
    so, is_ = truth.so, truth.is_
    share, hands, worst = found.get("share"), found.get("operators"), found.get("worst-item")
    sees = share or found.get("sees")
    frame = frame_of(world, "gauge")
    so |= {"share": share is not None, "noshare": share is None, "mdd": bool(sees and sees["mdd"]),
           "onehand": frame["desk"].nunique() == 1, "nohand": frame["desk"].nunique() != 1}
    same = frame["reading"].nunique() == 1 < frame["reading"].count()
    so |= {"same": same, "unlike": not same}
    is_ |= {"operators": frame["desk"].nunique()}
    if share is not None:
        is_ |= {"est": share["percent"], "rng": (share["low"], share["high"])}
        so["ranged"] = share["low"] is not None
        so["norange"] = not so["ranged"]
    if so["mdd"]:
        is_["mdd"] = sees["mdd"]  # type: ignore[index]
    if hands is not None:
        means = frame.groupby([world.each, "desk"])["reading"].mean().unstack()
        level = means.mean()
        rest = means.drop(columns=level.idxmax()).max(axis=1)
        always = bool((means[level.idxmax()] - rest > 1e-9).all())
        so |= {"hands": True, "always": always, "notalways": not always,
               "two": len(level) == 2, "more": len(level) > 2}  # fmt: skip
        low = hands["low"] if level[hands["low"]] - level.min() < 1e-9 else level.idxmin()
        is_ |= {"high": level.idxmax(), "low": low,
                "handsapart": float(level.max() - level.min())}  # fmt: skip
    if worst is not None:
        wide = frame.groupby(world.each)["reading"].agg(lambda s: s.max() - s.min())
        # The widest, and by itself: of two that scatter alike neither is the hardest to read.
        so["worst"] = bool((wide > wide.max() - 1e-9).sum() == 1)
        is_ |= {"who": worst["item"], "spread": float(wide.max())}


def _limit(truth: FigureTruth, found: Found, world: World, figure: dict[str, Any]) -> None:
    so, is_ = truth.so, truth.is_
    calls = found["calls"]
    frame = frame_of(world)
    read = frame[frame["games"] == figure["at"]].dropna(subset=[figure["y"]])
    values = read.set_index(world.each)[figure["y"]].astype(float)
    tests = [test for c in world.claims for test in c.get("tests", [c.get("test")]) if test]
    alike = [c for c in tests if c["kind"] == "limit" and c["measure"] == figure["y"]
             and c.get("at", world.last) == figure["at"]]  # fmt: skip
    # As far off as anybody says that these readings may be; repeats may say more.
    off = max(figure["u"], *(c.get("u", 0.0) for c in alike), 0.0)
    guard, limit = max(calls["guard"] or 0.0, 1.6448 * off), figure["at_least"]
    most = figure.get("at_most", float("inf"))

    def counted(low: float | None, high: float | None) -> tuple[int, int]:
        low, high = -np.inf if low is None else low, np.inf if high is None else high
        inside = (values >= low + guard - 1e-9) & (values <= high - guard + 1e-9)
        return int(inside.sum()), int(((values < low - guard) | (values > high + guard)).sum())

    passes, fails = counted(limit, most)
    below, above = int((values < limit - guard).sum()), int((values > most + guard).sum())
    so["below"], so["above"] = below > 0, above > 0
    is_["outside"] = " and ".join(f"{n} {way}" for n, way in ((below, "below"), (above, "above"))
                                  if n and below and above) \
        or f"{'all ' if below + above > 1 else ''}{'below' if below else 'above'}" \
        f"{'' if below + above > 1 else ' them'}"  # fmt: skip
    meet = (values >= limit) & (values <= most)
    so["allmeet"], so["allmiss"] = bool(meet.all()), not meet.any()
    so["both"], so["oneside"] = "at_most" in figure, "at_most" not in figure
    is_["most"] = most
    # The other limits that claims of the study hold the same readings to.
    mine = (figure["at_least"], figure.get("at_most"))
    held = {(c.get("at_least"), c.get("at_most")) for c in alike} - {mine}
    so["notasclaimed"], so["asclaimed"] = bool(held), not held
    other = next((c for c in (counted(*h) for h in held) if c != (passes, fails)), None)
    so["countsother"], so["one"], so["more"] = other is not None, len(held) == 1, len(held) > 1
    met, missed = other or (0, 0)
    is_ |= {"omet": met, "omissed": missed, "oclose": len(values) - met - missed}
    so |= {"omet": met > 0, "onotmet": not met, "omissed": missed > 0, "onotmissed": not missed,
           "oclose": is_["oclose"] > 0, "onotclose": not is_["oclose"]}  # fmt: skip
    so["overlap"] = most < float("inf") and most - limit < 2 * guard
    so["apart"] = not so["overlap"]
    is_ |= {"limit": limit, "guard": guard, "passes": passes, "fails": fails, "n": len(values),
            "close": len(values) - passes - fails, "values": values.tolist()}  # fmt: skip
    is_ |= {"lowest": values.min(), "highest": values.max()} if len(values) else {}
    is_["read"] = len(values)
    so |= {"guard": guard > 0, "noguard": not guard, "fail": fails > 0, "nofail": not fails,
           "close": is_["close"] > 0, "noclose": not is_["close"], "pass": passes > 0,
           "nopass": not passes, "allpass": passes == len(values),
           "allfail": fails == len(values), "allclose": is_["close"] == len(values),
           "nothing": not len(values),
           "some": len(values) > 0, "single": len(values) == 1,
           "several": len(values) > 1, "pair": len(values) == 2,
           "many": len(values) > 2}  # fmt: skip


MAKERS = {
    "over-use": _over_use, "scatter": _scatter, "shot-series": _shots, "ball-paths": _paths,
    "groups": _groups, "rates": _rates, "gauge": _gauge, "limit": _limit,
}  # fmt: skip
