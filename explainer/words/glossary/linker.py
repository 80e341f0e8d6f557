"""Finds the glossary's terms in sentences and in an author's Markdown, and links them safely.

A term is linked at its first use in each section, longest name first, never inside a link,
code, a heading or a quotation.  An author can say which words are meant:

    [[track]]                        this is the term, whatever the words around it
    [[the ring of oil = track]]      these words stand for the term
    [[track =]]                      just a word: no link

Markdown is CommonMark with tables.  HTML in it is shown as text, an image as its alt text, and
a link to anything but https, http, mailto or a place on the same page as its words alone.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from html import escape
from itertools import chain, groupby
from typing import Any

from markdown_it import MarkdownIt
from markdown_it.renderer import RendererHTML
from markdown_it.rules_core import StateCore
from markdown_it.token import Token
from markdown_it.utils import EnvType, OptionsDict

from explainer.words.glossary.entries import Entry, Glossary
from explainer.words.glossary.entry import PIECE, key, plural

# Finds the glossary's terms in running text: one walk over the words, longest name first.

#: How many words either side of an everyday word are searched for one that settles its sense.
NEAR = 10

_GAP = re.compile(r"%?\s+|[-‐‑–&]|")
_JOINED_BEFORE = re.compile(r"[^\W_][-‐‑.]\Z|[_{@]\Z")
_JOINED_AFTER = re.compile(r"[-‐‑.](?=[^\W_])|[_}@]")
_STOP = re.compile(r"[.!?;:][\"”’)]*\s")
_COUNT_WORDS = (
    "one two three four five six seven eight nine ten eleven twelve first second third fourth "
    "fifth sixth seventh eighth ninth tenth eleventh twelfth twentieth half"
)
_COUNTS = frozenset(_COUNT_WORDS.split())


@dataclass(frozen=True)
class Hit:
    """A term in a text: ``text[start:end]`` names ``entry``."""

    start: int
    end: int
    entry: Entry


@dataclass(frozen=True)
class _Form:
    """One way to write an entry's name; ``exact`` are its words in capitals, by position."""

    entry: Entry
    exact: tuple[tuple[int, str], ...]
    guarded: bool
    """Whether the words around it must bear out that the trade sense is meant."""
    guarded_apart: bool
    """The same, where a hyphenated name is written as separate words."""
    shared: bool = False
    """Whether the name means something else first."""


_Pieces = list[tuple[int, int, str]]
_Node = dict[str, Any]  # word -> node; under "" the forms that end here, the owner's first


