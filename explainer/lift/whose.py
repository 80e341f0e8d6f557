"""Which figure caption of a page is whose: each belongs to one chart, or stands with a row of them.

Reports set captions below their figures, plotting libraries titles above.  Chart by chart the
nearest caption may be the next chart's title; so all of a page are given out together, and the
side that leaves fewest charts without one is the page's own.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from explainer.lift.captions import REACH, Caption
from explainer.lift.shapes import PageBox

#: Points by which a caption above counts as further away: below is the more usual place.
_LESS_USUAL = 25.0
#: A caption that stands less than so much further from another leaves it open whose it is.
_OPEN = 1.5
#: What else on a page may have a caption, at most: some pages are made of thousands of images.
_OTHERS = 100


@dataclass(frozen=True)
class Captioned:
    """What a chart is called, what is printed with it, and what only the author can tell."""

    label: str = ""
    text: str = ""
    asks: str = ""


@dataclass(frozen=True)
class _Near:
    caption: int
    above: bool
    gap: float

    @property
    def cost(self) -> float:
        return self.gap + (_LESS_USUAL if self.above else 0.0)


Held = dict[int, _Near]


def captioned(
    charts: Sequence[PageBox], others: Sequence[PageBox], known: Sequence[Caption]
) -> list[Captioned]:
    """The caption of each chart; ``others`` lie on the page too, and may be what one is of."""
    figures = [c for c in known if not c.is_table]
    bodies = [*charts, *others[:_OTHERS]]
    near = [_near(box, bodies, figures) for box in bodies]
    best, second = sorted(
        (_given_out(near, len(charts), above) for above in (False, True)),
        key=lambda held: _worth(held, len(charts)),
    )
    held = [_held(i, charts, near, best) for i in range(len(charts))]
    called = []
    for i, own in enumerate(held):
        if own is None:
            called.append(Captioned())
            continue
        caption = figures[own.caption]
        shared = sum(one is not None and one.caption == own.caption for one in held)
        other = _other(i, len(charts), best, second)
        asks = ""
        if shared > 1:
            asks = f"{caption.label} stands with {shared} charts: which part of it is this one?"
        elif other is not None and figures[other.caption].label != caption.label:
            labels = f"{caption.label} or {figures[other.caption].label}"
            asks = f"{labels}: which stands with this chart?"
        elif _wanted(own, (near[j] for j in range(len(bodies)) if j not in best)):
            asks = f"{caption.label} stands between this chart and something else: whose is it?"
        called.append(Captioned(caption.label, caption.text, asks))
    return called


def _near(
    box: PageBox, bodies: Sequence[PageBox], figures: Sequence[Caption]
) -> list[_Near]:
    """The captions within reach above and below, with nothing of their kind in between."""
    found = []
    for n, caption in enumerate(figures):
        it = caption.box
        if _gap(box, it) > REACH or not _over(box, it):
            continue
        rest = [b for b in (*bodies, *(f.box for f in figures)) if b is not box and b is not it]
        if any(_between(b, box, it) for b in rest):
            continue
        above = it.centre[1] < box.centre[1]
        found.append(_Near(n, above, _gap(box, it)))
    return found


def _gap(one: PageBox, two: PageBox) -> float:
    return max(one.top - two.bottom, two.top - one.bottom, 0.0)


def _over(one: PageBox, two: PageBox) -> bool:
    """Whether one stands over the other, or would if it were higher."""
    return min(one.right, two.right) >= max(one.left, two.left)


def _between(box: PageBox, one: PageBox, two: PageBox) -> bool:
    first, last = sorted((one, two), key=lambda b: b.centre[1])
    return first.bottom <= box.centre[1] <= last.top and _over(box, one) and _over(box, two)


def _given_out(near: Sequence[Sequence[_Near]], charts: int, above: bool) -> Held:
    """A caption for as many as can be, first on the side asked for; charts come before others."""

    def order(one: _Near) -> tuple[bool, float]:
        return one.above != above, one.cost

    wanted = [sorted(own, key=order) for own in near]
    holder: dict[int, int] = {}
    held: Held = {}

    def give(body: int, tried: set[int]) -> bool:
        for one in wanted[body]:
            if one.caption in tried:
                continue
            tried.add(one.caption)
            now = holder.get(one.caption)
            if now is None or give(now, tried):  # its holder takes another, where it can
                holder[one.caption], held[body] = body, one
                return True
        return False

    turns = [i for i, own in enumerate(wanted) if own]
    for body in sorted(turns, key=lambda i: (i >= charts, order(wanted[i][0]))):
        give(body, set())
    return held


def _rank(held: Held, charts: int) -> tuple[int, int, int]:
    """Less is better: charts with a caption, others with one, and all of them on one side."""
    named = sum(i < charts for i in held)
    above = sum(one.above for one in held.values())
    return -named, named - len(held), min(above, len(held) - above)


def _worth(held: Held, charts: int) -> tuple[tuple[int, int, int], float]:
    return _rank(held, charts), sum(one.cost for one in held.values())


def _held(
    i: int, charts: Sequence[PageBox], near: Sequence[Sequence[_Near]], best: Held
) -> _Near | None:
    """The caption of a chart: its own, else one that it shares with the charts in its row."""
    beside = {one.caption for j, one in best.items() if _beside(i, j, charts)}
    return best.get(i) or next((one for one in near[i] if one.caption in beside), None)


def _wanted(own: _Near, others: Iterable[Sequence[_Near]]) -> bool:
    """Whether a caption stands about as near to something that has none."""
    return any(
        one.caption == own.caption and one.gap < _OPEN * own.gap for near in others for one in near
    )


def _beside(one: int, two: int, charts: Sequence[PageBox]) -> bool:
    """Whether two charts stand in one row of the page."""
    if one == two or max(one, two) >= len(charts):
        return False
    a, b = charts[one], charts[two]
    return min(a.bottom, b.bottom) - max(a.top, b.top) > 0.5 * min(a.height, b.height)


def _other(i: int, charts: int, best: Held, second: Held) -> _Near | None:
    """The caption that a chart has where the page is read the other way, if that is as good."""
    if _rank(best, charts) != _rank(second, charts) or i not in second:
        return None
    gaps, more = (sum(one.gap for one in held.values()) for held in (best, second))
    return second[i] if more < _OPEN * gaps else None
