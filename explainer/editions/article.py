"""What a template may show: one frozen view of a study, with nothing left to work out.

Every string is plain text except those named ``…_md`` (the author's Markdown, references to
numbers already filled in) and ``svg`` (drawn by stage 5, trusted).  Templates turn plain text
into HTML with glossary links; they never compute a number or choose a word by its value.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from itertools import groupby, zip_longest

from explainer.charts.board import BoardRow
from explainer.claims.verdict import STRENGTH
from explainer.words.page.cautions import Cautions
from explainer.words.phrases.sandbox import Concealed
from explainer.words.said import (
    AsideWords,
    AuthorWords,
    ClaimWords,
    CorrectionWords,
    EditionWords,
    FigureWords,
)
from explainer.words.sentence import KnownNumbers


@dataclass(frozen=True)
class Drawing:
    """One SVG, and the same in words for a listener and for the PDF."""

    svg: str
    alt: str
    on_white: str = ""
    """The same for white paper, where that differs."""
    narrow: str = ""
    """The same drawn anew for a phone, where a wide one would be too small to read."""


@dataclass(frozen=True)
class OtherSystem:
    """A column of a table in the other system of units: its head and its cells, top to bottom."""

    system: str
    """``inch`` or ``metric``."""
    head: str
    cells: tuple[str, ...]


MOST_FROM = 4
"""The style has a rule for numbers from each of the first so many columns on."""
ACROSS = 132
"""Letters of a table's small type that stand side by side on a page."""
GAP = 3
"""The room between two columns, in the same letters."""
ROWS_BESIDE = 8
"""No stretch of a table that is set beside itself gets shorter than this."""


