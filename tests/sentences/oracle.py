"""The oracle: printed sentences held against the truth, by what they say and not by who says it.

``RULES`` maps a pattern of words to what must be so for them to be true.  It looks at any text of
a claim (page, sheet, card or script) and knows neither the phrase book nor its conditions.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any

from sentences.truth import Truth, near

from explainer.claims.figure_data import LimitData
from explainer.claims.limit import LimitDetail
from explainer.claims.verdict import Judgement

_ONES = "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen"
NUMBERS = {word: n for n, word in enumerate(
    f"{_ONES} sixteen seventeen eighteen nineteen twenty".split(), start=1)}  # fmt: skip
NUMBERS |= {
    tens + one: n + k for tens, n in (("thirty", 30), ("forty", 40), ("twenty", 20))
    for k, one in enumerate(["", *(f"-{w}" for w in _ONES.split()[:9])])
} | {"none": 0}  # fmt: skip
NUMBER = r"−?\d[\d,]*(?:\.\d+)?"
#: ``a drop of 15 microinches to a rise of 4``, ``−0.31 to 0.97``, ``17 to 25 boards``.
RANGE = re.compile(
    rf"(?:(?P<first>an? [\w ]+?|[\w ]+? by) (?:of )?)?(?P<low>{NUMBER})(?:%| [A-Za-zµ ]+?)? to "
    rf"(?:(?P<last>an? [\w ]+?|[\w ]+? by) (?:of )?)?(?P<high>{NUMBER})"
)

Rule = tuple[str, Callable[[Truth, "re.Match[str]"], bool | None], str]
#: Patterns are looked for in one sentence at a time; None means: cannot be said here.
RULES: list[Rule] = []


def rule(pattern: str, why: str) -> Callable[[Any], Any]:
    def add(check: Callable[[Truth, re.Match[str]], bool | None]) -> Any:
        RULES.append((pattern, check, why))
        return check

    return add


def count(word: str) -> int | None:
    word = word.casefold().replace(",", "")
    return int(word) if word.isdigit() else NUMBERS.get(word)


def _range(t: Truth) -> tuple[float, float] | None:
    return t.range or t.ranges.get(95)


def one_sided(t: Truth) -> bool | None:
    r = _range(t)
    return None if r is None else r[0] > 0 or r[1] < 0


def _sizes(t: Truth) -> tuple[float, float] | None:
    """Both ends counted in the direction the claim says, the smaller first."""
    r = _range(t)
    if r is None:
        return None
    low, high = sorted(t.toward(v) for v in r)
    return low, high


# ---- nothing in the range, or not

@rule(r"so does none|no gap at all|takes? in zero|room for nothing|either way round|nothing at all"
      r"|none at all both|rule out a flat line|cannot separate|room for no gap|a link and none"
      r"|link one way to a link the other|could be anything from .* nothing to hang|you could read "
      r"this either way|can't see whether|Does .* drift up or down|both answers fit",
      "the range takes in zero")  # fmt: skip
def _nothing(t: Truth, m: re.Match[str]) -> bool | None:
    clear = one_sided(t)
    return None if clear is None else not clear


@rule(r"all of it is a|at either end|keeps clear of zero|all (?:of it )?on (?:the same|one|that) side"
      r"|lies on that side|is on that side|whole likely range,[^,]*, is a (?:drop|rise)|is all on",
      "the range is all on one side of zero")  # fmt: skip
def _clear(t: Truth, m: re.Match[str]) -> bool | None:
    return one_sided(t)


# ---- which way

@rule(r"average (?:[\w' ]+ )?of [\w-]+ \w+ (fell|rose) |went (down|up) by|that is a (drop|rise)|, a "
      r"(drop|rise) of about|looks like a (drop|rise)|is a (drop|rise)\.|There is a (drop|rise) in"
      r"|is that [\w ]+ (fell|rose) |(?<!Does )drift (down|up)(?! or| of| by| over| as)"  # "Does it drift up over the shots?" asks
      r"|drifted (down|up)(?! or| of| by)|drift of [^,.]*, (down|up)"
      r"|is (down|up) by"
      r"|went (down|up):|average (drop|rise) (?:in|of)|the other way, (down|up) by|"
      r"(fell|rose) here, and", "the estimate goes that way")  # fmt: skip
def _way(t: Truth, m: re.Match[str]) -> bool | None:
    if t.estimate is None or t.estimate == 0:
        return None
    word = next(g for g in m.groups() if g)
    return (t.estimate < 0) == (word in ("fell", "down", "drop"))


@rule(r"went the other way|It is the other way round|runs the other way|drifts the other way"
      r"|it goes the other way|not what the report says|and not the way that is claimed"
      r"|came more often with [\w ]+, not with", "against the claimed direction")  # fmt: skip
def _other(t: Truth, m: re.Match[str]) -> bool | None:
    return None if t.estimate is None or not t.side else t.side * t.estimate < 0 or not t.estimate


@rule(r"So a? ?[\w ]+ (?:went|is).*further towards", "the gap between the changes is there")
def _further(t: Truth, m: re.Match[str]) -> bool | None:
    return None if t.estimate is None else t.estimate != 0


# ---- the size claimed

@rule(r"past the [^.]*claim|where the report claims [^.]* or more|more than the [^.]* claimed"
      r"|where [^.]* or more was claimed", "the whole range is past the size claimed")  # fmt: skip
def _past(t: Truth, m: re.Match[str]) -> bool | None:
    sizes = _sizes(t)
    return None if sizes is None or t.size is None else sizes[0] >= t.size


@rule(r"falls short of the|not that much of one|comes up to the|does not get there|but only by about"
      , "the whole range is short of the size claimed")  # fmt: skip
def _short(t: Truth, m: re.Match[str]) -> bool | None:
    sizes = _sizes(t)
    return None if sizes is None or t.size is None else sizes[1] < t.size


@rule(r"may fall short of the|or more fits in there\. So does less|has less in it, and more"
      r"|may fall short of the size", "the size claimed lies in the range")  # fmt: skip
def _astride(t: Truth, m: re.Match[str]) -> bool | None:
    sizes = _sizes(t)
    if sizes is None or t.size is None:
        return None
    return sizes[0] < t.size <= sizes[1] or (not t.side and sizes[0] <= -t.size)


# ---- what counts

@rule(r"stays inside|never gets past|all of it less than the|is likely under|held steady\.|stayed put"
      r"|is a small one|by (?:a weak|no strong) link",
      "the range lies inside what counts")  # fmt: skip
def _within(t: Truth, m: re.Match[str]) -> bool | None:
    r = t.ranges.get(90) or _range(t)
    if r is None or t.margin is None or t.kind in ("limit", "repeatability"):
        return None
    return max(abs(r[0]), abs(r[1])) <= t.margin


@rule(r"goes past|not enough to settle this|which would not count, and some is more"
      r"|takes in links under|and past [\d.]+ it would count", "the range reaches past it")  # fmt: skip
def _beyond(t: Truth, m: re.Match[str]) -> bool | None:
    r = t.ranges.get(90)
    if r is None or t.margin is None:
        return None
    return max(abs(r[0]), abs(r[1])) > t.margin


@rule(r"whole 90% range[^.]* is past the|whole 90% range[^.]* is past 0|It did move|are linked after all",
      "the whole range is past what counts")  # fmt: skip
def _moved(t: Truth, m: re.Match[str]) -> bool | None:
    r = t.ranges.get(90)
    if r is None or t.margin is None:
        return None
    return r[0] > t.margin or r[1] < -t.margin


# ---- shares

@rule(r"stops short of most|plenty still to come", "the share is less than most")
def _early_short(t: Truth, m: re.Match[str]) -> bool | None:
    r = t.ranges.get(90)
    return None if r is None else r[1] < 0.8


@rule(r"went too far and came back", "more than all was done by then")
def _overshot(t: Truth, m: re.Match[str]) -> bool | None:
    r = t.ranges.get(90)
    return None if r is None else r[0] > 1


@rule(r"it may have been that much, or less|that may be most of it, or not",
      "the share may be most or less")  # fmt: skip
def _maybe_most(t: Truth, m: re.Match[str]) -> bool | None:
    r = t.ranges.get(90)
    return None if r is None else r[0] <= 0.8 <= r[1]


@rule(r"is 80% or more, so most of it was done", "most was done by then")
def _past_most(t: Truth, m: re.Match[str]) -> bool | None:
    r = t.ranges.get(90)
    return None if r is None else r[0] >= 0.8 - 1e-9


@rule(r"no share of it to work out: (.+)\.", "so many went up, went down and did neither")
def _each_way(t: Truth, m: re.Match[str]) -> bool | None:
    if "ways" not in t.more or t.n is None:
        return None
    up, down = t.more["ways"]
    there = {"went up": up, "went down": down, "did neither": t.n - up - down}
    told = dict.fromkeys(there, 0)
    for part in re.split(r", | and ", m[1]):
        number, way = part.split(" ", 1)
        told[way] = count(number) or 0
    return told == there


@rule(r"Most of it comes early|was as good as over|along the very line", "the range lies in its zone")
def _zone(t: Truth, m: re.Match[str]) -> bool | None:
    r = t.ranges.get(90)
    return None if r is None else r[0] >= 0.8 and r[1] <= 1.25


@rule(r"keeps clear of 100%|does not move a \w+ along the line", "the range keeps clear of all")
def _off_line(t: Truth, m: re.Match[str]) -> bool | None:
    r = t.ranges.get(90)
    return None if r is None else r[1] < 0.8 or r[0] > 1.25


# ---- where nothing moved there is no link, and none of 0

@rule(r"a link within a \w+ of|\bthe link there, over|Inside one and the same [^.]*: the link",
      "some item changed in both")  # fmt: skip
def _moved_both(t: Truth, m: re.Match[str]) -> bool | None:
    return t.more.get("moves")


@rule(r"In no \w+ did both", "no item changed in both")
def _moved_neither(t: Truth, m: re.Match[str]) -> bool | None:
    moves = t.more.get("moves")
    return None if moves is None else not moves


@rule(r"(By the \w+ checkpoints? that all of them share, )?([\w ]+) came out the same for (?:both|all)(?! of)"
      r"(?: [\w-]+){1,2}?( of one and the same)?(?=[ ,])",
      "these are the same for all items, by the readings that are named")  # fmt: skip
def _flat(t: Truth, m: re.Match[str]) -> bool | None:
    flat = t.more.get("flat")
    if flat is None:
        return None
    there = {name.casefold() for name in flat[bool(m[1]), bool(m[3])]}
    return all(name.casefold() in there for name in m[2].split(" and "))


# ---- all, some, how many

@rule(r"Every one of them went that way|drifted (?:down|up) over the [\w ]+ in all|all [\w-]+ \w+ went "
      r"the same way", "all went one way")  # fmt: skip
def _all(t: Truth, m: re.Match[str]) -> bool | None:
    if t.ups is None or t.downs is None or t.n is None:
        return None
    return max(t.ups, t.downs) == t.n


@rule(r"It was that way for ([\w,]+) of them|(?:For|was for) ([\w,]+) of [\w-]+ \w+",
      "so many went the way of the average")  # fmt: skip
def _some(t: Truth, m: re.Match[str]) -> bool | None:
    told = count(next(g for g in m.groups() if g))
    if t.ups is None or t.downs is None or told is None or t.estimate is None:
        return None
    return told == (t.ups if t.estimate > 0 else t.downs)


@rule(r"^All ([\w-]+) \w+ pass the limit", "all pass")
def _pass(t: Truth, m: re.Match[str]) -> bool | None:
    return t.kind != "limit" or "wrong" not in t.more or t.more["wrong"] == 0


@rule(r"Not every \w+ passes|(\d+) miss(?:es)? (?:it|\d)", "some read on the wrong side")
def _fail(t: Truth, m: re.Match[str]) -> bool | None:
    if t.kind != "limit" or "wrong" not in t.more:
        return None
    return t.more["wrong"] >= (count(m[1]) if m.lastindex and m[1] else 1)  # type: ignore[operator]


@rule(r"Not one of [\w-]+ \w+ misses", "none fails for sure; all read right or close")
def _none_fails(t: Truth, m: re.Match[str]) -> bool | None:
    return None


@rule(rf"of −\d[^.,;]*?(?:\.\d+)?[^.,;]*, likely (?!−)(?:about )?{NUMBER} to (?!−){NUMBER}",
      "a number below nothing with a range above it")  # fmt: skip
def _signs(t: Truth, m: re.Match[str]) -> bool | None:
    return False


# ---- what would settle it

@rule(r"would show a link of", "a strong link is told from one on its line, not from none")
def _settles(t: Truth, m: re.Match[str]) -> bool | None:
    return not t.test.get("strong")


@rule(r"(?:[Aa]bout|With about) [\d,]+ \w+ would show (?!a link)|about [\d,]+ \w+ would show (?!a "
      r"link)", "how many tell a size from nothing does not settle a claim of that size at least")  # fmt: skip
def _settles_size(t: Truth, m: re.Match[str]) -> bool | None:
    return t.size is None


# ---- what it hangs on, and who was read how often

@rule(r"(?:more than halves|all but vanishes|turns round), to (−?[\d,.]*\d)|Leave out [^.]*, and "
      r"(?:it |less )(all but vanishes|turns round|than half of it is left)",
      "what is left without it is that")  # fmt: skip
def _without(t: Truth, m: re.Match[str]) -> bool | None:
    left, whole = t.more.get("without"), t.more.get("whole")
    if left is None or not whole:
        return None
    share = left / whole
    if "vanishes" in m[0]:
        return abs(share) < 0.2
    return share < 0 if "turns round" in m[0] else abs(share) < 0.5


@rule(r"Leave out (?!two |one )[^.]*?,? and (?:it|the number|the share|the average)|Without that one (?!checkpoint)"
      r"|It (?:leans|hangs) on|[Oo]ne (?!checkpoint)\w+ (?:should not carry|carries it)|is one of many",
      "one carries it alone")  # fmt: skip
def _one_carries(t: Truth, m: re.Match[str]) -> bool | None:
    carriers = t.more.get("carriers")
    if not carriers or (" and " in m[0] and m[0].startswith("Leave out") and len(carriers) == 2
                        and re.search(r"Leave out \w+ .* and \w+ \w+.* and ", m[0])):  # fmt: skip
        return None
    return len(carriers) == 1


@rule(r"(?:Leave out|Without) (?:one \w+(?:, any of (?P<n>\d+))?|(?!two )[^.]*?),? (?:and )?(?P<then>the "
      r"best guess gives another answer|too little is left)", "without each of so many it is so")  # fmt: skip
def _hangs_on(t: Truth, m: re.Match[str]) -> bool | None:
    if "shares_without" not in t.more:
        return None
    done = 0.8 <= t.more["share"] <= 1.25
    turned = [done != (0.8 <= share <= 1.25) for share in t.more["shares_without"]]
    unsure = [not sure for sure in t.more["sure_without"]]
    return sum(turned if "guess" in m["then"] else unsure) >= int(m["n"] or 1)


@rule(r"(?:the number|the share) cannot be worked out|less than half of what was found|all but vanishes"
      , "so little is left of the share without some one")  # fmt: skip
def _share_gone(t: Truth, m: re.Match[str]) -> bool | None:
    if "shares_without" not in t.more:
        return None
    return any(abs(share) < 0.5 * abs(t.more["share"]) for share in t.more["shares_without"])


@rule(r"Leave out two \w+|[Tt]wo \w+ (?:should not carry|carry it)|Without those two|are two of many",
      "two carry it together")  # fmt: skip
def _two_carry(t: Truth, m: re.Match[str]) -> bool | None:
    carriers = t.more.get("carriers")
    return None if not carriers else len(carriers) == 2


@rule(r"one and the same \w+ it is not clear|Inside one kind it is not clear",
      "the range inside the groups is not all on one side")  # fmt: skip
def _between_only(t: Truth, m: re.Match[str]) -> bool | None:
    clear = one_sided(t)
    return None if clear is None or t.test.get("strong") else not clear


@rule(r"(?:[Ee]ach was|They were|and|\),) read (?P<upto>up to )?(?P<n>[\w-]+) times(?! each)",
      "that is how often each was read")  # fmt: skip
def _read_so_often(t: Truth, m: re.Match[str]) -> bool | None:
    often = t.more.get("often")
    if not often:
        return None
    return count(m["n"]) == max(often) and (bool(m["upto"]) or min(often) == max(often))


@rule(r"(?:followed|rolled) for (?P<upto>up to )?(?P<n>\d+) games", "each was followed that far")
def _followed(t: Truth, m: re.Match[str]) -> bool | None:
    until = t.more.get("until")
    if not until:
        return None
    return count(m["n"]) == max(until) and (bool(m["upto"]) or min(until) == max(until))


@rule(r"(?:drifted [^.]*|way, \w+), by [^.]* in all\b|From start to finish, that's",
      "each went as far along the series")  # fmt: skip
def _all_the_way(t: Truth, m: re.Match[str]) -> bool | None:
    return None if "ragged" not in t.more else not t.more["ragged"]


@rule(r"Sure of the direction|^Real\b|\bis there, and", "that there is something outlasts the correction, "
      "and no one checkpoint makes it")  # fmt: skip
def _sure_of_it(t: Truth, m: re.Match[str]) -> bool | None:
    if t.kind == "no-change" or "p_holm" not in t.more:
        return None
    p = t.more["p_holm"]
    return (p is None or p < 0.05) and "one-step" not in t.more["reasons"]


@rule(rf"The other readings alone would put the change at (?P<n>{NUMBER})",
      "the others' change, by the means that the change is of")  # fmt: skip
def _other_readings(t: Truth, m: re.Match[str]) -> bool | None:
    without = t.more.get("step_without")
    return None if without is None else near(without, m["n"])


@rule(r"(?:^|: )(?P<n>[\w-]+) (?:balls?|bowlers?|patients?|rivers?|lanes?) lacks? at least one\b",
      "so many of the claim's own lack a reading it takes")  # fmt: skip
def _lacking(t: Truth, m: re.Match[str]) -> bool | None:
    lack = t.more.get("lack")
    return None if lack is None or count(m["n"]) is None else count(m["n"]) == lack


# ---- numbers

@rule(r"(?:likely|range(?: of| is|, |[^,.]* is|) ?|could be|anything from) ?(?P<range>[^.]*\d[^.]* to "
      r"[^.]*\d(?:\.\d+)?)", "the range printed is the range")  # fmt: skip
def _printed(t: Truth, m: re.Match[str]) -> bool | None:
    found = RANGE.search(m["range"])
    before = m.string[: m.end()]
    if any(words in before for words in ("have them all it is", "place of the missing end",
                                         "where all of them were read")):  # fmt: skip
        return None  # of fewer items, or more, or of a part of their use, and not the claim's own
    if found is None or not t.own or t.kind not in ("change", "no-change", "difference",
                                                    "difference-in-change"):  # fmt: skip
        return None
    low, high = found["low"], found["high"]
    # One that is told by its level is of that level, and the likely one is the 95% one.
    named = re.search(r"(\d\d)% $", m.string[: m.start()])
    likely = re.search(r"likely (?:range\b)?$", m.string[: m.start()]) or m[0].startswith("likely")
    level = int(named[1]) if named else 95 if likely else None
    ranges = [r for k, r in t.ranges.items() if level in (None, k)]
    return any(
        (near(a, low) and near(b, high)) or (near(a, high) and near(b, low)) for a, b in ranges
    )


@rule(r"(?:the number|Without that one [\w ]+|The other readings alone)[^.]*?−?\d[\d.]*%",
      "percentages differ by points of them, not by so many percent")  # fmt: skip
def _in_points(t: Truth, m: re.Match[str]) -> bool | None:
    return t.kind not in ("change", "no-change", "difference", "difference-in-change")


JUNK = re.compile(
    r"\bnan\b|(?-i:\bNone\b(?! of))|\binf\b|\b0 of \d|\b1 of 1\b|\bnone of 0\b|\b(\w{2,}) \1\b(?<!had had)|specieses|dayses|"
    r"\ba [aeio]\w|\b1 (?:balls|bowlers|patients|rivers|lanes)\b|\{|\}|undefined|  |"
    r"\bdrop of 0 |\brise of 0 |(?-i:\bGoing by)|(?<!-)\bOne (?:balls|bowlers|patients|rivers|lanes)\b|"
    r"\ball 2 (?:balls|bowlers|patients|rivers|lanes)|\b(\d+) of \2 \w+ (?:pass|miss|meet)|"
    r"\bthe \d[\d,]* that\b|"  # of what is not said
    # One alone is one board, and at the end of a range it is several.
    r"(?<!to )(?<!and )(?<![\d.,\u2212-])\u2212?\b1 (?:boards|feet|inches|microinches|mils|games|shots|"
    r"percentage points|distances)\b|\bbetween \u2212?[\d.]+ and 1 (?:board|foot|inch|microinch)\b",
    re.IGNORECASE,
)
ALLOWED = re.compile(r"a one\b|a user|a unit|a European|one one|more and more|that that|is is", re.IGNORECASE)


_BOTH = re.compile(r"\b([Bb])oth (?=balls|bowlers|patients|rivers|lanes)")


def counted_out(text: str) -> str:
    """``both balls`` as the count that they are."""
    return _BOTH.sub(lambda found: f"{'A' if found[1] == 'B' else 'a'}ll 2 ", text)


def sentences(text: str) -> list[str]:
    return re.split(r"(?<=[.?!])\s+(?=[A-Z0-9“])", text)


def false_in(text: str, truth: Truth) -> Iterator[str]:
    """Every sentence of ``text`` that is not so, with what it would take."""
    junk = JUNK.search(text)
    if junk and not ALLOWED.search(junk[0]):
        yield f"junk {junk[0]!r}: {text}"
    whole = " ".join(text.split())
    for pattern, check, why in RULES:
        for said in {whole, *sentences(whole)}:
            for found in re.finditer(pattern, said):
                if check(truth, found) is False:
                    yield f"{found[0]!r} ({why}): {whole}"
                    break
            else:
                continue
            break


def unlike_gauges(judgement: Judgement) -> Iterator[str]:
    """Limits that give the same readings, by one table, measure and checkpoint, another error."""
    seen: dict[tuple[Any, ...], float | None] = {}
    for v in judgement.verdicts:
        for part in v.each:
            test, detail = part.test, part.detail
            if isinstance(detail, LimitDetail) and detail.items:
                place = (part.table, test.measure, test.at, test.take)  # type: ignore[union-attr]
                if seen.setdefault(place, detail.guard) != detail.guard:
                    yield f"{v.claim.id}: {detail.guard}, elsewhere {seen[place]}"
    for figure in judgement.figures:
        if isinstance(figure.data, LimitData):
            place = (figure.figure.table, figure.figure.y, figure.figure.at, "mean")  # type: ignore[union-attr]
            if figure.data.readings and seen.get(place, figure.data.guard) != figure.data.guard:
                yield f"{figure.figure.id}: {figure.data.guard}, in a claim {seen[place]}"


def strip_and_label(code: str, reasons: tuple[str, ...], lies: str) -> str | None:
    """What is wrong where the strip shows one thing and the label says another without a reason.

    ``lies``: where the drawn range lies to the zone the claim needs.
    """
    if not lies or reasons:
        return None
    expected = {"inside": {"backed"}, "outside": {"against"}, "partly": {"leans", "cannot-tell"}}
    return None if code in expected[lies] else f"strip {lies}, label {code}"
