"""What stage 4 hands on: every sentence a page, sheet, card or script shows, ready to set.

Fields named ``…_html`` are safe HTML with glossary links; all others are plain text.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class FigureWords:
    """A figure's sentences.  ``title`` is its answer, at the strength of its verdict."""

    title: str
    looking_at: str
    how_to_read: str
    shows: str
    cannot_show: str
    description: str
    """For a listener: what the figure shows, in a few sentences."""
    x_label: str
    y_label: str
    x_told: float = 1.0
    y_told: float = 1.0
    """How many of the unit in an axis's label make one of the data's own."""
    x_unit: str = ""
    y_unit: str = ""
    """What stands behind a number of an axis: ``games``, ``%``."""
    x_ends: tuple[str, str] = ("", "")
    """Words for the low and the high end of an axis: ("smoother", "rougher")."""
    y_ends: tuple[str, str] = ("", "")
    callouts: tuple[tuple[str, tuple[float, float]], ...] = ()
    """Short texts and the point each one speaks of, in the figure's units."""
    note: str = ""
    """Said on the figure itself: n, made-up data, what was thinned."""
    lines: tuple[str, ...] = ()
    """Short names for the lines of ``ball-paths``, in their order: ``start``, ``game 60``."""
    stories: tuple[tuple[str, str, str], ...] = ()
    """(item, what it did, how that stands to the others and the gauge) of each item followed."""
    walk: tuple[str, ...] = ()
    """Its items one by one, where the author asks for that."""
    yardstick: FigureWords | None = None
    """The words of a physics curve beside it; ``shows`` says what it is and is not."""


@dataclass(frozen=True)
class GuessWords:
    """What a reader is asked before a claim is answered."""

    ask: str
    choices: tuple[tuple[str, str], ...]
    """(the guess, how the answer lies to it), lowest first; none where the author asks."""


@dataclass(frozen=True)
class ClaimWords:
    """A claim's sentences."""

    label: str
    """The verdict's label: Backed by this data."""
    plainly: str
    says: str
    """What the data say about it, with n and range; never more than the verdict."""
    because: tuple[str, ...]
    """One sentence per reason code."""
    settle: str
    """What would settle it; empty where nothing is open."""
    strip: str
    """The range strip in words, for a listener."""
    estimate: str
    """The estimate with its unit and range, short."""
    method: str
    brief: str = ""
    """A name of a few words, for a row of a picture; empty where nothing short is true."""
    held: str = ""
    """What holds the verdict back, in a few words for its strip; empty where nothing does."""
    short: str = ""
    """Where the data are against it because what they show is too small, or where too few were read
    to test it: that, in a few words."""
    beside: tuple[str, ...] = ()
    """Other answers and cautions that stand beside the verdict without holding it back."""
    outcomes: tuple[str, ...] = ()
    """Its range as twenty equally likely answers, in sentences; empty where there are none."""
    guess: GuessWords | None = None
    """None where the author does not ask first."""
    catch: str = ""
    """The one of ``because`` that has to stand beside what the data say: where the range alone
    would decide and this takes it back, or where a few words on the strip cannot say it; else
    empty."""
    explained: str = ""
    """``plainly`` with a plain phrase in brackets behind trade words, for a page."""
    whose: str = ""
    """Whose claim it is and whose numbers it was held against, in a sentence."""
    which: str = ""
    """What was read for it, where that is not what was read for the claim before; else empty."""

    @property
    def note(self) -> str:
        """What stands behind the label and under the strip: what holds it back, that what the
        data show is too small, or that too few were read; empty where none is so."""
        return f"the catch: {self.held}" if self.held else self.short


@dataclass(frozen=True)
class PairWords:
    """Two figures side by side: what changes from the first to the second, and their scale."""

    title: str
    scale: str


@dataclass(frozen=True)
class AsideWords:
    """What the author adds, told as what it is: a comparison, a guess, an opinion."""

    kind: str
    """``like``, ``guess`` or ``opinion``."""
    lead: str
    """What it is, before it: that it is no finding."""
    said_md: str
    """In the author's Markdown, references filled in."""
    stops_md: str = ""
    """Where a comparison stops being true; empty where the author does not say."""


@dataclass(frozen=True)
class AuthorWords:
    """What the author says around the findings; each part empty where nothing is said."""

    hook: str = ""
    """The first words."""
    question: str = ""
    """Put at the start, and answered at the end."""
    answer: str = ""
    """To the running question: what a claim's verdict lets one say, or the study's answer."""
    answered_by: str = ""
    """The claim that answers it; empty for the study's answer and for the author's."""
    own_answer: str = ""
    """The author's own answer to it, in Markdown; then ``answer`` is empty."""
    outro: str = ""
    next: str = ""
    """What comes next."""
    request: str = ""
    """The one thing asked of whoever listens."""
    asides: tuple[AsideWords, ...] = ()
    """About the whole study."""

    @property
    def last(self) -> bool:
        """Whether there is anything to say at the end."""
        said = (self.question, self.own_answer, self.outro, self.next, self.request, self.asides)
        return any(map(bool, said))


@dataclass(frozen=True)
class CorrectionWords:
    """One thing that was put right."""

    date: str
    """As YYYY-MM-DD."""
    day: str
    says: str
    """What was wrong, what stood there, who found it."""
    changed: tuple[str, ...] = ()
    """One sentence for each verdict that was another before."""

    @property
    def whole(self) -> str:
        return " ".join((self.says, *self.changed))


@dataclass(frozen=True)
class EditionWords:
    """Which edition this is; ``day`` and ``corrected`` as YYYY-MM-DD, empty where unknown."""

    day: str = ""
    corrected: str = ""
    line: str = ""
    stale: str = ""
    """To whoever holds an older one; empty without corrections."""
    corrections: tuple[CorrectionWords, ...] = ()
    """Newest first."""


@dataclass(frozen=True)
class StudyWords:
    """The study's own sentences."""

    answer: str
    short: tuple[str, ...]
    """The 30-second version, one paragraph each."""
    long: tuple[str, ...]
    """The two-minute version."""
    tested: str
    claims: Mapping[str, ClaimWords] = field(default_factory=dict)
    figures: Mapping[str, FigureWords] = field(default_factory=dict)
    pairs: Mapping[str, PairWords] = field(default_factory=dict)
    """By the figure under which two are set side by side."""
    chain: str = ""
    questions: tuple[tuple[str, str, str], ...] = ()
    """(the question, why it is open, what would settle it)"""
    questioned: tuple[str, ...] = ()
    """The claim that each question is about; empty for one that the author asks."""
    stated: tuple[str, ...] = ()
    several: str = ""
    """How many claims were tested at once, and how many survive the correction."""
    disclaimer: str = ""
    """Said on every page of an invented study."""
    unconfirmed: str = ""
    """Said on every page of a draft whose guesses nobody has confirmed yet."""
    headline: str = ""
    scope: str = ""
    """How far the headline carries: going by how many items; empty without a claim."""
    """The answer in at most twenty words, for the top of the page."""
    edition: EditionWords = field(default_factory=EditionWords)
    voices: str = ""
    """How many claims are not the report's own, and whose; empty where all are."""
    author: AuthorWords = field(default_factory=AuthorWords)
    reach: str = ""
    """How far the readings go, in the listener's units; also a part of ``tested``."""