@dataclass(frozen=True)
class NumberTable:
    """Numbers as text, ready to set: the first column names the row."""

    caption: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    numeric: tuple[bool, ...]
    """Which columns hold numbers (set to the right)."""
    left_out: int = 0
    """Rows not shown on the page; they are in the downloads."""
    other: tuple[OtherSystem | None, ...] = ()
    """Each column in the other system of units, where it has one; empty for no column."""
    file: str = ""
    """Where all of it lies as a CSV, from the page; "" for nowhere."""
    stretch: int = 0
    """Columns after which the table begins again beside itself; 0 where it never does."""

    @property
    def numeric_from(self) -> int:
        """The first column, counted from 1, from which on all hold numbers; 0 for none."""
        words = max((i for i, n in enumerate(self.numeric, start=1) if not n), default=0)
        return words + 1 if words < len(self.numeric) and words < MOST_FROM else 0

    @property
    def on_paper(self) -> NumberTable:
        """The same in as many stretches side by side as a page is wide: read down, then across.

        A long table of three narrow columns leaves most of a page white.
        """
        wide = sum(
            GAP + max(map(len, (head[: -(-len(head) // 2)], *head.split(), *cells)))
            for head, *cells in zip(self.columns, *self.rows, strict=True)
        )
        times = min(ACROSS // wide, len(self.rows) // ROWS_BESIDE)
        if times < 2:
            return self
        deep = -(-len(self.rows) // times)
        none = ("",) * len(self.columns)
        stretches = [self.rows[at : at + deep] for at in range(0, len(self.rows), deep)]
        return replace(
            self,
            columns=self.columns * len(stretches),
            numeric=self.numeric * len(stretches),
            rows=tuple(
                tuple(cell for row in across for cell in row)
                for across in zip_longest(*stretches, fillvalue=none)
            ),
            other=(),
            stretch=len(self.columns),
        )


@dataclass(frozen=True)
class FigureView:
    """A figure and its four explanations, in the order a reader needs them."""

    id: str
    number: int
    words: FigureWords
    say_md: str
    drawing: Drawing
    table: NumberTable
    report_figure: str
    source: str
    claims: tuple[tuple[str, str], ...] = ()
    """(claim id, the claim in plain words) of the claims this figure shows."""
    yardstick: Drawing | None = None
    """A physics curve beside it, labelled as one; its words are ``words.yardstick``."""
    kind: str = ""
    """What kind of figure it is: how to read a kind is said once."""
    asides: tuple[AsideWords, ...] = ()
    ask_first: str = ""
    """The author's question before anything is seen."""
    pair: PairView | None = None
    """Two figures side by side under this one."""


@dataclass(frozen=True)
class PairView:
    """Two figures side by side, drawn anew: on one scale where that is honest."""

    title: str
    scale: str
    first: tuple[str, int, Drawing]
    """Id, number and drawing."""
    second: tuple[str, int, Drawing]


@dataclass(frozen=True)
class WhatIfRow:
    """A claim's verdict if another size counted."""

    margin: str
    code: str
    label: str
    chosen: bool
    """Whether this is the size this page uses."""
    claims_own: bool = False
    """Whether that is the claim's own, what it allows, and not what counts on the whole page."""
    caught: bool = False
    """Whether its label names a catch."""


@dataclass(frozen=True)
class ClaimView:
    """A claim: the report's sentence, the plain one, and what the data say."""

    id: str
    number: int
    code: str
    words: ClaimWords
    report_says: str
    """The sentence as quoted; ``said_by`` names who says it."""
    where: str
    """Where the sentence stands: ``page 4`` or empty."""
    key: bool
    strip: Drawing | None
    figure: tuple[str, int] | None
    """Id and number of the figure that shows it."""
    numbers: tuple[tuple[str, str], ...]
    """(name, value as text): everything the results file holds, with names people know."""
    readings: NumberTable | None = None
    """For a limit: each reading and how it is called."""
    drawn: tuple[str, ...] = ()
    """What there is to see on its strip: ``range``, ``needs``, ``small`` …"""
    readings_in: str = ""
    """The figure whose numbers are these readings with the same calls; empty where none is."""
    said_by: str = "The report"
    of_report: bool = True
    voice: str = "report"
    """Whose claim it is, as in results.json: report, rule, author, lanes, viewers or other."""
    group: str = ""
    """The heading over what this voice says."""
    asides: tuple[AsideWords, ...] = ()
    say_md: str = ""
    """The author's own words about it."""
    what_if: tuple[WhatIfRow, ...] = ()
    """The verdict for smaller and larger margins, smallest first; empty where it has none."""
    outcomes: Drawing | None = None
    """Its range as twenty equally likely answers; their words are ``words.outcomes``."""


@dataclass(frozen=True)
class LinkView:
    """One reason given for the rule."""

    claim: str
    plainly: str
    code: str
    label: str
    therefore: str
    weakest: bool
    whose: str = ""
    """Whose claim it is and whose data it was held against."""
    step_by: str = ""
    """Who takes the step to the next link; empty without one."""


@dataclass(frozen=True)
class RuleView:
    """The rule, and the reasons given for it as a chain."""

    change: str
    facts: tuple[tuple[str, str], ...]
    """(label, value): from when, who is affected, the limit, how to take a reading."""
    drawing: Drawing | None
    links: tuple[LinkView, ...]
    summary: str
    say_md: str = ""
    asides: tuple[AsideWords, ...] = ()
    """The author's own words about it."""


@dataclass(frozen=True)
class QuestionView:
    """What nobody knows yet, why, and what would settle it."""

    ask: str
    why: str
    settled_by: str
    claim: str = ""
    """The claim it is about; empty for one that the author asks."""


@dataclass(frozen=True)
class StatedView:
    """A number the report prints, held against its own data."""

    what: str
    where: str
    stated: str
    recomputed: str
    outcome: str


@dataclass(frozen=True)
class Download:
    """A file beside the page."""

    path: str
    about: str
    size: str = ""


@dataclass(frozen=True)
class ReportView:
    """The report that is explained."""

    title: str
    publisher: str = ""
    date: str = ""
    pages: int | None = None
    link: str = ""
    published: str = ""
    """The date as the report prints it, for machines: 2026-02-11, or a year alone."""


@dataclass(frozen=True)
class AsReadView:
    """A chart of the report as it was read: a heading, what was read, and the points."""

    title: str
    says: str
    drawing: Drawing


#: A claim with the figures told under it.
Story = tuple[ClaimView, tuple[FigureView, ...]]


@dataclass(frozen=True)
class Article:
    """A whole study, ready for any edition."""

    id: str
    title: str
    question: str
    answer: str
    short: tuple[str, ...]
    intro_md: str
    tested: str
    facts: tuple[tuple[str, str], ...]
    """(label, value): what was tested, at a glance."""
    disclaimer: str
    """Said on every page of an invented study; empty otherwise."""
    report: ReportView | None
    figures: tuple[FigureView, ...]
    claims: tuple[ClaimView, ...]
    rule: RuleView | None
    stated: tuple[StatedView, ...]
    stated_says: tuple[str, ...]
    """A sentence for each."""
    questions: tuple[QuestionView, ...]
    advice: tuple[tuple[str, tuple[tuple[str, str, str], ...]], ...]
    """(what to do in Markdown, the claims it rests on as (id, plain words, label))."""
    cautions: Cautions | None
    """What to warn of, None where the study speaks of nothing that hurts or is forbidden."""
    several: str
    methods: tuple[tuple[str, str], ...]
    """(the claim in plain words, how it was worked out)."""
    thresholds: tuple[tuple[str, str], ...]
    left_out: tuple[str, ...]
    """Missing and excluded readings, one sentence each."""
    data_source: str
    hashes: tuple[tuple[str, str], ...]
    """(file, SHA-256 of its content)."""
    downloads: tuple[Download, ...]
    corrections: tuple[CorrectionWords, ...]
    """What was put right, newest first."""
    version: str
    base_address: str = ""
    paper: str = "letter"
    annex: bool = True
    """Whether method, words and tables stand at the end of the PDF."""
    site_title: str = "Explained"
    lang: str = "en-US"
    long: tuple[str, ...] = ()
    """The two-minute version, one paragraph each."""
    updated: str = ""
    """Date of this edition, else of the latest correction, 2026-03-01; empty without either."""
    edition: EditionWords = field(default_factory=EditionWords)
    as_read: tuple[AsReadView, ...] = ()
    """The points of charts as they were read off the report."""
    units_first: str = "inch"
    limits: Mapping[tuple[str, str], int] = field(default_factory=dict)
    """(number as it is told, unit) of every limit -> its digits in the other system of units."""
    numbers: Concealed = field(
        default_factory=lambda: Concealed(KnownNumbers()), compare=False, repr=False
    )
    """What is known of the numbers in our own sentences."""
    """The study as each audience is told it, the page's own audience first."""
    still: str = ""
    """Path of a picture for link previews, beside the page; empty where there is none."""
    unconfirmed: str = ""
    """That guesses of a draft are not confirmed yet; empty where none is left."""
    headline: str = ""
    scope: str = ""
    """How far it carries: going by how many items."""
    """The answer in at most twenty words; empty for ``answer`` in its place."""
    board: Drawing | None = None
    """Every claim on one small picture; None where there is none to show."""
    board_rows: tuple[BoardRow, ...] = ()
    """What that picture shows, for whoever draws it again."""

    voices: str = ""
    """How many claims are not the report's own, and whose; empty where all are."""
    author: AuthorWords = field(default_factory=AuthorWords)

    @property
    def own(self) -> tuple[ClaimView, ...]:
        """The report's own claims: only they count when the page says how it holds up."""
        return tuple(c for c in self.claims if c.of_report)

    @property
    def tally(self) -> tuple[tuple[str, str, int], ...]:
        """(code, label, how many of the report's claims) of every verdict reached, strongest first.
        """
        counted = Counter(c.code for c in self.own)
        labels = {c.code: c.words.label for c in self.claims}
        return tuple((c, labels[c], counted[c]) for c in reversed(STRENGTH) if counted[c])

    @property
    def stories(self) -> tuple[Story, ...]:
        """Each claim with the figures told under it: the ones it names first of all claims."""
        owner = self._owners
        return tuple(
            (c, tuple(f for f in self.figures if owner.get(f.id) == c.id)) for c in self.claims
        )

    @property
    def groups(self) -> tuple[tuple[str, bool, tuple[Story, ...]], ...]:
        """The stories voice by voice: (heading, whether it is the report's, stories)."""
        told = groupby(self.stories, key=lambda story: (story[0].group, story[0].of_report))
        return tuple((heading, own, tuple(stories)) for (heading, own), stories in told)

    @property
    def drawn(self) -> frozenset[str]:
        """What there is to see on any claim's strip, for the legend."""
        return frozenset().union(*(claim.drawn for claim in self.claims if claim.strip))

    @property
    def told_beside(self) -> tuple[tuple[str, str], ...]:
        """(claim id, sentence) of what stands beside the verdicts, each sentence where it is new:
        the same caution belongs to many claims, and paper has no folds to hide it in."""
        first: dict[str, str] = {}
        for claim in self.claims:
            for said in claim.words.beside:
                first.setdefault(said, claim.id)
        return tuple((id, said) for said, id in first.items())

    @property
    def loose(self) -> tuple[FigureView, ...]:
        """The figures that stand under no claim."""
        return tuple(f for f in self.figures if f.id not in self._owners)

    @property
    def first_of_kind(self) -> tuple[str, ...]:
        """Ids of the figures that are the first of their kind, in reading order."""
        seen: dict[str, str] = {}
        for figure in (*(f for _, told in self.stories for f in told), *self.loose):
            seen.setdefault(figure.kind or figure.id, figure.id)
        return tuple(seen.values())

    @property
    def _owners(self) -> dict[str, str]:
        """Figure id to the claim under which it is told."""
        owner: dict[str, str] = {}
        for claim in self.claims:
            if claim.figure is not None:
                owner.setdefault(claim.figure[0], claim.id)
        known = {claim.id for claim in self.claims}
        for figure in self.figures:
            shown = [id for id, _ in figure.claims if id in known]
            if shown:
                owner.setdefault(figure.id, shown[0])
        return owner

    @property
    def description(self) -> str:
        """For search results and link previews: the answer."""
        return self.answer

    @property
    def address(self) -> str:
        """Where the page will be read; empty without a base address."""
        return f"{self.base_address}/{self.id}/" if self.base_address else ""