class TermFinder:
    """All names of a glossary as one tree of words, so that a text is walked once."""

    def __init__(self, glossary: Glossary) -> None:
        self._root: _Node = {}
        names = [(e, n) for e in glossary.entries for n in e.names]
        for entry, name in names:
            self._plant(entry, name)
        for entry, name in names:  # after all names: a real name beats a made-up plural
            self._plant(entry, plural(name))
        for entry in glossary.entries:
            for name in entry.shares:
                self._plant(entry, name, shared=True)
                self._plant(entry, plural(name), shared=True)
        self._context = glossary.context
        self._near = {
            e.slug: frozenset(w for n in e.only_near for w in (n.casefold(), plural(n.casefold())))
            for e in glossary.entries
            if e.only_near
        }
        self._never_after = {
            e.slug: tuple(f" {key(phrase)}" for phrase in e.never_after)
            for e in glossary.entries
            if e.never_after
        }
        self._never_before = {
            e.slug: tuple(f"{key(phrase)} " for phrase in e.never_before)
            for e in glossary.entries
            if e.never_before
        }

    def _plant(self, entry: Entry, name: str, shared: bool = False) -> None:
        words = PIECE.findall(name)
        if key(name) in {key(never) for never in entry.never}:
            return
        node = self._root
        for word in words:
            node = node.setdefault(_folded(word), {})
        exact = tuple((i, w) for i, w in enumerate(words) if w.isupper())
        everyday = bool(entry.only_near or entry.never_after or entry.never_before)
        guarded = shared or (everyday and len(words) == 1)
        form = _Form(entry, exact, guarded, everyday and "-" in name, shared)
        forms = node.setdefault("", [])
        if not forms or (shared and all(f.entry is not entry for f in forms)):
            forms.append(form)

    def find(self, text: str) -> Iterator[Hit]:
        """The terms of ``text`` in order, never overlapping, longest first at each place."""
        pieces = [(m.start(), m.end(), _folded(m.group())) for m in PIECE.finditer(text)]
        root = self._root
        i = 0
        while i < len(pieces):
            node = root.get(pieces[i][2])
            length = self._longest(text, pieces, i, node) if node is not None else None
            if length is None:
                i += 1
                continue
            count, forms = length
            start, end = pieces[i][0], pieces[i + count - 1][1]
            entry = self._meant(text, pieces, i, count, forms)
            if entry is not None:
                yield Hit(start, end, entry)
            i += count

    def _longest(
        self, text: str, pieces: _Pieces, i: int, node: _Node
    ) -> tuple[int, list[_Form]] | None:
        """How many words from ``i`` make the longest name that is really written there."""
        if _JOINED_BEFORE.search(text, max(0, pieces[i][0] - 2), pieces[i][0]):
            return None
        best: tuple[int, list[_Form]] | None = None
        last = i
        while True:
            if not _JOINED_AFTER.match(text, pieces[last][1]):
                forms = [
                    form
                    for form in node.get("", ())
                    if all(_spelled_so(text, pieces[i + at], word) for at, word in form.exact)
                ]
                if forms:
                    best = (last - i + 1, forms)
            last += 1
            if last == len(pieces) or (following := node.get(pieces[last][2])) is None:
                return best
            if not _GAP.fullmatch(text, pieces[last - 1][1], pieces[last][0]):
                return best
            node = following

    def _meant(
        self, text: str, pieces: _Pieces, i: int, count: int, forms: list[_Form]
    ) -> Entry | None:
        """Which of the entries that go by a name is meant here, None where none surely is.

        Of several, the one that more of its own words stand around in the same sentence; between
        two that are as likely, the study's own terms decide, and where they do not, nobody does.
        """
        first = forms[0]
        if len(forms) == 1 and not first.shared:
            words = text[pieces[i][0] : pieces[i + count - 1][1]]
            guarded = first.guarded or (first.guarded_apart and "-" not in words)
            around = _around(pieces, i, count)
            borne_out = not guarded or self._borne_out(pieces, i, count, around, first) is not None
            return first.entry if borne_out else None
        around = _around(pieces, i, count, text)
        weighed = [(self._borne_out(pieces, i, count, around, f), f) for f in forms]
        likely = [(w, f.entry) for w, f in weighed if w is not None]
        most = max((w for w, _ in likely), default=None)
        best = [entry for w, entry in likely if w == most]
        return best[0] if len(best) == 1 else None

    def _borne_out(
        self, pieces: _Pieces, i: int, count: int, around: frozenset[str], form: _Form
    ) -> tuple[int, int] | None:
        """How many of the words around, and of the study's own terms, speak for this entry.

        None where it cannot be meant: what stands right before or after it rules it out, or
        nothing bears it out.
        """
        slug = form.entry.slug
        before = " " + " ".join(p[2] for p in pieces[max(0, i - NEAR) : i])
        after = " ".join(p[2] for p in pieces[i + count : i + count + NEAR]) + " "
        if before.endswith(self._never_after.get(slug, ())) or after.startswith(
            self._never_before.get(slug, ())
        ):
            return None
        near = self._near.get(slug)
        if near is None:
            return (0, 0)
        numbered = i > 0 and (pieces[i - 1][2] in _COUNTS or pieces[i - 1][2][0].isdigit())
        words = len(around & near) + ("#" in near and numbered)
        own = len(self._context & near)
        return (words, own) if words or (own and form.shared) else None


