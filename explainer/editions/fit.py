"""Fits a sheet: set large first, then smaller, then with less and less on it, until it fits.

What to leave out, and in which order, is each edition's own table of cuts.  Nothing is ever set
smaller than 11 points, or than 18 in large print, and what was left out is told.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Generic, TypeVar

from explainer.editions.pdf import lay_out
from explainer.editions.press import Setting
from explainer.errors import Problem
from explainer.study.description.study import Settings
from explainer.study.model import Study
from explainer.words.sheets.handout import HandoutWords
from explainer.words.sheets.rule_card import RuleWords

Content = TypeVar("Content")
Path_ = tuple[str | int, ...]

#: Size of running text in points, largest first.
SIZES = (15.0, 14.0, 13.0, 12.0, 11.5, 11.0)
#: The same in large print.
LARGE = (18.0,)
#: In drafts of so many points or more, pictures and headings are set large, too.
ROOMY = 13.0
#: An author's text of more characters is cut short before anything else is left out, and to the
#: second length when all else has been.
LONG, SHORTEST = 420, 140


@dataclass(frozen=True)
class Trim:
    """What did not fit: in words, and where it stands in study.yaml."""

    what: str
    at: Path_ = ()


@dataclass(frozen=True)
class Draft(Generic[Content]):
    """What a sheet might hold, at which size, and what is not on it any more."""

    content: Content
    size: float
    left_out: tuple[Trim, ...] = ()

    @property
    def roomy(self) -> bool:
        """Whether nothing had to give way yet, so that pictures and headings may be large."""
        return self.size >= ROOMY and not self.left_out


#: One kind of cut: ever shorter versions of the content, each with what it lost.
Cuts = Callable[[Content], Iterator[tuple[Content, Trim]]]


Sheet = TypeVar("Sheet", HandoutWords, RuleWords)


def corrections(say: Sheet, keep: int) -> Iterator[tuple[Sheet, Trim]]:
    """The oldest first; how many there were stands there all the same."""
    while len(say.edition.corrections) > keep:
        lost = say.edition.corrections[-1]
        edition = replace(say.edition, corrections=say.edition.corrections[:-1])
        say = replace(say, edition=edition)
        yield say, Trim(f"the correction of {lost.day}", ("corrections",))


def sizes_of(settings: Settings) -> tuple[float, ...]:
    """Sizes of running text to try, largest first; the last is that of the smallest letters."""
    return LARGE if settings.is_large_print else SIZES


def drafts(
    content: Content, cuts: Iterable[Cuts[Content]], sizes: Sequence[float] = SIZES
) -> list[Draft[Content]]:
    """From all of it in large type to as little as there can be."""
    made = [Draft(content, size) for size in sizes]
    for cut in cuts:
        for shorter, lost in cut(made[-1].content):
            last = made[-1]
            made.append(Draft(shorter, sizes[-1], (*last.left_out, lost)))
    return made


def fitted(
    tries: Sequence[Draft[Content]], html: Callable[[Draft[Content]], str], most: int,
    lay_out: Setting = lay_out,
) -> tuple[Draft[Content], bytes] | None:
    """The first draft that takes at most ``most`` pages, and its PDF; None if none does.

    Found by halving, since each draft takes no more room than the one before.  ``lay_out``: what
    sets it on paper.
    """
    first = lay_out(html(tries[0]))
    if first.pages <= most:
        return tries[0], first.pdf()
    best, low, high = None, 1, len(tries) - 1
    while low <= high:
        middle = (low + high) // 2
        laid = lay_out(html(tries[middle]))
        if laid.pages <= most:
            best, high = (tries[middle], laid), middle - 1
        else:
            low = middle + 1
    return None if best is None else (best[0], best[1].pdf())


def clipped(text: str, most: int) -> str:
    """``text``, or as many whole words of it as ``most`` characters hold, with an ellipsis."""
    if len(text) <= most:
        return text
    words = text[:most].rsplit(None, 1)[0] if " " in text[:most] else text[:most]
    return words.rstrip(" ,;:.") + "…"


def warning(study: Study, edition: str, sides: int, cut: Trim) -> Problem:
    """One line for the author: this is not on the sheet."""
    at = next((study.places[cut.at[:n]] for n in range(len(cut.at), 0, -1)
               if cut.at[:n] in study.places), (1, 1))  # fmt: skip
    return Problem(
        "study.yaml", *at, severity="warning", code="left-out",
        found=f"more than {_sides(sides)} of the {edition} {'holds' if sides == 1 else 'hold'}",
        expected="less to say",
        happens=f"the {edition} leaves out {cut.what}",
    )  # fmt: skip


def _sides(n: int) -> str:
    return "the one side" if n == 1 else f"the {n} sides"
