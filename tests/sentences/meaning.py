"""Reads sentences: which of the frames in ``meaning.txt`` one is, and whether what it says is so.

Knows nothing of the phrase book.  A frame that nobody put down here is a sentence that nobody has
thought about, and counts as false.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from functools import lru_cache
from pathlib import Path

from sentences import ears
from sentences.oracle import JUNK, count, counted_out, sentences
from sentences.truth import Truth, near

_UNIT = r"(?: [A-Za-z]+(?: D)?(?: points?)?)?(?: \([^)]*\))?"
_SIZE = rf"(?:about )?(?:next to nothing|almost 0|−?\d[\d,]*(?:\.\d+)?%?){_UNIT}"
_SHARE = r"(?:about )?(?:a |nine |three |two )?(?:all|none|half|tenths?|thirds?|quarters?)(?: of)?"
#: Any words about two numbers, up to the next comma: what comes after it states something else.
_RANGE = r"(?:[^,]|,(?=\d))*?\d(?:[^,]|,(?=\d))*?"
_WHO = (r"[\w-]+ (?:balls?|bowlers?|patients?|rivers?|lanes?)"
        r"(?: \((?:\d+ models, )?each counted once\))?")  # fmt: skip
_WORDS = {
    "n": _WHO, "N": _WHO, "est": rf"{_SIZE}|{_SHARE}(?= of| as| came)|all|none", "rng": _RANGE,
    "marginside": r"−?[\d.]+",
    "margin": _SIZE, "least": _SIZE, "good": r"\d+", "poor": r"\d+", "mdd": _SIZE, "detects": _SIZE,
    "share": _SIZE, "fell": "fell|rose", "drop": "drop|rise|change", "down": "down|up",
    "Down": "Down|Up", "cfell": "fell|rose|changed", "cdown": "down|up",
    "cdrop": "drop|rise|change", "cfallen": "fallen|risen|changed", "fall": "fall|rise|change",
    "came": "rougher|smoother",
    "hooks": "hook more|hook less", "chooks": "hook more|hook less",
    "chooking": "hooking more|hooking less", "thooking": "hooking more|hooking less",
    **dict.fromkeys(("mover", "stayer", "ahead", "behind"), "Plover|Teasel"),
    **dict.fromkeys(("same", "agree", "passes", "fails", "close"), r"[\w-]+"),
    **dict.fromkeys(("change_a", "change_b"), rf"(?:(?:rose|fell|changed) )?by (?:{_SIZE}|.+?)"),
    **dict.fromkeys(("mean_a", "mean_b"), r"[\d.]+(?: microinches)?"),
    **dict.fromkeys(("*", "clause", "seen"), ".+?"), "moved": "rougher|smoother",
    **dict.fromkeys(("ear", "lo", "mar", "way"), r"[\w ,-]+?"), "either": "[Mm]aybe .+, maybe .+",
    "m": "cover roughness|total hook|hardness", "M": "Cover roughness|Total hook|Hardness",
    "items": "balls|bowlers", "use": r"\d+ games", "end": "−?1", "level": r"likely|90%",
    "odds": r"\d[\d.,]*", "times": r"\d[\d.,]*", "orng": r"\d[\d.,]* to \d[\d.,]*",
    "above": "above|below", "about": _SIZE, "before": r"−?0\.\d+", "left": _SHARE + r"|\d+%",
    "line": r"\d+ balls", "held": r"hardness|the \w+|hardness and the \w+",
    "scale": r"a scale (?:from −1 to 1|that ends at −?1)",
}  # fmt: skip
_BOTH_SIDES = re.compile(r"drop of .* to a rise|smoother by .* to rougher|down of .* to a drift up"
                         r"|fewer .* to more|lead for Teasel .* lead for Plover")  # fmt: skip


#: Conditions, the pattern, and the line itself.
Line = tuple[frozenset[str], re.Pattern[str], str]


@lru_cache(maxsize=2)
def frames(file: str = "meaning.txt") -> dict[str, list[Line]]:
    """Every frame by kind: its conditions, its pattern, and the line itself."""
    found: dict[str, list[Line]] = {}
    kind = ""
    for line in Path(__file__).with_name(file).read_text("utf-8").splitlines():
        if line.startswith("## "):
            kind = line[3:]
        elif line and not line.startswith("#"):
            conditions, _, text = line.partition("|")
            found.setdefault(kind, []).append(
                (frozenset(conditions.split()), _pattern(text.strip()), text.strip())
            )
    return found


def _pattern(text: str) -> re.Pattern[str]:
    """A frame as a pattern whose groups are named ``n``, ``n_2`` …"""
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
            label = "any" if name == "*" else name
            number = f"_{used[name]}" if used[name] > 1 else ""
            out.append(f"(?P<{label}{number}>{_WORDS[name]})")
        else:
            out.append(re.escape(piece))
    return re.compile("".join(out))


# ---- what is so

def _needs(t: Truth) -> str:
    """Where the range lies to what the claim needs: in, out, part."""
    r = t.range or t.ranges.get(95)
    if r is None:
        return ""
    low, high = r
    if "zone" in t.more:
        return _meets(r, t.more["zone"])
    if t.kind in ("no-change", "no-association"):
        zone = (-(t.margin or 0), t.margin or 0)
        return _meets(r, zone)
    if t.kind in ("same-line", "break-in"):
        return _meets(r, (0.8, 1.25))
    if t.kind == "repeatability":
        where = _meets(r, (0.0, t.more["poor"]))
        return "part" if where == "in" and high > t.more["good"] else where
    size = t.size or (0.5 if t.more.get("strong") else 0.0)
    if t.side:
        low, high = sorted((t.side * low, t.side * high))
        return "in" if low >= size else "out" if high < size else "part"
    if low > size or high < -size:
        return "in"
    return "out" if size and -size < low and high < size else "part"


def _meets(r: tuple[float, float], zone: tuple[float, float]) -> str:
    if zone[0] <= r[0] and r[1] <= zone[1]:
        return "in"
    return "out" if r[1] < zone[0] or r[0] > zone[1] else "part"


def _limits(test: Mapping[str, object]) -> dict[str, bool]:
    low, high = "at_least" in test, "at_most" in test
    return {"both": low and high, "lowonly": low and not high, "highonly": high and not low}


def _moved_out(t: Truth, r: tuple[float, float], share: float) -> str:
    """What ``_needs`` says with both ends farther out by so much of the width."""
    by = share * (r[1] - r[0])
    wide = (r[0] - by, r[1] + by)
    return _needs(Truth(t.kind, t.test, t.n, t.estimate, {95: wide, 90: wide}, margin=t.margin,
                        more=t.more))  # fmt: skip


def _guess_in(t: Truth) -> bool:
    value = t.estimate or 0.0
    if t.kind == "repeatability":  # where it would do in a pinch is not where it is settled
        return 0 <= value <= t.more["poor"]
    return _needs(Truth(t.kind, t.test, t.n, value, {95: (value, value), 90: (value, value)},
                        margin=t.margin, more=t.more)) == "in"  # fmt: skip


def _so(t: Truth) -> Mapping[str, bool]:
    """Every condition, true or false."""
    if t.kind == "limit":
        m = t.more
        return defaultdict(bool, {"allpass": m["passes"] == t.n,
                "notallpass": m["passes"] < (t.n or 0),
                "notallfail": m["fails"] < (t.n or 0) or t.n == 1,
                "nofail": not m["fails"], "fail": m["fails"] > 0, "close": m["close"] > 0,
                "allclose": m["close"] == t.n, "notallclose": m["close"] < (t.n or 0) or t.n == 1,
                "unread": bool(m.get("unread")), "allread": not m.get("unread"),
                "nopass": not m["passes"], "allfail": m["fails"] == t.n,
                "allright": m["right"] == t.n, "allwrong": m["wrong"] == t.n,
                **_limits(t.test),
                "pass": m["passes"] > 0, "guard": bool(m["guard"]),
                "noguard": not m["guard"],
                "whole": m["passes"] + m["fails"] + m["close"] == t.n})  # fmt: skip
    r, value = t.range or t.ranges.get(95), t.estimate or 0.0
    why = t.more.get("undefined", "")
    if r is None:
        return defaultdict(bool, {
            "nospread": why == "no-spread", "notnospread": why != "no-spread",
            "linked": t.kind in ("association", "no-association", "tracks-within", "same-line"),
            "notlinked": t.kind in ("break-in", "change", "trend"), "nochange": why == "no-change",
            "updown": bool(t.more.get("up_and_down")), "notupdown": not t.more.get("up_and_down"),
            "nothing": not t.n, "few": bool(t.more.get("few") and t.n),
            **{f"takes{n}": t.more.get("takes") == n for n in (2, 3, 4, 6, None)},
            **{w: why == w for w in ("one-moved", "no-line", "few-in-line", "too-few-readings",
                                     "no-checkpoints", "one-per-side", "no-side", "one-operator",
                                     "no-repeats", "unbalanced", "too-few-items", "none-free")},
            "norange": t.estimate is not None, "nonumber": t.estimate is None,
            "nil": t.estimate == 0,
            "unsized": True, "noway": True, **_level(t),
            "single": t.n == 1, "several": (t.n or 0) > 1, "two": t.n == 2, "nottwo": t.n != 2,
            "backward": (t.estimate or 0) < 0,
            "forward": (t.estimate or 0) >= 0,
            "notgiven": not t.more.get("given"), "notabout": True, "notodds": True,
            "notalike": True, "detects": "detects" in t.more, "notdetects": "detects" not in t.more,
            **_of_a_gauge(t),
        })  # fmt: skip
    where, guess = _needs(t), _guess_in(t)
    near_, far = sorted((t.toward(r[0]), t.toward(r[1])))
    size, margin = t.size or 0.0, t.margin or 0.0
    claimed = not t.side or t.side * value > 0
    paired = t.kind == "rate-difference" and not t.more.get("independent")
    return defaultdict(bool, {
        "single": t.n == 1, "several": t.n != 1, "zero": r[0] <= 0 <= r[1],
        "wide": r[0] < r[1], "level": r[0] == r[1] == 0,
        "clear": r[0] > 0 or r[1] < 0, "in": where == "in",
        "sureclear": _sure(t, r), "unsure": not _sure(t, r),
        "room": _moved_out(t, r, -1e-6) == "part", "touch": _moved_out(t, r, -1e-6) != "part"
        and _moved_out(t, r, 1e-6) == "part",
        "out": where == "out", "part": where == "part", "notin": where != "in",
        "notout": where != "out", "guessin": guess, "notguessin": not guess, "claimed": claimed,
        "notclaimed": not claimed, "other": bool(t.side) and t.side * value < 0,
        "notother": not t.side or t.side * value >= 0,
        "notreversed": not t.side or max(t.side * r[0], t.side * r[1]) >= 0,
        "sized": t.size is not None, "unsized": t.size is None, "past": near_ >= size,
        "short": far < size, "spans": near_ < size <= far,
        "within": max(abs(r[0]), abs(r[1])) <= margin,
        "notwithin": max(abs(r[0]), abs(r[1])) > margin,
        "pastmargin": r[0] > margin or r[1] < -margin, "guesswithin": abs(value) <= margin,
        "small": (r[0] > 0 or r[1] < 0) and min(abs(r[0]), abs(r[1])) < margin,
        "given": bool(t.more.get("given")), "notgiven": not t.more.get("given"),
        "odds": "odds" in t.more, "notodds": "odds" not in t.more,
        "alike": "alike" in t.more, "notalike": "alike" not in t.more,
        "about": "about" in t.more, "notabout": "about" not in t.more,
        "partleft": 0 <= t.more.get("left", -1.0) <= 1, "grew": t.more.get("left", 0.0) >= 1.05,
        "asmuch": 1 < t.more.get("left", 0.0) < 1.05,
        "strong": bool(t.more.get("strong")), "notstrong": not t.more.get("strong"),
        "all": max(t.ups or 0, t.downs or 0) == t.n, "notall": _along(t) != t.n,
        "way": bool(t.side), "noway": not t.side, "paired": paired, "unpaired": not paired,
        **_allowed(t, value, where == "in"), "nomargin": t.margin is None,
        "slight": (t.margin or 0.0) <= 0.3, "notslight": (t.margin or 0.0) > 0.3,
        "detects": "detects" in t.more, "scattered": bool(t.more.get("scattered")),
        "notscattered": not t.more.get("scattered"),
        "ragged": bool(t.more.get("ragged")), "evenway": not t.more.get("ragged"),
        "uneven": t.more.get("uneven") is not None and not t.more["ragged"],
        "pastends": bool(t.more.get("pastends")),
        "below": (t.more.get("uneven") or (0, 0))[1] < 0,
        "above": (t.more.get("uneven") or (0, 0))[1] > 0,
        "odd1": t.more.get("odd") == 1, "oddmany": t.more.get("odd", 0) > 1,
        "pinch": t.more.get("good") != t.more.get("poor"),
        "nopinch": t.more.get("good") == t.more.get("poor"),
        "undergood": r[1] < t.more.get("good", 0.0),
        "notundergood": r[1] >= t.more.get("good", 0.0),
        "pastgood": r[0] > t.more.get("good", 0.0), "reachesgood": r[0] <= t.more.get("good", 0.0),
        "over": value > 1, "notover": value <= 1, "mostsure": r[0] >= 0.8,
        "halfsure": r[0] > 0.5, "nothalf": r[0] <= 0.5,
        "gone": t.more.get("before", 1.0) < 0.2, "notgone": t.more.get("before", 1.0) > 1e-5,
        "notmostsure": r[0] < 0.8, "marginal": value > 10, "notmarginal": value <= 10, **_level(t),
    })  # fmt: skip


def _sure(t: Truth, r: tuple[float, float]) -> bool:
    """Whether nothing lies outside the 95% range, too, whichever range the claim is held to."""
    return all(low > 0 or high < 0 for low, high in (r, t.ranges.get(95, r)))


def _allowed(t: Truth, value: float, inside: bool) -> Mapping[str, bool]:
    """Whether a claim that nothing changed allows more (or less) than what counts elsewhere, and
    whether what it allows is a change all the same: past that, or sure to be there."""
    counts, low_high = t.more.get("matters"), t.ranges.get(95)
    wider = t.kind == "no-change" and counts is not None and t.margin != counts
    there = low_high is not None and not low_high[0] <= 0 <= low_high[1]
    past = wider and max(map(abs, t.ranges.get(90, (value, value)))) > counts
    yet = t.kind == "no-change" and inside and (there or past)
    return {"wider": wider, "notwider": not wider, "yetmoved": yet, "still": not yet}


def _level(t: Truth) -> Mapping[str, bool]:
    """Whether the link is one inside each item or one from item to item."""
    inner = t.test.get("within") is True
    return {"inner": inner, "between": not inner}


def _of_a_gauge(t: Truth) -> Mapping[str, bool]:
    """What a share says of a gauge that too few have read to put a range on it."""
    if t.kind != "repeatability":
        return {}
    value = t.estimate or 0.0
    return {"guessin": value <= t.more["poor"], "notguessin": value > t.more["poor"],
            "marginal": value > 10, "notmarginal": value <= 10, "fewreaders": True,
            "pinch": t.more.get("good") != t.more["poor"],
            "nopinch": t.more.get("good") == t.more["poor"]}  # fmt: skip


def _along(t: Truth) -> int:
    return (t.ups if (t.estimate or 0) > 0 else t.downs) or 0


def _sign(word: str) -> int:
    return -1 if word in ("fell", "drop", "down", "Down", "fallen", "fall", "smoother", "hook less",
                          "hooking less") else 1  # fmt: skip


def _printed(value: float, text: str) -> bool:
    """Whether ``text`` is ``value`` rounded; words for shares are near enough."""
    if "next to nothing" in text or "almost 0" in text:
        return True
    digits = re.search(r"\d[\d,]*(?:\.\d+)?", text)
    if digits is None:
        words = {"none": 0, "all": 1, "half": 0.5, "quarter": 0.25, "three quarters": 0.75,
                 "nine tenths": 0.9, "tenth": 0.1, "third": 0.33, "two thirds": 0.67}  # fmt: skip
        told = next((v for k, v in sorted(words.items(), key=lambda kv: -len(kv[0]))
                     if k in text), None)  # fmt: skip
        return told is None or abs(told - value) <= 0.07
    scale = 100 if "%" in text and abs(value) < 3 else 1
    return any(near(value * s, digits[0]) for s in {1.0, scale, 100.0, 10.0, 1000.0})


def _ranged(t: Truth, text: str) -> bool:
    r = t.range or t.ranges.get(95)
    found = re.findall(r"−?\d[\d,]*(?:\.\d+)?", re.sub(r"\([^)]*\)", "", text))
    if r is None or not found:
        return False
    ends = sorted(abs(v) for v in r)
    told = sorted(abs(float(d.replace("−", "-").replace(",", ""))) for d in found[:2])
    if _BOTH_SIDES.search(text) and not r[0] < 0 < r[1]:
        return False
    if len(told) < 2:
        return text.strip().startswith("about")
    return any(all(near(e * s, f"{d:g}") or abs(e * s - d) <= 0.051 * max(e * s, 1e-9) or
                   abs(e * s - d) < 0.5000001 * 10.0 ** -_places(found)
                   for e, d in zip(ends, told, strict=True))
               for s in (1.0, 10.0, 100.0, 1000.0))  # fmt: skip


def _places(found: list[str]) -> int:
    return min(len(d.partition(".")[2]) for d in found[:2])


def _fits(t: Truth, name: str, text: str) -> bool:
    """Whether what stands in one place of a frame is so."""
    name = name.rpartition("_")[0] if re.search(r"_\d$", name) else name
    for names, check in PLACES.items():
        if name in names.split():
            return check(t, name, text)
    return True


def _given(t: Truth, name: str, text: str) -> bool:
    given = t.margin if name == "margin" else t.size
    return given is not None and _printed(given, text)


def _counted(t: Truth, name: str, text: str) -> bool:
    return count(text) == (_along(t) if name == "same" else t.more.get(name))


def _goes(t: Truth, name: str, text: str) -> bool:
    value = t.estimate or 0.0
    way = (1 if value > 0 else -1) * (-1 if name == "thooking" else 1)
    return value == 0 or text == "change" or _sign(text) == way


def _side(t: Truth, name: str, text: str) -> bool:
    return (text == ("Plover" if (t.estimate or 0.0) > 0 else "Teasel")) == (name == "ahead")


def _went(t: Truth, name: str, text: str) -> bool:
    """*Rose by 18 pins* of a group's own change, or *by 5 pins* where both went one way."""
    change, first = t.more[name], t.more["change_a"]
    way, _, size = f" {text}".partition(" by ")
    alike = name == "change_b" and first * change > 0
    told = "rose" if change > 0 else "fell" if change < 0 else "changed"
    return way.strip() == ("" if alike else told) and (
        "next to nothing" in size or _printed(abs(change), size)
    )