def _around(pieces: _Pieces, i: int, count: int, text: str = "") -> frozenset[str]:
    """The words around a name, with ``text`` only those of its own sentence."""
    start, stop = max(0, i - NEAR), i + count + NEAR
    if text:
        ends = [m.end() for m in _STOP.finditer(text, pieces[start][0])]
        low = max((e for e in ends if e <= pieces[i][0]), default=0)
        high = min((e for e in ends if e > pieces[i][0]), default=len(text))
        here = [n for n in range(start, min(stop, len(pieces))) if low <= pieces[n][0] < high]
    else:
        here = list(range(start, min(stop, len(pieces))))
    return frozenset(pieces[n][2] for n in here if not i <= n < i + count)


@lru_cache(maxsize=8)
def finder_for(glossary: Glossary) -> TermFinder:
    """The finder of a glossary, built once for all pages that share it."""
    return TermFinder(glossary)


def _folded(piece: str) -> str:
    return "'" if piece == "’" else piece.casefold()


def _spelled_so(text: str, piece: tuple[int, int, str], word: str) -> bool:
    return text[piece[0] : piece[1]] == word


_EDGE = "\0"  # stands for the edge of some emphasis: no term reaches across it
_MARK = re.compile(r"\[\[([^\[\]=\n\0]+)(=[^\[\]\n\0]*)?\]\]")
_QUOTED = re.compile(r"“[^“”]*”|(?<![^\s(—–])\"(?=\S)[^\"\n]*(?<=\S)\"(?!\w)")
_SAFE_LINK = re.compile(r"(?:https?://[^/]|mailto:|#)", re.IGNORECASE)
#: Marks of emphasis that one text may have.
MOST_MARKS = 1_000
#: Levels of quotations and lists within each other that are set as such.
MOST_DEEP = 40


@dataclass(frozen=True)
class _Span:
    """``text[start:end]`` is shown as ``words``, as the term ``entry`` if there is one."""

    start: int
    end: int
    words: str
    entry: Entry | None


class TermLinker:
    """Turns text into HTML for one page, and remembers which terms it has met.

    ``href`` gives the address a term links to; where it gives None the page carries its own
    word list, and the term is marked ``<dfn data-term="slug">`` instead.
    """

    def __init__(
        self, glossary: Glossary, href: Callable[[Entry], str | None], returns: bool = False
    ) -> None:
        """``returns``: a term's first use has the id ``use-SLUG``, for its meaning to lead to."""
        self._glossary = glossary
        self._returns = returns
        self._placed: set[Entry] = set()
        self._href = href
        self._used: dict[Entry, None] = {}
        self._seen: set[Entry] = set()
        self.unknown: list[str] = []
        """Words marked ``[[…]]`` that are in no entry: shown plain, for ``proof`` to report."""
        self.refused: list[str] = []
        """Addresses of links that were not kept."""

    @property
    def used(self) -> tuple[Entry, ...]:
        """Every term linked so far, in order of first use."""
        return tuple(self._used)

    def section(self, *known: Entry) -> None:
        """Starts a section, in which every term but ``known`` is linked at its first use again."""
        self._seen = set(known)

    def sentence(self, text: str) -> str:
        """Plain text as HTML, its terms linked."""
        return "".join(
            self._html(words, entry) for words, entry in _cut(text, self._spans(text, ()))
        )

    def prose(self, markdown: str) -> str:
        """An author's Markdown as HTML, its terms linked."""
        return str(_markdown().render(_bounded(markdown), {"linker": self}))

    def line(self, markdown: str) -> str:
        """One paragraph of Markdown as HTML without the paragraph around it."""
        return str(_markdown().renderInline(_bounded(markdown), {"linker": self}))

    def _html(self, words: str, entry: Entry | None) -> str:
        shown = escape(words, quote=False)
        if entry is None:
            return shown
        href = self._href(entry)
        if href is None:
            return f'<dfn data-term="{entry.slug}">{shown}</dfn>'
        place = ""
        if self._returns and entry not in self._placed:
            self._placed.add(entry)
            place = f' id="use-{entry.slug}"'
        return f'<a class="term"{place} href="{escape(href)}">{shown}</a>'

    def _spans(self, text: str, closed: Iterable[tuple[int, int]]) -> list[_Span]:
        """What of ``text`` changes, in order; nothing inside the ``closed`` stretches does."""
        marked = [self._marked(m) for m in _MARK.finditer(text)]
        shut = [*closed, *(m.span() for m in _QUOTED.finditer(text))]
        within = _Stretches(closed)
        spans = [s for s in marked if not within.touch(s.start, s.end)]
        within = _Stretches((*shut, *((s.start, s.end) for s in spans)))
        spans += [
            _Span(hit.start, hit.end, text[hit.start : hit.end], hit.entry)
            for hit in finder_for(self._glossary).find(text)
            if not within.touch(hit.start, hit.end)
        ]
        spans.sort(key=lambda s: s.start)
        by_hand = {(s.start, s.end) for s in marked}
        return [s for s in spans if self._first(s, (s.start, s.end) in by_hand)]

    def _marked(self, mark: re.Match[str]) -> _Span:
        words, meant = mark[1].strip(), mark[2]
        name = words if meant is None else meant[1:].strip()
        entry = self._glossary.find(name) if name else None
        if name and entry is None:
            self.unknown.append(name)
        return _Span(*mark.span(), words, entry)

    def _first(self, span: _Span, by_hand: bool) -> bool:
        """Whether the span stands; a term met before in this section stays plain text."""
        if span.entry is not None:
            if span.entry in self._seen and not by_hand:
                return False
            self._seen.add(span.entry)
            self._used.setdefault(span.entry)
        return True


