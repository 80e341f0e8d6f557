"""How many syllables an English word has, by its spelling.

Vowel groups are counted, then corrected by the spellings that make most of the mistakes: silent
e, -ed and -es, vowels side by side that are spoken apart (``area``, ``fluent``), and a short
list of common words that follow no rule.  Held against the CMU Pronouncing Dictionary in the
tests.  A hyphenation dictionary is no substitute: it leaves out every break a printer may not
use, and so finds a sixth too few syllables.
"""

from __future__ import annotations

import re
from functools import lru_cache

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