#: What each kind of place must hold to be so; any other may hold anything.
PLACES: dict[str, Callable[[Truth, str, str], bool]] = {
    "n N": lambda t, name, text: count(text.split()[0]) == t.n,
    "est": lambda t, name, text: _printed(abs(t.estimate or 0.0), text),
    "rng": lambda t, name, text: _ranged(t, text),
    "margin least": _given,
    "marginside": lambda t, name, text: (text.startswith("−") == ((t.estimate or 0.0) < 0)
                                         and _given(t, "margin", text.removeprefix("−"))),
    "same passes fails close agree": _counted,
    "fell drop down Down came hooks thooking": _goes,
    "cfell cdown cdrop cfallen fall chooks chooking": lambda t, name, text: _as_said(t, name, text),
    "end": lambda t, name, text: (text == "−1") == ((t.estimate or 0.0) < 0),
    "scale": lambda t, name, text: _scale(t, text),
    "ahead behind": _side,
    "odds times": lambda t, name, text: name in t.more and near(t.more[name], text),
    "orng": lambda t, name, text: "odds" in t.more and all(
        abs(float(told) / t.more[end] - 1) < 0.006
        for told, end in zip(text.split(" to "), ("odds_low", "odds_high"), strict=True)),
    "above": lambda t, name, text: (text == "above") == ((t.estimate or 0.0) > 0),
    "held": lambda t, name, text: text == t.more.get("held"),
    "before left about": lambda t, name, text: name in t.more and _printed(t.more[name], text),
    "mdd detects share": lambda t, name, text: name in t.more and _printed(t.more[name], text),
    "mean_a mean_b": lambda t, name, text: name not in t.more or _printed(t.more[name], text),
    "change_a change_b": lambda t, name, text: name not in t.more or _went(t, name, text),
    "line": lambda t, name, text: count(text.split()[0]) == t.more.get("n_line"),
    "good poor": lambda t, name, text: float(text) == t.more[name],
    # For an ear: the estimate, the cautious end of its range, what was set, both ends in words.
    "ear": lambda t, name, text: ears.near(text, _told(t, t.estimate or 0.0)),
    "lo": lambda t, name, text: _cautious(t, text),
    "mar": lambda t, name, text: ears.near(text, t.margin or 0.0, 0.001),
    "way": lambda t, name, text: 0.9 < abs(t.estimate or 0.0) < 1 if text == "nearly all"
    else ears.near(text, t.estimate or 0.0),
    "either": lambda t, name, text: _both_ends(t, text),
}


