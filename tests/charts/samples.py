"""Figures to draw: easy, ugly and extreme data for every kind, made up by formula."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from explainer.claims.figure_data import (
    BallPathsData,
    FitLine,
    GaugeData,
    GaugeReading,
    Group,
    GroupsData,
    ItemLine,
    ItemSeries as ShotRun,
    LimitData,
    LimitReading,
    MeanPoint,
    OneShot,
    OverUseData,
    PathGap,
    PathLine,
    Point,
    Rate,
    RatesData,
    ScatterData,
    ShotSeriesData,
)
from explainer.claims.verdict import Chain, ChainLink, FigureResult, NumbersTable, Strip
from explainer.study.description.figures import (
    BallPaths as BallPathsFigure,
    Gauge as GaugeFigure,
    Groups as GroupsFigure,
    Limit as LimitFigure,
    OverUse,
    Rates as RatesFigure,
    Scatter,
    ShotSeries as ShotSeriesFigure,
)
from explainer.words.said import ClaimWords, FigureWords

EMPTY = NumbersTable((), (), ())
GROUP_NAMES = ("Plover", "Teasel", "Sedge", "Linnet", "Burdock", "Curlew", "Vetch", "Dunlin")


def figure_words(**changes: object) -> FigureWords:
    base: dict[str, object] = {
        "title": "The covers lost texture, most of it early",
        "looking_at": "", "how_to_read": "", "shows": "", "cannot_show": "",
        "description": "Cover roughness of eight balls over sixty games.",
        "x_label": "Games rolled", "y_label": "Cover roughness, microinches",
        "x_ends": ("", ""), "y_ends": ("smoother", "rougher"),
        "note": "8 balls, 56 readings. Bars: 95% range of the mean. Made-up data.",
    }  # fmt: skip
    return FigureWords(**{**base, **changes})  # type: ignore[arg-type]


def means_of(lines: tuple[ItemLine, ...]) -> tuple[MeanPoint, ...]:
    found = []
    for use in sorted({u for line in lines for u in line.use}):
        values = [v for line in lines for u, v in zip(line.use, line.y, strict=True)
                  if u == use and np.isfinite(v)]  # fmt: skip
        if not values:
            continue
        mean, n = float(np.mean(values)), len(values)
        half = 2.3 * float(np.std(values, ddof=1)) / n**0.5 if n > 2 else None
        found.append(
            MeanPoint(use, mean, None if half is None else mean - half,
                      None if half is None else mean + half, n)
        )  # fmt: skip
    return tuple(found)


def with_data(result: FigureResult, data: object) -> FigureResult:
    """The same figure with other data."""
    return replace(result, data=data)


def over_use(
    items: int = 8, checkpoints: tuple[float, ...] = (0, 5, 10, 20, 30, 45, 60), scale: float = 1.0,
    shift: float = 0.0, groups: int = 2, names: str = "{g} {n}", missing: bool = False,
    flat: bool = False, decades: bool = False, **more: object,
) -> FigureResult:  # fmt: skip
    rng = np.random.default_rng(items)
    group_names = ["Plover", "Teasel", "Sedge", "Linnet", "Burdock", "Curlew", "Vetch", "Dunlin"]
    lines = []
    for n in range(items):
        g = n * groups // items
        use = np.array(checkpoints)
        y = 72 + 6 * g - (34 + 3 * rng.standard_normal()) * (1 - np.exp(-use / 18))
        y = y + 2.2 * rng.standard_normal() + 1.1 * rng.standard_normal(len(use))
        y = np.full(len(use), 50.0) if flat else y * scale + shift
        if decades:
            y = 10 ** (5 * rng.random() * np.ones(len(use)) - 0.01 * use)
        if missing and n % 2:
            y[rng.integers(1, len(use) - 1)] = np.nan
        name = names.format(g=group_names[g % 8], n=n + 1)
        lines.append(ItemLine(name, group_names[g % 8], tuple(use.tolist()), tuple(y.tolist())))
    changes = [(line.item, line.y[-1] - line.y[0]) for line in lines if len(lines) > 1]
    own = [c for _, c in changes if np.isfinite(c)]
    keep = {"matters_from": 6 * scale, **more}
    if own:
        half = 2.3 * float(np.std(own)) / len(own) ** 0.5
        middle = float(np.mean(own))
        keep |= {"changes": tuple(c for c in changes if np.isfinite(c[1])),
                 "change": (middle, middle - half, middle + half)}  # fmt: skip
    data = OverUseData(tuple(lines), means_of(tuple(lines)), checkpoints, **keep)  # type: ignore[arg-type]
    figure = OverUse(kind="over-use", id="wear", table="checkpoints", y="texture")
    return FigureResult(figure, data, (), EMPTY, items, items * len(checkpoints))


OVER_USE: dict[str, tuple[FigureResult, FigureWords]] = {
    "plain": (
        over_use(claimed_to=300, limit_low=20),
        figure_words(callouts=(
            ("Two thirds of the whole loss is done after 20 games.", (20, 51)),
            ("Even the roughest ball ends below where the smoothest began.", (60, 50)),
        )),
    ),
    "no claim past the data": (over_use(names="B{n}"), figure_words(
        callouts=(("Two thirds of the whole loss is done after 20 games.", (20, 51)),))),
    "one ball": (over_use(1, groups=1), figure_words(note="1 ball. Made-up data.")),
    "thirty balls": (over_use(30, groups=3, names="{g} no. {n}"), figure_words(
        callouts=(("The spread is as wide at the end as at the start.", (45, 50)),))),
    "identical": (over_use(flat=True), figure_words()),
    "long names": (
        over_use(6, names="The {g} with the long name, serial number {n}"),
        figure_words(
            y_label="Cover roughness by the stylus, mean of five traces across the track, "
            "in microinches",
            x_label="Games rolled since the last sanding, counted by the bowler and not by "
            "the house",
            x_ends=("freshly sanded this morning", "rolled for a whole season"),
            title="A very long title that says a great deal about what happened to the cover "
            "of each ball while it was being used",
            callouts=(
                (
                    "A remark that takes rather more words than a remark should, but must still "
                    "find its place without hiding the lines.",
                    (30, 44),
                ),
            ),
        ),
    ),
    "negative": (over_use(scale=-1, shift=20, limit_high=-100), figure_words()),
    "missing": (over_use(missing=True), figure_words(
        callouts=(("No reading here.", (30, float("nan"))),))),
    "five decades": (over_use(7, decades=True, matters_from=None), figure_words()),
    "two checkpoints, tiny": (
        over_use(5, (0, 1), scale=1e-4, groups=1, names="B{n}"), figure_words()),
    "eight groups": (over_use(16, groups=8), figure_words()),
}  # fmt: skip


def scatter(
    items: int = 8, joined: bool = True, groups: int = 2, scale: float = 1.0, flat: bool = False,
    fits: bool = True, names: str = "{g} {n}", decades: bool = False,
) -> FigureResult:  # fmt: skip
    rng = np.random.default_rng(items + 5)
    group_names = ["Plover", "Teasel", "Sedge", "Linnet"]
    points, means = [], []
    for n in range(items):
        g = n * groups // items
        name = names.format(g=group_names[g % 4], n=n + 1)
        start = 45 + 30 * rng.random()
        use = np.array([0.0, 10, 30, 60])
        x = start - 22 * (1 - np.exp(-use / 20)) + rng.standard_normal(4)
        y = 6 + 0.14 * start - 0.02 * (start - x) + 0.25 * rng.standard_normal(4)
        if flat:
            x, y = np.full(4, 50.0), np.full(4, 10.0)
        if decades:
            x, y = 10 ** (start / 12), 10 ** (y / 3)
            x, y = x * np.linspace(1, 0.3, 4), y * np.ones(4)
        x, y = x * scale, y * scale
        points += [Point(name, group_names[g % 4], float(u), float(a), float(b))
                   for u, a, b in zip(use, x, y, strict=True)]  # fmt: skip
        means.append(Point(name, group_names[g % 4], None, float(x.mean()), float(y.mean())))
    mx, my = np.array([p.x for p in means]), np.array([p.y for p in means])
    between = within = None
    if fits and items > 2 and not flat and not decades:
        slope = float(np.polyfit(mx, my, 1)[0])
        between = FitLine(
            slope, float(my.mean() - slope * mx.mean()), float(mx.min()), float(mx.max())
        )
        if joined:
            own = 0.02
            within = FitLine(
                own,
                float(my.mean() - own * mx.mean()),
                float(mx.mean() - 12 * scale),
                float(mx.mean() + 12 * scale),
            )
    data = ScatterData(tuple(points), tuple(means), between, within, joined)
    figure = Scatter(
        kind="scatter", id="bite", table="checkpoints", x="texture", y="hook", join=joined
    )
    return FigureResult(figure, data, (), EMPTY, items, items * 4)


BITE = {
    "title": "Rougher balls hook more; the same ball worn smooth hardly hooks less",
    "x_label": "Cover roughness, microinches", "y_label": "Total hook, boards",
    "x_ends": ("smoother", "rougher"), "y_ends": ("straighter", "hooks more"),
    "note": "8 balls, each at 0, 10, 30 and 60 games. Made-up data.",
}  # fmt: skip
SCATTER: dict[str, tuple[FigureResult, FigureWords]] = {
    "joined": (scatter(), figure_words(**BITE, callouts=(
        ("From ball to ball, rougher means more hook.", (62, 15)),
        ("But use moves a ball along, not down.", (45, 13.2)),
    ))),
    "means only": (scatter(joined=False), figure_words(**BITE)),
    "one item": (scatter(1, groups=1), figure_words(**BITE)),
    "thirty": (scatter(30, groups=3, names="{g} no. {n}"), figure_words(**BITE, callouts=(
        ("From ball to ball, rougher means more hook.", (62, 15)),))),
    "thirty means": (
        scatter(30, joined=False, groups=3, names="{g} no. {n}"), figure_words(**BITE)),
    "a great many": (scatter(25_000), figure_words(**BITE)),
    "identical": (scatter(flat=True), figure_words(**BITE)),
    "negative, long names": (
        scatter(5, scale=-1000, names="{g} with the long name, serial {n}"),
        figure_words(**BITE)),
    "five decades": (scatter(decades=True), figure_words(**BITE)),
}  # fmt: skip


def strip(value: float | None = -21.4, low: float | None = -25.1, high: float | None = -17.7,
          claim: tuple[float | None, float | None] | None = (None, 0.0),
          small: tuple[float, float] | None = (-6, 6), null: float | None = 0.0,
          unit: str = "microinches", **more: object) -> Strip:  # fmt: skip
    ends = {"less_is": "smoother", "more_is": "rougher", **more}
    return Strip(value, low, high, claim, small, null, unit, **ends)  # type: ignore[arg-type]


STRIPS: dict[str, Strip] = {
    "backed": strip(),
    "can't tell": strip(-1.1, -5.2, 3.3, small=(-1, 1), unit="boards"),
    "no change needed": strip(0.4, -2.1, 2.9, (-6, 6), (-6, 6)),
    "small but sure": strip(-2.0, -2.6, -1.4),
    "against": strip(9.1, 6.6, 11.6),
    "association": strip(0.62, -0.1, 0.91, (0.0, None), None, 0.0, "r", less_is="", more_is=""),
    "not strong": strip(0.3, -0.2, 0.66, (-0.7, 0.7), None, 0.0, "r"),
    "huge": strip(2.4e8, 1.1e8, 3.7e8, (0.0, None), (-1, 1)),
    "tiny": strip(2.4e-6, -1.1e-6, 3.7e-6, (0.0, None), (-1, 1)),
    "no number": strip(None, None, None),
    "nothing at all": strip(None, None, None, None, None, None, ""),
    "only an estimate": strip(-9.0, None, None),
    "limit": strip(None, None, None, (20.0, None), None, 20.0, measured=(23.0, 61.0)),
}


def claim_words(**changes: str) -> ClaimWords:
    base: dict[str, object] = {
        "label": "Backed by this data", "plainly": "Sanded balls go smooth as you bowl.",
        "says": "", "because": (), "settle": "",
        "strip": "The whole likely range, 18 to 25 microinches less, lies where the claim says.",
        "estimate": "", "method": "",
    }  # fmt: skip
    return ClaimWords(**{**base, **changes})  # type: ignore[arg-type]


CHAIN = Chain("not-tested", "worn-hooks-less", (
    ChainLink("rough-hooks-more", "backed", "what makes a cover rough makes it hook", False),
    ChainLink("texture-falls", "leans", None, False),
    ChainLink("worn-hooks-less", "not-tested", None, True),
    ChainLink("limit-helps", "against", None, False),
    ChainLink("fair", "cannot-tell", None, False),
))  # fmt: skip
CHAIN_WORDS = {
    "rough-hooks-more": claim_words(
        plainly="A rougher ball hooks more than a smoother one on the same oil."
    ),
    "texture-falls": claim_words(label="Leans this way"),
    "worn-hooks-less": claim_words(
        plainly="A ball that has gone smooth hooks less, long after the sixty games that were "
        "bowled here, and on every pattern.",
        label="Not tested in this study",
    ),
    "limit-helps": claim_words(
        plainly="A limit keeps the lanes the same for all.", label="The data point the other way"
    ),
    "fair": claim_words(plainly="It is fairer.", label="Can’t tell from this data"),
}


def runs_of(
    shots: tuple[OneShot, ...], run: int, ends: int
) -> tuple[tuple[float, float, float], ...]:
    """Averages of ``run`` shots in a row between the ends."""
    own = shots[ends : len(shots) - ends]
    cut = [own[i : i + run] for i in range(0, len(own) - run + 1, run)]
    return tuple((c[0].order, c[-1].order, float(np.nanmean([s.y for s in c]))) for c in cut)


def shot_series(
    items: int = 2, shots: int = 60, flat: bool = False, scale: float = 1.0,
    window: int | None = 10,
    decades: bool = False, gaps: bool = False,
) -> FigureResult:  # fmt: skip
    rng = np.random.default_rng(shots + items)
    found = []
    for n in range(items):
        order = np.arange(1.0, shots + 1)
        y = 10.5 + n - 0.03 * order * 60 / shots + 0.8 * rng.standard_normal(shots)
        if shots > 5:
            y[shots // 3] += 5
        if flat:
            y = np.full(shots, 10.0)
        if decades:
            y = 10 ** (rng.random(shots) * 5)
        y = y * scale
        if gaps:
            y[::4] = np.nan
        good = y[np.isfinite(y)]
        slope = -0.03 * scale * 60 / shots if not (flat or decades) else 0.0
        many = [OneShot(float(o), float(v), bool(shots > 5 and i == shots // 3))
                for i, (o, v) in enumerate(zip(order, y, strict=True))]  # fmt: skip
        found.append(ShotRun(
            f"{GROUP_NAMES[n % 2]} {n + 1}", GROUP_NAMES[n % 2], tuple(many),
            float(np.median(good)),
            slope, float(np.median(good) - slope * np.median(order)),
            float(np.nanmean(y[:window])) if window else None,
            float(np.nanmean(y[-window:])) if window else None,
        ))  # fmt: skip
    run = 10 if shots <= 600 else 10_000
    if shots >= 2 * run:
        found = [replace(one, runs=runs_of(one.shots, run, window or 0)) for one in found]
    data = ShotSeriesData(tuple(found), window, window, "shot", run if shots >= 2 * run else 0)
    figure = ShotSeriesFigure(kind="shot-series", id="shots", table="shots", y="hook")
    return FigureResult(figure, data, (), EMPTY, items, items * shots)


SHOTS = {
    "title": "Nothing moved over sixty shots that a bowler would notice",
    "x_label": "Shot", "y_label": "Total hook, boards", "y_ends": ("straighter", "hooks more"),
    "note": "2 balls, 60 shots each. Bars: ten in a row. Made-up data.",
}  # fmt: skip
SHOT_SERIES = {
    "two balls": (
        shot_series(),
        figure_words(**SHOTS, callouts=(("One shot stands apart; it stays in.", (21, 15.2)),)),
    ),
    "one ball": (shot_series(1), figure_words(**SHOTS)),
    "six balls, gaps": (shot_series(6, gaps=True), figure_words(**SHOTS)),
    "thirty balls": (shot_series(30, window=None), figure_words(**SHOTS)),
    "identical": (shot_series(flat=True), figure_words(**SHOTS)),
    "one shot": (shot_series(1, 1, window=None), figure_words(**SHOTS)),
    "many shots": (shot_series(1, 100_000), figure_words(**SHOTS)),
    "negative": (shot_series(scale=-1000), figure_words(**SHOTS)),
    "five decades": (shot_series(decades=True, window=None), figure_words(**SHOTS)),
}


def ball_paths(lines: int = 2, hand: str = "right", items: int = 4, band: bool = True,
               off: float = 0.0, gaps: bool = False) -> FigureResult:  # fmt: skip
    rng = np.random.default_rng(lines)
    feet = np.arange(0.0, 60.1, 5.0)
    means, own = [], []
    for n in range(lines):

        def path(shift: float, n: int = n) -> np.ndarray:
            turn = 40 + 3 * n
            out = 18 - 9 * np.clip(feet / turn, 0, 1) + shift + off
            return out + np.where(feet > turn, 0.024 * (feet - turn) ** 2 * (1 - 0.15 * n), 0)

        board = path(0)
        if gaps:
            board = np.where(feet == 25, np.nan, board)
        name = ["0 games", "60 games", "120 games", "the long way round, rolled twice"][n % 4]
        half = 1.2 + feet / 60
        means.append(PathLine(
            name, tuple(feet.tolist()), tuple(board.tolist()),
            tuple((board - half).tolist()) if band else (None,) * len(feet),
            tuple((board + half).tolist()) if band else (None,) * len(feet),
            items, float(feet[int(np.nanargmin(board))]), 5.0,
        ))  # fmt: skip
        for k in range(items):
            own.append((f"B{k}", name, tuple(feet.tolist()),
                        tuple((path(rng.standard_normal() * 1.3)).tolist())))  # fmt: skip
    figure = BallPathsFigure(kind="ball-paths", id="paths", table="paths", hand=hand)  # type: ignore[arg-type]
    first, last = means[0], means[-1]
    gaps_of = tuple(
        PathGap(d, b - a, b - a - 1.5, b - a + 1.5)
        for d, a, b in zip(first.distance, first.board, last.board, strict=True)
        if lines > 1 and np.isfinite(b - a)
    )
    data = BallPathsData(tuple(means), tuple(own), hand, gaps_of)
    return FigureResult(figure, data, (), EMPTY, items, 1)


PATHS = {
    "title": "The worn ball turns later and comes back less",
    "x_label": "Feet down the lane", "y_label": "Board, counted from the bowler’s side",
    "y_ends": ("", ""), "note": "4 balls, mean path with its 95% band. Made-up data.",
}  # fmt: skip
BALL_PATHS = {
    "two": (
        ball_paths(),
        figure_words(**PATHS, callouts=(("Five boards apart at the pins.", (60, 16)),)),
    ),
    "left-handed": (ball_paths(hand="left"), figure_words(**PATHS)),
    "one, no band, gap": (ball_paths(1, band=False, gaps=True), figure_words(**PATHS)),
    "four": (ball_paths(4, items=30), figure_words(**PATHS)),
    "off the lane": (ball_paths(off=-12), figure_words(**PATHS)),
}


def groups(sizes: tuple[int, ...] = (4, 4), paired: bool = False, flat: bool = False,
           scale: float = 1.0, long: bool = False,
           decades: bool = False) -> FigureResult:  # fmt: skip
    rng = np.random.default_rng(len(sizes))
    found = []
    for g, size in enumerate(sizes):
        values = 50 + 8 * (g % 3) + 4 * rng.standard_normal(size)
        values = np.full(size, 50.0) if flat else values * scale
        if decades:
            values = 10 ** (rng.random(size) * 5)
        name = GROUP_NAMES[g % 8] + (" with the cover sanded to five hundred grit" if long else "")
        first = 1 if paired else 1 + sum(sizes[:g])
        mean = float(values.mean())
        half = float(values.std(ddof=1)) * 1.5 if size > 2 else None
        found.append(Group(
            f"{name} {g // 8 or ''}".strip(),
            tuple((f"B{first + k}", float(v)) for k, v in enumerate(values)),
            mean, None if half is None else mean - half, None if half is None else mean + half,
        ))  # fmt: skip
    figure = GroupsFigure(kind="groups", id="groups", table="t", y="texture", by="model")
    return FigureResult(
        figure, GroupsData(tuple(found), 3 * scale, paired), (), EMPTY, sum(sizes), 9
    )


SIDE = {
    "title": "Teasel starts rougher than Plover",
    "x_label": "",
    "note": "8 balls. Made-up data.",
}
GROUPS = {
    "two": (groups(), figure_words(**SIDE, callouts=(("Two groups of four.", (0.3, 50)),))),
    "paired": (groups((8, 8), paired=True), figure_words(**SIDE)),
    "long names": (groups((3, 3, 3, 3), long=True), figure_words(**SIDE)),
    "one item": (groups((1,)), figure_words(**SIDE)),
    "identical": (groups((30, 5), flat=True), figure_words(**SIDE)),
    "twelve groups": (groups((5,) * 12), figure_words(**SIDE)),
    "negative, big": (groups((4, 30), scale=-1e6), figure_words(**SIDE)),
    "five decades": (groups((6, 6), decades=True), figure_words(**SIDE)),
}


def rates(conditions: int = 2, people: int = 5, sure: bool = False) -> FigureResult:
    rng = np.random.default_rng(people)

    def rate(name: str, k: int, n: int) -> Rate:
        p = k / n
        z = 1.96
        centre = (p + z * z / (2 * n)) / (1 + z * z / n)
        half = z / (1 + z * z / n) * float(np.sqrt(p * (1 - p) / n + z * z / (4 * n * n)))
        return Rate(name, k, n, p, max(0.0, centre - half), min(1.0, centre + half))

    names = ["fresh cover", "worn cover", "worn and polished", "another"][:conditions]
    pooled = tuple(rate(n, 200 if sure else 120 - 14 * i, 200) for i, n in enumerate(names))
    within = tuple(
        (f"Bowler {chr(65 + w)}", tuple(rate(n, int(rng.integers(14, 30)), 40) for n in names))
        for w in range(people)
    )
    figure = RatesFigure(kind="rates", id="rates", table="t", successes="k", attempts="n", by="c")
    return FigureResult(figure, RatesData(pooled, within), (), EMPTY, people, people * conditions)


RATE = {"title": "Strikes came about as often", "y_label": "Strikes, per cent of first balls",
        "x_label": "", "y_ends": ("fewer", "more"),
        "note": "5 bowlers, 400 first balls. Made-up data."}  # fmt: skip
RATES = {
    "two": (rates(), figure_words(**RATE, callouts=(("The ranges overlap widely.", (0.5, 56)),))),
    "three, no people": (rates(3, 0), figure_words(**RATE)),
    "thirty people": (rates(2, 30), figure_words(**RATE)),
    "all of them": (rates(2, 0, sure=True), figure_words(**RATE)),
}


def gauge(parts: int = 5, operators: int = 3, repeats: int = 3, flat: bool = False) -> FigureResult:
    rng = np.random.default_rng(parts)
    found = [
        GaugeReading(f"part {p + 1}", f"Operator {chr(65 + o)}", r + 1,
                     50.0 if flat else 50 + 4 * p % 11 + o + float(rng.standard_normal()))
        for p in range(parts) for o in range(operators) for r in range(repeats)
    ]  # fmt: skip
    data = GaugeData(
        tuple(found), tuple(f"part {p + 1}" for p in range(parts)),
        tuple(f"Operator {chr(65 + o)}" for o in range(operators)), 24.0, None if flat else 3.1,
    )  # fmt: skip
    figure = GaugeFigure(kind="gauge", id="g", table="t", y="texture", operator="o", repeat="r")
    return FigureResult(figure, data, (), EMPTY, parts, len(found))


GAUGES = {"title": "The gauge tells one cover from another", "x_label": "Part",
          "note": "5 parts, 3 operators, 3 readings each. Bars: means. Made-up data."}  # fmt: skip
GAUGE = {
    "usual": (gauge(), figure_words(**GAUGES)),
    "one of each": (gauge(1, 1, 1), figure_words(**GAUGES)),
    "thirty parts": (gauge(30, 2, 2), figure_words(**GAUGES)),
    "identical": (gauge(flat=True), figure_words(**GAUGES)),
}


def limit(items: int = 8, at_least: float | None = 20.0, at_most: float | None = None,
          guard: float = 2.6, names: str = "{g} {n}",
          flat: bool = False) -> FigureResult:  # fmt: skip
    rng = np.random.default_rng(items)
    found = []
    for n in range(items):
        value = 20.0 if flat else float(14 + 16 * rng.random())
        edge = at_least if at_least is not None else at_most
        assert edge is not None
        gap = value - edge if at_least is not None else edge - value
        call = "too-close" if abs(gap) < guard else ("pass" if gap > 0 else "fail")
        found.append(LimitReading(names.format(g=GROUP_NAMES[n % 2], n=n + 1), value, call, 0.5))
    figure = LimitFigure(
        kind="limit", id="limit", table="t", y="texture", at_least=at_least, at_most=at_most
    )
    return FigureResult(
        figure, LimitData(tuple(found), at_least, at_most, guard), (), EMPTY, items, items
    )


LIMITS = {"title": "Two of eight would be too close to call", "x_label": "Balls, smoothest first",
          "note": "8 balls after 60 games. Made-up data."}  # fmt: skip
LIMIT = {
    "usual": (
        limit(),
        figure_words(**LIMITS, callouts=(("A second reading could go either way.", (3, 20)),)),
    ),
    "at most": (limit(at_least=None, at_most=25.0), figure_words(**LIMITS)),
    "one": (limit(1), figure_words(**LIMITS)),
    "thirty, long names": (
        limit(30, names="The {g} with serial number {n}"),
        figure_words(**LIMITS),
    ),
    "identical": (limit(flat=True), figure_words(**LIMITS)),
    "no guard": (limit(guard=0.0), figure_words(**LIMITS)),
}

CASES = {
    "over-use": OVER_USE,
    "scatter": SCATTER,
    "shot-series": SHOT_SERIES,
    "ball-paths": BALL_PATHS,
    "groups": GROUPS,
    "rates": RATES,
    "gauge": GAUGE,
    "limit": LIMIT,
}
