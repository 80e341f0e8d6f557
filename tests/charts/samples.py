"""Figures to draw: easy, ugly and extreme data for every kind, made up by formula."""

from __future__ import annotations

import numpy as np

from explainer.claims.picture import FitLine, ItemLine, MeanPoint, OverUseData, Point, ScatterData
from explainer.claims.verdict import Chain, ChainLink, FigureResult, NumbersTable, Strip
from explainer.study.description.figures import OverUse, Scatter
from explainer.words.said import ClaimWords, FigureWords

EMPTY = NumbersTable((), (), ())


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
    keep = {"matters_from": 6 * scale, **more}
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

CASES = {"over-use": OVER_USE, "scatter": SCATTER}
