"""Reading grade: how many years of school a text asks for, by Flesch and Kincaid.

    grade = 0.39 · words per sentence + 11.8 · syllables per word − 15.59

Source: Kincaid, Fishburne, Rogers and Chissom (1975), Derivation of new readability formulas
for Navy enlisted personnel, Research Branch Report 8-75 (NTIS AD-A006655).  What counts as a
word and a syllable follows Flesch (1979), How to write plain English, chapter 2: a contraction,
a hyphenated word, a figure and a sign are one word each; figures, signs and abbreviations have
one syllable; titles, headings and captions are not counted.  A sentence ends at a full stop, a
question mark or an exclamation mark only.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache


@dataclass(frozen=True)
class Counts:
    """What the formula rests on."""

    words: int
    sentences: int
    syllables: int

    @property
    def grade(self) -> float:
        """Flesch–Kincaid grade level; 0 for a text without words."""
        if not self.words:
            return 0.0
        per_sentence = self.words / max(self.sentences, 1)
        return 0.39 * per_sentence + 11.8 * self.syllables / self.words - 15.59


@dataclass(frozen=True)
class Hard:
    """A sentence and the grade it would have alone."""

    grade: float
    sentence: str


def grade(text: str) -> float:
    """Flesch–Kincaid grade of plain ``text``, in years of school; 0 where there are no words."""
    return counts(text).grade


def hardest(text: str, n: int = 5) -> tuple[Hard, ...]:
    """The ``n`` sentences with the highest grade of their own, hardest first.

    Sentences of fewer than five words are passed over: one long word makes them look hard.
    """
    measured = ((_count(sentence), sentence) for sentence in sentences(text))
    found = [Hard(c.grade, sentence) for c, sentence in measured if c.words >= 5]
    return tuple(sorted(found, key=lambda hard: -hard.grade)[:n])


def counts(text: str) -> Counts:
    """Words, sentences and syllables of plain ``text``."""
    each = [_count(sentence) for sentence in sentences(text)]
    each = [c for c in each if c.words]
    return Counts(sum(c.words for c in each), len(each), sum(c.syllables for c in each))


def _count(sentence: str) -> Counts:
    """The counts of one sentence."""
    words = words_of(sentence)
    return Counts(len(words), 1, sum(_syllables_of(word) for word in words))


#: A word: anything between spaces or dashes that has a letter, a figure or a sign to be read.
_BREAKS = re.compile(r"\s+|[—…]|(?<=\w)/(?=[^\W\d])|(?<!\S)[-–](?!\S)")
_READ = re.compile(r"[\w&=<>±×%°≤≥≈+]")
_EDGES = "\"'“”‘’()[]{}.,;:!?*_`«»"


def words_of(text: str) -> list[str]:
    """The words of ``text`` as printed, without the punctuation around them."""
    pieces = (piece for piece in _BREAKS.split(text) if piece and _READ.search(piece))
    return [piece.strip(_EDGES) or piece for piece in pieces]


def _syllables_of(printed: str) -> int:
    """Syllables of one printed word: its parts between hyphens, figures and signs one each."""
    parts = [part for part in re.split(r"[-‐‑]", printed) if part]
    return sum(syllables(p) if _is_said(p) else 1 for p in parts) or 1


def _is_said(part: str) -> bool:
    """Letters only, and not an abbreviation in capitals (``USA``; ``I`` is one syllable anyway)."""
    return part.replace("'", "").replace("’", "").isalpha() and not (
        part.isupper() and len(part) <= 5
    )


#: A full stop after one of these does not end a sentence.
_ABBREVIATIONS = (
    "mr mrs ms dr prof st vs e.g i.e cf fig figs eq approx ca vol ch sec pp p al jr sr dept"
)
#: Nor after one of these where a figure follows.
_BEFORE_FIGURES = "no nos table tab art para ed"

_END = re.compile(r"(?<![.!?…])[.!?…]+[\"'”’)\]]*(?=\s+[\"'“‘(\[]*[^\W_a-zµ]|\s*$)")
_LIST_MARK = r"(?:[-*•]|\d+[.)])\s"
_BLOCKS = re.compile(rf"\n\s*\n|\n(?=\s*{_LIST_MARK})")
#: A block of fewer words without a closing mark is taken for a heading.
_HEADING_WORDS = 8


def sentences(text: str) -> list[str]:
    """The sentences of plain ``text``, trimmed.  A blank line or a list mark ends one, too.

    Headings are left out, unless there is nothing else.
    """
    blocks = [
        re.sub(rf"^{_LIST_MARK}\s*", "", " ".join(block.split())) for block in _BLOCKS.split(text)
    ]
    running = [block for block in blocks if not _is_heading(block)]
    return [sentence for block in running or blocks for sentence in _split(block) if sentence]


def _is_heading(block: str) -> bool:
    return not re.search(r"[.!?…:][\"'”’)\]]*$", block) and len(words_of(block)) < _HEADING_WORDS


#: Characters around a full stop that decide whether it ends a sentence.
_NEARBY = 60


def _split(block: str) -> list[str]:
    found, start = [], 0
    for end in _END.finditer(block):
        before = block[max(start, end.start() - _NEARBY) : end.start()]
        after = block[end.end() : end.end() + _NEARBY].lstrip()
        if not _goes_on(before, end.group(), after):
            found.append(block[start : end.end()].strip())
            start = end.end()
    return [*found, block[start:].strip()]


def _goes_on(before: str, mark: str, after: str) -> bool:
    """Whether the full stop belongs to an abbreviation or an initial and the sentence goes on."""
    if not mark.startswith(".") or not after:
        return False
    words = before.split()
    last = words[-1].lstrip(_EDGES) if words else ""
    if last.lower() in _ABBREVIATIONS.split():
        return True
    if last.lower() in _BEFORE_FIGURES.split() and after[0].isdigit():
        return True
    return len(last) == 1 and last.isupper() and last != "I" and _is_initial(words, after)


def _is_initial(words: list[str], after: str) -> bool:
    """A single capital is an initial at the start, after a name, or before another initial."""
    if len(words) == 1 or re.match(r"[A-Z]\.", after):
        return True
    return bool(re.fullmatch(r"[A-Z]\.", words[-2]))


# --- How many syllables an English word has, by its spelling

_VOWELS = re.compile(r"[aeiouy]+")

#: Common words whose spelling misleads the rules below.
_IRREGULAR = {
    word: count
    for count, words in {
        1: "george queue queued queues aisle aisles isle isles choir theirs drawer drawers",
        2: "maybe evening evenings people peoples business wednesday tuesday colonel being argue "
        "argues ruin ruins ruined fluid fluids chocolate soldier soldiers premier frontier "
        "cashier lion lions leopard neon wicked naked rugged ragged forehead giant giants liar "
        "shakespeare goodbye dryer beside hourglass makeup lineup genre via diamond diamonds "
        "bracelet nineteen heroin resource cliche averaged sideways driveway",
        3: "anyone everyone businesses museum museums jeopardy nucleus argument arguments "
        "nuclear aspirin nineteenth whoever initial initials recipe heroic loneliness "
        "averages averaging",
    }.items()
    for word in words.split()
}

#: What may follow a silent e inside a word: base-line, some-thing, move-ment.
_AFTER_SILENT_E = (
    "ly ment ments ful fully less ness some thing things time times line lines side sides land "
    "lands man men body ward wards fore day days place how what where hold holds holder view "
    "spread house houses ball balls board boards work works like point points mark marks maker "
    "makers making ship town guard cut head heads paper out up print shot shots room bed writer "
    "writers writing light lights bat keeper proof wood worthy ty style stone craft teen"
)

#: Spellings with a silent vowel: one syllable less for each that is found.
_LESS = tuple(
    re.compile(pattern)
    for pattern in (
        r"(?<=[^aeiou])e$",  # lane
        r"(?<=[^aeioutd])(?<![bcdfgptv]r)ed$",  # rolled, but sanded, hundred
        r"(?<![aeioucgsxz])(?<!sh)(?<!ch)es$",  # lanes, but inches
        rf"(?<=[aeiouyrdnl][bcdfgkmnprstvxz])e(?=(?:{'|'.join(_AFTER_SILENT_E.split())})$)",
        r"(?<=[aeiou])ques?$|gues?$",  # technique, league
        r"^every|ically$|[nv]ior",  # everyday, basically, behavior
    )
)

#: Spellings that hide a break between vowels: one syllable more for each that is found.
_MORE = tuple(
    re.compile(pattern)
    for pattern in (
        r"[^aeiouylrw]l(e|es|ed)$",  # table, settled; not bowled
        r"(?<=[tcb])res?$",  # metre
        r"(?<![ctsgxh])i[ao](?!ge)(?<!lio)(?<!nio)(?!(?<=lia)[nr])|atio$",  # radio; not million
        r"(?<=[ct])iat",  # associate
        r"(?<=[dnlrbpvt])i(us|um)",  # radius
        r"(?<![qg])u(?=[ao]|ing)|flue",  # usual, continuing, influence
        r"sms?$|thms?$",  # mechanism, rhythm
        r"eo(?=[^nu]|$)|(?<!g)eous$",  # video, simultaneous
        r"(?<![aeiou])[aeo]ing|eeing|[^aeiou]ying",  # going, seeing, carrying
        r"crea(?=t(?!u))|rea(?=ct)|reali[tzs]|theat|[rd]eas?$|inear",  # create, reaction, area
        r"(?<![ctsx])ie(?=n[ct])|^scien|iet",  # gradient, science, quiet
        r"(?<=[aeiouy][bdflmnprstv])iers?$|(?<=[bdflmnprstvk])iest$|[lnrdptb][bdflnprt]iers?$",
        r"poe[mt]|coo(?=[pr][de])|microin|polyu",  # poem, coordinate, microinch
    )
)


@lru_cache(maxsize=20_000)
def syllables(word: str) -> int:
    """Syllables of one word of letters (a closing ``'s`` and hyphens allowed); at least 1."""
    plain = word.lower().replace("’", "'")
    if "-" in plain:
        return sum(syllables(part) for part in plain.split("-") if part) or 1
    plain = re.sub(r"(?<=[sxz])'s$|(?<=[cs]h)'s$", "es", plain)  # glass's
    plain = re.sub(r"(?<![cg]e)'s$", "", plain)  # lane's; but surface's
    negated = plain.endswith("n't") and plain[-4:-3] not in "aeiour"  # isn't; not don't, aren't
    plain = re.sub(r"[^a-z]", "", plain)
    if plain in _IRREGULAR:
        return _IRREGULAR[plain]
    apart = re.sub(r"(?<=[aeiou])y(?=[aeiou])", "j", plain)  # player: the y opens a syllable
    count = len(_VOWELS.findall(apart)) + negated
    count -= sum(bool(pattern.search(apart)) for pattern in _LESS)
    count += sum(bool(pattern.search(apart)) for pattern in _MORE)
    return max(count, 1)