class _Stretches:
    """Stretches of a text, put together where they overlap, so that one look tells."""

    def __init__(self, stretches: Iterable[tuple[int, int]]) -> None:
        self._begins: list[int] = []
        self._stops: list[int] = []
        for begin, stop in sorted(stretches):
            if self._stops and begin <= self._stops[-1]:
                self._stops[-1] = max(self._stops[-1], stop)
            elif begin < stop:
                self._begins.append(begin)
                self._stops.append(stop)

    def touch(self, start: int, end: int) -> bool:
        """Whether any of them has a character between ``start`` and ``end``."""
        first = bisect_right(self._stops, start)
        return first < len(self._begins) and self._begins[first] < end


def _cut(text: str, spans: Sequence[_Span]) -> Iterator[tuple[str, Entry | None]]:
    """``text`` in pieces, each with the entry it stands for or None."""
    at = 0
    for span in spans:
        if span.start > at:
            yield text[at : span.start], None
        yield span.words, span.entry
        at = span.end
    if at < len(text):
        yield text[at:], None


class _Markdown(MarkdownIt):
    """CommonMark with tables, whose links and images are judged by ``_keep_safe``."""

    def validateLink(self, url: str) -> bool:
        return True


def _bounded(markdown: str) -> str:
    """The text itself, or, where it has more marks of emphasis than any text has use for, the text
    with them as plain signs: a reader of Markdown tries each against all the others."""
    if sum(map(markdown.count, "*_")) <= MOST_MARKS:
        return markdown
    return re.sub(r"(?<!\\)([*_])", r"\\\1", markdown)


@lru_cache(maxsize=1)
def _markdown() -> MarkdownIt:
    reader = _Markdown("commonmark", {"html": False}).enable("table")
    no_word_lost(reader)
    reader.core.ruler.push("keep_safe", _keep_safe)
    reader.core.ruler.push("link_terms", _link_terms)
    reader.add_render_rule("term", _render_term)
    return reader


def no_word_lost(reader: MarkdownIt) -> None:
    """Has a reader of Markdown set as plain text what is nested deeper than it follows: it would
    leave out the words there."""
    reader.options["maxNesting"] = MOST_DEEP
    reader.core.ruler.after("block", "no_word_lost", _as_written)


