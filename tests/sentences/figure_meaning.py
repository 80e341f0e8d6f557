"""Reads what is said of a figure: which frame of ``figures.txt`` it is, and whether it is so.

Knows nothing of the phrase book, as ``meaning.py`` for claims.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from functools import lru_cache
from pathlib import Path

from sentences.figure_truth import FigureTruth
from sentences.oracle import ALLOWED, JUNK, count, counted_out, sentences

_NUMBER = r"−?\d[\d,]*(?:\.\d+)?"
_SIZE = rf"(?:about )?(?:next to nothing|almost 0|{_NUMBER})[^,.;:()]*?(?:\.\d+)?[^,.;:()]*?"
_RANGE = r"(?:[^,()]|,(?=\d))*?\d(?:[^,()]|,(?=\d))*?"
_MORE = "rougher|harder|higher|more|faster|wider|larger|longer"
_LESS = "smoother|softer|lower|less|fewer|slower|shorter"
#: What a slope is told for: a step may be a thousandth of an inch.
_EVERY = r"for every (?:[\w, ]|(?<=\d)\.(?=\d))+"
_NOUN = "balls?|bowlers?|patients?|rivers?|lanes?"
_TERM = ("[Cc]over roughness|[Tt]otal hook|[Bb]ridge width|[Ss]hare of strikes|[Hh]ardness|"
         "[Bb]all speed|[Dd]esk reading")  # fmt: skip
_MANY = rf"[\w,-]+ (?:{_NOUN})"
_WORDS = {
    "n": _MANY, "nc": _MANY, "item": _NOUN, "items": rf"(?:[\w ]+ )?(?:{_NOUN})",
    "term": _TERM, "fell": "fell|rose", "drop": "drop|rise", "down": "down|up",
    "oddfell": "fell|rose", "middledrop": "drop|rise", "odddown": "down|up",
    "who": rf"(?:{_NOUN}) \w+", "turnpart": "first|last", "solepart": "first|last",
    "Who": r"[A-Z]\w+ \w+",
    "together": "together|opposite ways", "lessmore": "less|more", "climbs": "climbs|drops",
    "rise": "rise|fall", "irises": "rises|falls", "tended": r"[\w ]+?", "more": r"[\w ]+?",
    "end": "−?1", "are": "are|is", "step": rf"{_EVERY}|a shot|per shot",
    "gaplower": "lower|higher", "morestate": r"[\w ]+?", "shots": r"[\d,]+ shots",
    "operators": r"\w+ desks?", "high": r"[Dd]esk \d", "low": r"desk \d",
    "slope": rf"(?:about )?(?:{_NUMBER}|next to nothing) [\w %]+ {_EVERY}",
    "islope": rf"(?:about )?(?:{_NUMBER}|next to nothing|almost 0)[\w %,−.]*?"
              rf"(?: {_EVERY})?",
    "outside": r"[\w ]+?",
    "when": r"at the start|after \d+ games?",
    "gauge": "gauge|reading", "passed": "pass|passes|meet it|meets it",
    "miss": "miss|misses|do not meet|does not meet",
    "fail": "fails|fail|do not meet it|does not meet it",
    "bygroup": r".+", "xmore": r"[\w ]+?", "*": ".+?",
    **dict.fromkeys(("limit", "most", "zone", "zonetop"), rf"{_NUMBER}[%\w ]*?"),
    **dict.fromkeys(("a", "b", "wide", "ahead", "behind", "lahead", "lbehind"), r"[\w ]+?"),
    **dict.fromkeys(("same", "nb", "inside", "loner", "still", "napart", "all", "changes", "passes",
                     "fails", "close", "flags", "of", "count", "ng", "first", "last",
                     "few"), r"[\w,-]+"),
    **dict.fromkeys(("rng", "irng"), _RANGE), "by": r"(?:game|games)? ?\d+(?: games)?",
    **dict.fromkeys(("gone", "past"), r"(?:game|games)? ?\d+(?: games)?"), "drawn": ".+? to .+?",
    "share": r"(?:about |over |nearly |almost )?[\w ]+|\d+(?:\.\d+)?%",
}  # fmt: skip
#: What is written out as a number: everything else that a frame names.
_KNOWN = frozenset(_WORDS)

Line = tuple[frozenset[str], re.Pattern[str], str]


@lru_cache(maxsize=1)
def frames() -> dict[str, list[Line]]:
    """Every frame by kind of figure: its conditions, its pattern, and the line itself."""
    found: dict[str, list[Line]] = {}
    kind = ""
    for line in Path(__file__).with_name("figures.txt").read_text("utf-8").splitlines():
        if line.startswith("## "):
            kind = line[3:]
        elif line and line[0] not in "#!":
            conditions, _, text = line.partition("|")
            found.setdefault(kind, []).append(
                (frozenset(conditions.split()), _pattern(text.strip()), text.strip())
            )
    return found


@lru_cache(maxsize=1)
def _musts() -> list[tuple[str, str, frozenset[str], str]]:
    """What each part of a kind must say, under which conditions."""
    found = []
    for line in Path(__file__).with_name("figures.txt").read_text("utf-8").splitlines():
        if line.startswith("! "):
            head, _, words = line[2:].partition(" | ")
            kind, part, *conditions = head.split()
            found.append((kind, part, frozenset(conditions), words))
    return found


def unsaid(part: str, text: str, truth: FigureTruth) -> Iterator[str]:
    """What this part of a figure owes its reader and keeps back."""
    for kind, of, conditions, words in _musts():
        owed = (kind, of) == (truth.kind, part) and all(truth.so[c] for c in conditions)
        if owed and not re.search(words, text):
            yield f"nothing of {words!r} in {text!r}, although {sorted(conditions)}"


def _pattern(text: str) -> re.Pattern[str]:
    used: dict[str, int] = {}
    out = []
    for piece in re.split(r"(<[\w*]+>|\[|\])", text):
        if piece == "[":
            out.append("(?:")
        elif piece == "]":
            out.append(")?")
        elif piece.startswith("<"):
            name = piece[1:-1]
            used[name] = used.get(name, 0) + 1
            label = ("anything" if name == "*" else name) + f"__{used[name]}"
            out.append(f"(?P<{label}>{_WORDS.get(name, _SIZE)})")
        else:
            out.append(re.escape(piece))
    return re.compile("".join(out))


def unread(text: str, truth: FigureTruth) -> Iterator[str]:
    """Every sentence of ``text`` that is false, or that no frame knows."""
    if (junk := JUNK.search(text)) is not None and not ALLOWED.search(junk[0]):
        yield f"junk {junk[0]!r}: {text}"
    every = sentences(counted_out(" ".join(text.split())))
    yield from (f"{said!r} is said twice" for said in {s for s in every if every.count(s) > 1})
    for said in every:
        tried = []
        for conditions, pattern, frame in frames()[truth.kind]:
            found = pattern.fullmatch(said)
            if found is None:
                continue
            false = [c for c in sorted(conditions) if not truth.so[c]]
            false += [f"<{k}> {v!r}" for k, v in found.groupdict().items()
                      if v is not None and not _fits(truth, k.partition("__")[0], v)]  # fmt: skip
            if not false:
                break
            tried.append(f"{frame!r} but for {', '.join(false)}")
        else:
            yield f"{said!r}: {'; '.join(tried) or 'no frame knows it'}"


def near(value: float, text: str) -> bool:
    """Whether the first number in ``text`` is ``value`` rounded, for any round step of ten."""
    if "next to nothing" in text or "almost 0" in text:
        return True
    found = re.search(_NUMBER, text)
    if found is None:
        return False
    figures = found[0].replace(",", "").replace("−", "-")
    told, places = abs(float(figures)), len(figures.partition(".")[2])
    half = 0.5000001 * 10.0**-places
    if places == 0 and figures.endswith("0"):
        half = 0.5000001 * 10.0 ** (len(figures) - len(figures.rstrip("0")))
    steps = range(-3 if told else 0, 9)  # a step may be a thousandth of an inch, too
    return any(abs(abs(value) * 10.0**k - told) <= half for k in steps)


def _both(ends: tuple[float | None, float | None], text: str) -> bool:
    """A range as printed: both its ends, and words for both sides only where it has them."""
    low, high = ends
    if low is None or high is None:
        return False
    found = re.findall(_NUMBER, text)
    if len(found) < 2:
        if text.startswith(("about", "−about")) and len(found) == 1:  # both ends round to it
            return near(low, text) and near(high, text)
        return "as much" in text or "next to nothing" in text or "0" in found
    if re.search(r"drop of .* to a rise| fewer .* more|lead for .* lead for", text) and not (
        low < 0 < high
    ):
        return False
    told = sorted(abs(float(f.replace(",", "").replace("−", "-"))) for f in found[:2])
    own = sorted(map(abs, (low, high)))
    return any(all(_as_printed(o * 10.0**k, t, found) for o, t in zip(own, told, strict=True))
               for k in range(-3 if told[0] else 0, 9))  # fmt: skip


def _as_printed(value: float, told: float, found: list[str]) -> bool:
    places = min(len(f.partition(".")[2]) for f in found[:2])
    half = 0.5000001 * 10.0**-places
    if places == 0:  # 220 to 1,300: whole tens
        bare = [f.replace(",", "") for f in found[:2] if f.strip("0")]
        zeros = min(len(f) - len(f.rstrip("0")) for f in bare) if told else 0
        half = 0.5000001 * 10.0**zeros
    return abs(value - told) <= max(half, 0.051 * told if told >= 10 else 0.0)


def _fits(truth: FigureTruth, name: str, text: str) -> bool:
    for names, check in PLACES.items():
        if name in names.split():
            return check(truth, name, text)
    if name in ("limit", "most"):
        return near(float(truth.is_[name]), text)
    if name in _KNOWN or name == "anything":
        return True
    value = truth.is_.get(name)
    return value is not None and not math.isnan(value) and near(value, text)


def _counted(t: FigureTruth, name: str, text: str) -> bool:
    word = text.split()[0]
    told = 0 if word.casefold() == "none" else count(word)
    return told == t.is_.get({"n": "n"}.get(name, name))


def _way(t: FigureTruth, name: str, text: str) -> bool:
    """The direction of a number, by a word: of the estimate, or of the one that the place names."""
    value = t.is_.get({"oddfell": "oddchange", "odddown": "oddchange", "middledrop": "others",
                       "gaplower": "gap", "together": "islope", "lessmore": "islope",
                       "irises": "islope"}.get(name, "est")) or 0.0  # fmt: skip
    down = text in ("fell", "drop", "down", "lower", "opposite ways", "less", "drops", "fall",
                    "falls")  # fmt: skip
    return value == 0 or (value < 0) == down


def _tended(t: FigureTruth, name: str, text: str) -> bool:
    """What goes with more of x: more of y, or less."""
    less, more = (re.search(rf"\b(?:{words})\b", text) for words in (_LESS, _MORE))
    value = t.is_.get("est")  # none, where a slip speaks of what was not worked out
    return value is not None and bool(less or more) and (value < 0) == bool(less)


def _when(t: FigureTruth, name: str, text: str) -> bool:
    told = re.search(r"\d+", text)
    return (0 if told is None else int(told[0])) == t.is_["at"]


def _state(t: FigureTruth, name: str, text: str) -> bool:
    less, more = (re.search(rf"\b(?:{words})\b", text) for words in (_LESS, _MORE))
    return more is not None and less is None


def _named(t: FigureTruth, name: str, text: str) -> bool:
    return str(t.is_.get({"Who": "who"}.get(name, name))).casefold() in text.casefold().split() or (
        str(t.is_.get(name)).casefold() == text.casefold())  # fmt: skip


def _share(t: FigureTruth, name: str, text: str) -> bool:
    words = {"half": 0.5, "two thirds": 2 / 3, "three quarters": 0.75, "nine tenths": 0.9,
             "all": 1.0, "a third": 1 / 3, "three fifths": 0.6, "four fifths": 0.8,
             "a quarter": 0.25, "tenth": 0.1}  # fmt: skip
    told = next((v for k, v in words.items() if k in text), None)
    if told is None:
        return near(100 * t.is_["share"], text)
    return abs(told - t.is_["share"]) <= 0.08


def _each(t: FigureTruth, name: str, text: str) -> bool:
    """One number a group, in turn, each with its way."""
    sizes = re.findall(rf"by (?:about )?({_NUMBER}|next to nothing|almost 0)", text)
    ways: list[str] = []
    for piece in re.split(r"(?=the )", text):
        if "by " in piece:
            said = re.search(r"\b(fell|rose)\b", piece)
            ways.append(said[1] if said else ways[-1])
    own = t.is_["bygroup"]
    return len(sizes) == len(own) == len(ways) and all(
        near(v, s) and (v == 0 or (v < 0) == (w == "fell"))
        for v, s, w in zip(own, sizes, ways, strict=True)
    )


def _zone(t: FigureTruth, name: str, text: str) -> bool:
    """An end of the zone about the limit: no further off than the guard, and no reading that the
    guard leaves open stands beyond it."""
    found = re.search(_NUMBER, text)
    if found is None:
        return False
    told, guard = float(found[0].replace("−", "-").replace(",", "")), t.is_["guard"]
    line = t.is_["most" if name == "zonetop" else "limit"]
    off = abs(told - line)
    left_out = [v for v in t.is_["values"] if off + 1e-9 < abs(v - line) < guard - 1e-9]
    return guard / 2 <= off <= guard + 1e-9 and not left_out


def _edge(t: FigureTruth, name: str, text: str) -> bool:
    value = t.is_.get(name)
    return value is None or "unknown" in text or near(float(value), text)


def _drawn(t: FigureTruth, name: str, text: str) -> bool:
    """The ends of an axis: two that differ, and neither past what anybody read, each rounded to
    its own digits (12.88 is 12.9 beside 8.66)."""
    said = re.findall(_NUMBER, text)[:2]
    ends = [float(f.replace(",", "").replace("−", "-")) for f in said]
    low, high = t.is_["lowest"], t.is_["highest"]
    halves = [0.5000001 * 10.0 ** -len(f.partition(".")[2]) for f in said]
    inside = any(all(low * k - half <= end <= high * k + half
                     for end, half in zip(ends, halves, strict=True))
                 for k in (1, 1000))  # an inch, or thousandths of one  # fmt: skip
    return inside and ends[0] < ends[1]


#: What each kind of place must hold to be so; a name of a number must be that number.
PLACES: dict[str, Callable[[FigureTruth, str, str], bool]] = {
    "n nc same inside loner still napart all changes passes fails close flags of count ng first "
    "last shots operators": _counted,
    "fell drop down oddfell middledrop odddown gaplower together lessmore irises climbs rise": _way,
    "tended": _tended, "morestate": _state, "when": _when, "share": _share, "bygroup": _each,
    "zone zonetop": _zone,
    "who Who a b wide ahead behind lahead lbehind high low turnpart solepart": _named,
    "outside": lambda t, name, text: text == t.is_["outside"],
    "lowest highest": _edge, "drawn": _drawn,
    "rng irng": lambda t, name, text: _both(t.is_[name], text),
    "end": lambda t, name, text: (text == "−1") == (t.is_["est"] < 0),
    "slope": lambda t, name, text: near(t.is_["slope"], text),
    "slope1": lambda t, name, text: near(t.is_["slope"], text),
    "islope": lambda t, name, text: near(t.is_["islope"], text),
    "past": lambda t, name, text: float(re.search(r"\d+", text)[0]) in t.is_["past"],  # type: ignore[index]
    # At that checkpoint the average stood nearer to its start than at the early one.
    "gone": lambda t, name, text: t.is_["gone"][float(re.search(r"\d+", text)[0])],  # type: ignore[index]
}  # fmt: skip