def _ends(t: Truth) -> tuple[float, float]:
    return t.range or t.ranges.get(95) or (0.0, 0.0)


def _told(t: Truth, value: float) -> float:
    """A gap between rates is told in a hundred tries."""
    return 100 * value if t.kind == "rate-difference" else value


def _cautious(t: Truth, text: str) -> bool:
    """The end that a size is no less than; of two digits never rounded up."""
    end = _told(t, min(map(abs, _ends(t))))
    return ears.near(text, end) and (abs(end) < 9.5 or ears.read_back(text) <= abs(end) + 1e-9)


def _both_ends(t: Truth, text: str) -> bool:
    """*Maybe 5 microinches smoother, maybe 8 rougher*: less first, each as far as the range."""
    found = _EITHER.fullmatch(text)
    if found is None or found["less"] not in _LESS or (found["more"] or "") not in ("", *_MORE):
        return False
    low, high = _ends(t)
    if found["same"]:
        return low < 0 < high and ears.near(found["a"], low) and ears.near(found["a"], high)
    return low < 0 < high and ears.near(found["a"], low) and ears.near(found["b"], high)


_LESS, _MORE = ("smoother", "less hook", "softer"), ("rougher", "more", "more hook", "harder")
_EITHER = re.compile(
    r"[Mm]aybe (?P<a>.+?) (?P<less>smoother|less hook|softer), maybe "
    r"(?:(?P<same>as much) (?:rougher|more)|(?P<b>.+?) (?P<more>rougher|more hook|more|harder))"
)