def _as_written(state: StateCore) -> None:
    """Core rule: a text nested too deeply as one paragraph, its signs kept."""
    if max((token.level for token in state.tokens), default=0) < MOST_DEEP - 2:
        return
    words = " ".join(state.src.split())
    state.tokens[:] = [
        Token("paragraph_open", "p", 1, block=True),
        Token("inline", "", 0, content=words, children=[], level=1, block=True),
        Token("paragraph_close", "p", -1, block=True),
    ]


def _render_term(
    renderer: RendererHTML, tokens: Sequence[Token], i: int, options: OptionsDict, env: EnvType
) -> str:
    linker: TermLinker = env["linker"]
    return linker._html(tokens[i].content, tokens[i].meta["entry"])


def _keep_safe(state: StateCore) -> None:
    """Core rule: images become their alt text, links that are not allowed their words."""
    for token in state.tokens:
        if token.children:
            token.children = list(_safe(token.children, state.env["linker"].refused))


def _safe(tokens: Iterable[Token], refused: list[str]) -> Iterator[Token]:
    keeps: list[bool] = []
    for token in tokens:
        if token.type == "image":
            yield from _safe(token.children or (), refused)
            continue
        if token.type == "link_open":
            address = str(token.attrGet("href") or "")
            keeps.append(bool(_SAFE_LINK.match(address)))
            if not keeps[-1]:
                refused.append(address)
        if token.type not in ("link_open", "link_close") or keeps[-1]:
            yield token
        if token.type == "link_close":
            keeps.pop()


def _link_terms(state: StateCore) -> None:
    """Core rule: links terms in all running text outside headings and block quotations."""
    shut = 0
    for token in state.tokens:
        if token.type in ("heading_open", "blockquote_open"):
            shut += 1
        elif token.type in ("heading_close", "blockquote_close"):
            shut -= 1
        elif token.type == "inline" and not shut and token.children:
            token.children = _link_inline(token.children, state.env["linker"])


def _link_inline(tokens: list[Token], linker: TermLinker) -> list[Token]:
    """The tokens of one block, with its terms as tokens of their own.

    The block's text is looked at as a whole, so that emphasis does not hide the words around a
    term; a term itself lies within one piece of text.
    """
    tokens = list(_joined(tokens))
    parts = [t.content if t.type in ("text", "code_inline") else _EDGE for t in tokens]
    ends = list(_running(len(p) for p in parts))
    open_links = 0
    closed: list[tuple[int, int]] = []
    for token, part, end in zip(tokens, parts, ends, strict=True):
        open_links += {"link_open": 1, "link_close": -1}.get(token.type, 0)
        if token.type != "text" or open_links:
            closed.append((end - len(part), end))
    spans = linker._spans("".join(parts), closed)
    starts = [span.start for span in spans]

    def within(start: int, end: int) -> list[_Span]:
        return spans[bisect_left(starts, start) : bisect_left(starts, end)]

    return list(
        chain.from_iterable(
            _with_terms(token, end - len(part), within(end - len(part), end))
            if token.type == "text"
            else (token,)
            for token, part, end in zip(tokens, parts, ends, strict=True)
        )
    )


def _joined(tokens: Iterable[Token]) -> Iterator[Token]:
    """The tokens with text that only a line's end divides made whole again."""
    for is_text, some in groupby(tokens, lambda token: token.type in ("text", "softbreak")):
        if not is_text:
            yield from some
            continue
        parts = list(some)
        content = "".join("\n" if t.type == "softbreak" else t.content for t in parts)
        yield Token("text", "", 0, content=content, level=parts[-1].level)


def _running(lengths: Iterable[int]) -> Iterator[int]:
    total = 0
    for length in lengths:
        total += length
        yield total


def _with_terms(token: Token, start: int, spans: Sequence[_Span]) -> Iterator[Token]:
    end = start + len(token.content)
    here = [
        _Span(s.start - start, s.end - start, s.words, s.entry)
        for s in spans
        if s.end <= end
    ]
    for words, entry in _cut(token.content, here):
        kind = "text" if entry is None else "term"
        meta = {} if entry is None else {"entry": entry}
        yield Token(kind, "", 0, content=words, level=token.level, meta=meta)