def _as_said(t: Truth, name: str, text: str) -> bool:
    side = t.side
    if not side:
        if text in ("change", "changed"):
            return True
        way = 1 if (t.estimate or 0) > 0 else -1
        return _sign(text) == (-way if name == "chooking" else way)
    if name == "chooking":
        return _sign(text) == -side
    return _sign(text) == side


def _scale(t: Truth, text: str) -> bool:
    r = t.range or (0.0, 0.0)
    if r[0] < 0 < r[1]:
        return "from" in text
    return text.endswith("−1") == ((t.estimate or 0) < 0)


_CLAUSE = re.compile(r"\b(fell|rose|changed|rougher than|smoother than|hook more|hook less|differ|"
                     r"towards rougher|towards smoother|falls|rises|changes|hooking more|"
                     r"drifts down|drifts up|drifts|hooking less|"
                     r"with Plover than|with Teasel than)\b")  # fmt: skip


def _clause(t: Truth, text: str) -> bool:
    """A claim in a clause says what the claim says: its way, its size, how strong."""
    if "odds" in t.more:
        if t.size is not None and f"{t.more['times']:g} times" not in text:
            return False
    elif t.size is not None and not _printed(t.size, text.partition(" by ")[2] or "none"):
        return False
    if bool(t.more.get("strong")) != ("strongly" in text):
        return False
    if t.kind == "no-association" and _level(t)["inner"] != ("inside a" in text):
        return False
    found = _CLAUSE.search(text)
    if found is None or not t.side:
        return True
    way = -1 if re.search("fell|smoother|less|falls|down|with Teasel than", found[0]) else 1
    return way == (-t.side if "hooking" in found[0] else t.side)


def unread(text: str, truth: Truth, file: str = "meaning.txt") -> Iterator[str]:
    """Every sentence of ``text`` that is false, or that no frame knows."""
    if (junk := JUNK.search(text)) is not None:
        yield f"junk {junk[0]!r}: {text}"
    so = _so(truth)
    known = [*frames(file).get(truth.kind, ()), *frames(file).get("any", ())]
    for said in sentences(counted_out(" ".join(text.split()))):
        tried = []
        for conditions, pattern, frame in known:
            found = pattern.fullmatch(said)
            if found is None:
                continue
            false = [c for c in sorted(conditions) if not so[c]]
            places = {k: v for k, v in found.groupdict().items() if v is not None}
            false += [f"<{k}> {v!r}" for k, v in places.items() if not _fits(truth, k, v)]
            false += [f"<clause> {v!r}" for k, v in places.items()
                      if k == "clause" and not _clause(truth, v)]  # fmt: skip
            if not false:
                break
            tried.append(f"{frame!r} but for {', '.join(false)}")
        else:
            yield f"{said!r}: {'; '.join(tried) or 'no frame knows it'}"
