"""Overclaims in an author's own words, where people make them.

Six slips, each held against what the study's own claims settle: a cause that nobody tested, a link
between balls told as one inside a ball, a comparison that nobody made, "no change" where none is
shown, all balls where some were tested, and a reach or a unit that is not the study's.  Sentences
that doubt, ask, deny or quote are innocent.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

import pandas as pd

from explainer import units
from explainer.claims.verdict import Judgement, Verdict
from explainer.study.description.tests import Operand
from explainer.study.model import Study, Table
from explainer.words.quantity.numbers import plural_of
from explainer.words.quantity.numerals import cardinal
from explainer.words.quantity.sizes import number

#: Kinds of claim that compare one thing with another, and so let a sentence do it, too.
COMPARING = frozenset(("difference", "difference-in-change", "ranking", "spread", "rate-difference",
                       "agreement", "steps"))  # fmt: skip

_DOUBTED = re.compile(
    r"\b(if(?! you (?:own|have|roll|throw|use|bowl))|whether|may|might|(?<!you )could|should|"
    r"would(?! (?:(?:do|behave|go) (?:exactly|just|the same|so|this)|be (?:gone|lost|over|flat)))|"
    r"can(?:not|['’]t)|seems?|looks?|perhaps|maybe|"
    r"says?|said|claims?|claimed|according|report\w*|nobody(?!['’]s)|no one|try|guess|thinks?|"
    r"thought|asks?|"
    r"asked|wonder\w*|expect\w*|leans?|hardly|likely|probably|unsettled|not settled|"
    r"(?:do|does|did)(?: not|n['’]t) (?:know|mean|prove|say|show|read|tell|follow)|"
    r"is(?: not|n['’]t) (?:to say|the same|that)|too few)\b|\?",
    re.IGNORECASE,
)  # fmt: skip
_DENIED = re.compile(r"\b(?:not|never|\w+n['’]t)\b", re.IGNORECASE)

#: What is apt to be blamed, and what it is said to do to a thing.
_AGENT = (
    r"(?:friction|oil|lanes?|dirt|dust|grit|heat|cold|drag|sanding|grinding|humidity|practice|age|"
    r"coach(?:ing)?|lessons?|training) (?:\w+ly |just |simply )?(?:wears?|wore|eats?|ate|grinds?|"
    r"ground|takes?|took|rubs?|rubbed|strips?|stripped|kills?|killed|polish(?:es|ed)|soften(?:s|ed)|"
    r"harden(?:s|ed)|smooth(?:s|ed)|robs?|robbed|costs?|drain(?:s|ed)|ruin(?:s|ed)|lift(?:s|ed)|"
    r"brings?|brought|rais(?:es|ed)|pull(?:s|ed)|help(?:s|ed)|improv(?:es|ed)) "
    r"(?:\w+ ){0,2}(?:the|a|an|your|its|their|these|those|them|every|all|\w+s)\b(?! away)"
)
_CAUSE = re.compile(
    r"\b(because of|because|due to|thanks to|as a result of|owing to|caus(?:es?|ed|ing)|"
    r"leads? to|led to|is why|are why|that['’]s why|the reason (?:for|why)|"
    r"(?:is|are|was|were) the reason|makes? (?:it|them|the|a|your|you|us)|since the|"
    r"brings? (?:\w+ )?(?:the|your|its) \w+ back|responsible for|comes? from|came from|"
    r"(?:is|are|was|were) what (?:makes?|made|does|did|takes?|took|eats?|ate|drives?|drove|kills?|"
    r"killed|costs?|wears?|wore|robs?|turns?)|"
    r"what (?:makes|made|does|did|takes|took|eats|ate|drives|drove|kills|killed|costs|wears|wore)"
    r" (?:\w+ ){1,5}(?:is|are|was|were)|"
    r"(?:is|are|was|were|lies?|stands?) behind (?:the|this|that|it|these)|"
    r"(?:goes|went|comes|came) with it|driven by|explains? (?:the|this|that|why)|"
    r"with (?:less|more|no|fewer|every) (?:\w+ ){1,3}(?:comes?|goes|you (?:get|lose))|"
    + _AGENT + r")\b",
    re.IGNORECASE,
)
_EFFECT = re.compile(
    r"\b(drops?|dropped|loss|loses?|lost|falls?|fell|gains?|rises?|rose|changes?|changed|wear|wears|"
    r"wore|fades?|faded|smooth\w*|rough\w*|hooks? (?:less|more)|grows?|grew|"
    r"(?:gets?|got|becomes?|became|turns?|turned) (?:\w+er|more|less)|suffer(?:s|ed)|shrinks?|"
    r"(?:do|does|did|doing) (?:exactly |just )?(?:this|that|the same|so)|happens?|happened|"
    r"improv(?:es?|ed)|"
    r"(?:go(?:es)?|went|comes?|came|brings?|brought) (?:\w+ ){0,2}(?:up|down|back)|"
    r"lift(?:s|ed)|better|worse)\b",
    re.IGNORECASE,
)
_COMPARED = re.compile(
    r"\b((?:\w{2,}(?<!oth)er|more|less|fewer|better|worse)(?: \w+){0,4}? than|"
    r"(?:beats?|outlasts?|outhooks?) (?:the|a|every|any))\b",
    re.IGNORECASE,
)
#: One group's verb, and more or less of it, with the other side left out.
_RANKED = re.compile(
    r"\b(?:keeps?|kept|holds?|held|loses?|lost|wears?|wore|goes|go|went|lasts?|lasted|hooks?|"
    r"drops?|dropped|falls?|fell|gains?|gained|gets?|got|stays?|stayed|ends?|ended|suffers?|need\w*|"
    r"improv(?:es?|ed)|do|does|did|scores?|scored|bowls?|bowled|makes?|made|is|are|was|were) "
    r"(?:\w+ ){0,3}?(higher|lower|more|less|better|worse|best|worst|most|least|longer|longest|"
    r"faster|fastest|sooner|slower|slowest|rougher|smoother|harder|softer|stronger|weaker)\b",
    re.IGNORECASE,
)
_SAME = re.compile(
    r"\b((?:do|does|did|has|have|will)(?: not|n['’]t) changed?|won['’]t change|unchanged|"
    r"(?:is|are|was|were|been)(?: not|n['’]t) (?:affected|touched|changed|moved)|"
    r"leaves? .{1,40}\b(?:untouched|unchanged|alone|as (?:it|they) (?:was|were))|"
    r"not (?:one|a) (?:bit|hair|trace) (?:of )?(?:\w+ ){1,4}(?:lost|gone)|"
    r"(?:never|not ever) (?:changes?|touch(?:es)?|moves?|los(?:es?|t)|falls?|drops?)|"
    r"there (?:is|was|are|were) no (?:change|difference|drop|loss)|"
    r"(?:makes?|made) no difference|"
    r"no (?:change|difference|effect|influence|impact|loss) (?:in|on|of|whatsoever|at all)|"
    r"(?:stay(?:s|ed)?|remain(?:s|ed)?|h[eo]ld(?:s)?) (?:exactly |just |all )?"
    r"(?:the same|put|where|level|steady|constant|unaffected|unmoved|untouched|identical|fixed)|"
    r"(?:is|are|was|were) (?:exactly |just |all |as good as )?"
    r"(?:the same|steady|constant|unaffected|unmoved|untouched|identical)|"
    r"(?:scores?|bowls?|rolls?|reads?) (?:just |exactly )?the same"
    r"(?! (?:lines?|pages?|things?|story|name|words?|numbers?))|"
    r"k(?:eeps?|ept) (?:what|its|their|the|every|all)"
    r"(?! (?:\w+ )?(?:sheets?|notes?|logs?|records?|lists?|books?|counts?))|"
    r"holds? (?:on to|its|their|the)|held (?:on to|its|their|the)|"
    r"retain(?:s|ed)?|preserv(?:es?|ed)|nothing (?:happens?|happened|changes?|changed)|"
    r"(?:do|does|did) nothing to|zero (?:change|loss|difference)|"
    r"(?:just |exactly )?as \w+ (?:at|after|in|on|when) .{1,60}\bas|"
    r"as \w+ as (?:ever|(?:it|they) (?:was|were|ever|did))|hooks? (?:just )?the same|"
    r"(?:has|have|had|did)(?: not|n['’]t) (?:budged?|moved?|shift(?:ed)?|suffer(?:ed)?|dropped|"
    r"drop|fallen|fall|lost|lose)|never (?:budges?|shifts?|suffers?)|"
    r"(?:not )?(?:a|one) (?:hair|bit|trace|tick|shred) of (?:a )?(?:difference|change|loss)|"
    r"rock[- ](?:solid|steady)|(?:is|are|was|were|stays?|remains?) (?:\w+ly )?"
    r"(?:safe(?! to)|intact|spared|immune|flat)|(?:good as|like|as) new|"
    r"(?:nobody|no one|no bowler|no ball|none of the \w+)(?:['’]s)? (?:\w+ ){0,2}(?:suffer(?:s|ed)|"
    r"chang(?:es|ed)|dropped|drops|fell|falls|moved|moves|lost any|loses any)|"
    r"(?:stop|no need to|not have to|n['’]t have to|n['’]t need to) worry(?:ing)? about|"
    r"without (?:\w+ ){0,4}(?:going|getting|losing|becoming|turning|changing) \w+)\b",
    re.IGNORECASE,
)
_WORKS = re.compile(
    r"\b(works?(?= *[.!,]|$)|worked|pays off|paid off|does the trick|did the trick|does the job)",
    re.IGNORECASE,
)
_WITHOUT = re.compile(
    r"\bwithout (?:the|a|any|that) \w+.{0,30}\bwould(?:n['’]t| not)? have\b|"
    r"\bwould(?:n['’]t| not)? have \w+.{0,40}\bwithout\b",
    re.IGNORECASE,
)
_ABSOLUTE = re.compile(
    r"\b(at all|whatsoever|exactly|never|ever|zero|absolutely|nothing|identical|constant|"
    r"not (?:a|one) (?:bit|hair)|rock[- ]solid)\b",
    re.IGNORECASE,
)
_PARTED = re.compile(
    r"\b(?:these \w+|those \w+|this test|here|tested|read|of them|of the)\b", re.IGNORECASE
)
#: Something on its way: it goes up, gets softer, loses some of it.
_ON_ITS_WAY = (
    r"(?:go(?:es|ing)?|went|gets?|got|getting|grows?|grew|growing|becomes?|became|turns?|turned|"
    r"rises?|rose|rising|falls?|fell|falling|drops?|dropped|dropping|climbs?|climbed|sinks?|sank|"
    r"wears?|wore|wearing|softens?|softened|hardens?|hardened|loses?|lost|losing|gains?|gained|"
    r"gaining|fades?|faded|shrinks?|shrank|increases?|increased|decreases?|decreased|"
    r"improves?|improved|(?:makes?|made|takes?|took|picks?|picked|drinks?|drank|hooks?|hooked|"
    r"scores?|scored) (?:\w+ ){0,2}(?:more|less|fewer|better|worse|higher|lower))\b"
)
_WHILE = (
    r"(?:as|when(?:ever)?|once|while|(?:each|every) time|the moment|the more|the less|"
    r"the further)\b"
)
#: One thing moves, and another with it, as they do in one and the same item.
_MOVED = re.compile(
    rf"\b{_WHILE}(?: \S+?){{1,8}}? {_ON_ITS_WAY}.*?\b{_ON_ITS_WAY}|"
    rf"\b{_ON_ITS_WAY}.*?\b{_WHILE}(?: \S+?){{1,8}}? {_ON_ITS_WAY}",
    re.IGNORECASE,
)
_ONE = re.compile(r"\b(?:one|a single|some|a few|another) (?:\w+ )?\w+", re.IGNORECASE)
_NUMBER = r"(\d{1,3}(?:,\d{3})+|\d+(?:\.\d+)?)"
_SMALL = {cardinal(n): n for n in range(2, 100)}
_HUNDREDS = {"hundred": 100, "thousand": 1000}
_BIG = r"\b(?:(\w+(?:-\w+)?) )?(hundred|thousand)(?:th|s of)?"
_LONG = re.compile(
    r"\b(?:over|after|for|in|through|within|during|across|per|lasts?|every|each) "
    r"(?:a |an |one |the )?(?:whole |full |entire |long )?(season|year|lifetime|month|decade)s?\b|"
    r"\ban? (?:whole |full |long )?(season|year|month) of (?:bowling|use|play|rolling|games)\b",
    re.IGNORECASE,
)
_SENTENCE = re.compile(r"[^.!?]+(?:[.](?=\d)[^.!?]+)*[.!?]*")
_QUOTED = re.compile(r"\"[^\"]*\"|“[^“”]*”|\[\[[^\[\]]*\]\]|`[^`]*`|\{[^{}]*\}|\]\([^)\]]*\)")


class Slip(NamedTuple):
    """Some words that say more than the data, and what would not."""

    words: str
    expected: str


@dataclass(frozen=True)
class Settled:
    """What a study's claims settle, as far as sentences can go wrong about it."""

    measures: dict[str, frozenset[str]]
    """Measure -> words it is spoken of by, in lower case."""
    units: dict[str, str]
    """Measure -> its unit."""
    steady: frozenset[str]
    """Measures of which a backed claim says that they hold."""
    compared: frozenset[str]
    """Measures of which a settled claim compares one thing with another."""
    between: frozenset[frozenset[str]]
    """Two measures that were linked between items alone, never inside one."""
    items: frozenset[str]
    """What counts as one, one and many: ball, balls."""
    groups: frozenset[str]
    """Names of the groups, in lower case."""
    random: bool
    """Whether chance decided which item went where: then a difference has a cause."""
    use: str
    last: float
    """The last checkpoint, 0 without any."""
    other_units: dict[str, float] = field(default_factory=dict)
    """What listeners count in -> steps of use in one."""


def settled(judgement: Judgement) -> Settled:
    """What sentences about this study may lean on."""
    study = judgement.study
    parts = [part for verdict in judgement.verdicts for part in verdict.each]
    used = [t for t in study.tables.values() if t.checkpoints]
    longest = max(used, key=lambda t: t.checkpoints[-1], default=None)
    items = {t.item for t in study.tables.values()} | {study.description.tested.item}
    items |= {"ball", "cover"} if "ball" in items else set()
    return Settled(
        measures={name: _words(study, name) for name in study.description.measures},
        units={name: m.unit for name, m in study.description.measures.items()},
        steady=frozenset(
            m for p in parts if p.code == "backed" and p.test.kind in ("no-change", "settles")
            for m in measures_of(p)
        ),
        compared=frozenset(
            m for p in parts if p.code in ("backed", "against") and p.test.kind in COMPARING
            for m in measures_of(p)
        ),
        between=_between(parts),
        items=frozenset(w.casefold() for item in items for w in (item, plural_of(item))),
        groups=_groups(judgement),
        random=any(t.randomised for t in study.tables.values()),
        use=longest.use_unit if longest is not None else "",
        last=longest.checkpoints[-1] if longest is not None else 0.0,
        other_units=_told_in(longest) if longest is not None else {},
    )  # fmt: skip


#: Kinds of claim that link two measures inside one and the same item.
_INSIDE = frozenset(("tracks-within", "same-line"))


def _between(parts: Iterable[Verdict]) -> frozenset[frozenset[str]]:
    """The two measures of every link between items that no claim follows inside one item."""
    apart: set[frozenset[str]] = set()
    inside: set[frozenset[str]] = set()
    for part in parts:
        kind, both = part.test.kind, frozenset(measures_of(part))
        if kind in _INSIDE or getattr(part.test, "within", None) in (True, "yes"):
            inside.add(both)
        elif kind in ("association", "no-association") and len(both) == 2:
            apart.add(both)
    return frozenset(apart - inside)


def _told_in(table: Table) -> dict[str, float]:
    """What use may be spoken of in, besides its unit: the listener's units, a column of weeks."""
    told = dict(table.use_as)
    if table.use_unit == "count" and table.use is not None and table.use.isalpha():
        told[table.use] = 1.0
    return told


def measures_of(part: Verdict) -> tuple[str, ...]:
    """The measures a verdict is about."""
    given = (getattr(part.test, key, None) for key in ("measure", "x", "y"))
    named = (g.measure if isinstance(g, Operand) else g for g in given)
    return tuple(n for n in named if isinstance(n, str))


#: Words of a term that say nothing of what is measured.
_LOOSE = frozenset(["ball", "balls", "total", "cover", "covers", "rate", "mean", "with", "path"])


def _words(study: Study, name: str) -> frozenset[str]:
    """What a measure is spoken of by: its name, its term, and its two ends."""
    measure = study.measure(name)
    said = f"{study.term(name)} {name} {measure.more_is or ''} {measure.less_is or ''}"
    found = {w for w in re.findall(r"[^\W\d_]{4,}", said.casefold()) if w not in _LOOSE}
    found |= {w.removesuffix("er") for w in found if w.endswith("er") and len(w) > 5}
    return frozenset(found | {f"{w}s" for w in found})


def _groups(judgement: Judgement) -> frozenset[str]:
    """What a study's groups are called: of its tables, and of the columns its claims split by."""
    tests = [part.test for verdict in judgement.verdicts for part in verdict.each]
    split = {by for test in tests if isinstance(by := getattr(test, "by", None), str)}
    found: set[str] = set()
    for table in judgement.study.tables.values():
        for column in {table.group, *split} & set(table.frame.columns):
            if not pd.api.types.is_numeric_dtype(table.frame[column]):
                found |= {str(n).casefold() for n in table.frame[column].dropna().unique()}
    hands = {"left", "right"}  # words of every day, unless somebody bowls with one
    return frozenset(f"{n}-handed" if n in hands else n for n in found if len(n) > 2)


def slips(text: str, known: Settled, about: Iterable[str] = ()) -> Iterator[Slip]:
    """Every overclaim in ``text``; ``about``: the measures it stands beside, if it names none."""
    plain = _QUOTED.sub(lambda m: " " * len(m[0]), text)
    beside = frozenset(about)
    for sentence in _SENTENCE.findall(plain):
        words = frozenset(re.findall(r"[^\W\d_]+", sentence.casefold()))
        named = frozenset(name for name, own in known.measures.items() if own & words)
        if hands := re.findall(r"\b(left|right)(?:[- ]hand\w*|ies|y)\b", sentence, re.IGNORECASE):
            words |= {f"{hand.casefold()}-handed" for hand in hands}
        here = _Sentence(sentence, words, named, beside, _DOUBTED.search(sentence) is not None)
        for check in CHECKS:
            if (slip := check(here, known)) is not None:
                yield slip
                break  # one word to mend a sentence by


class _Sentence(NamedTuple):
    text: str
    words: frozenset[str]
    named: frozenset[str]
    beside: frozenset[str]
    doubted: bool


def _denied(text: str, found: re.Match[str]) -> bool:
    return _DENIED.search(text[: found.start()]) is not None


def _cause(s: _Sentence, known: Settled) -> Slip | None:
    """One thing is said to do another, and no test of that was randomised."""
    found = _CAUSE.search(s.text)
    if found is None or s.doubted or known.random or _denied(s.text, found):
        return None
    if not (s.named or _EFFECT.search(s.text) or re.match(_AGENT, found[0], re.IGNORECASE)):
        return None
    return Slip(found[0], "what went with what: nothing here tests what causes it")


def _comparison(s: _Sentence, known: Settled) -> Slip | None:
    """One thing is said to beat another, and no settled claim compares them."""
    found = _COMPARED.search(s.text)
    if found is None or s.doubted or _denied(s.text, found):
        return None
    behind = frozenset(re.findall(r"[^\W\d_]+", s.text[found.end() :].casefold()))
    sides = known.groups | known.items | {w for own in known.measures.values() for w in own}
    sides |= {"ones", *(f"{group}s" for group in known.groups)}
    if s.words & known.groups and not _ONE.search(s.text):
        sides |= {"rest", "others"}
    if not (behind | {"it"} & s.words) & sides or not s.words & sides:
        return None
    if (s.named or s.beside) & known.compared:
        return None
    return Slip(found[0], "each by itself: no settled claim compares them")


def _moved(s: _Sentence, known: Settled) -> Slip | None:
    """Two things are said to move together in one item, where different items were compared."""
    found = _MOVED.search(s.text)
    if found is None or s.doubted or _denied(s.text, found):
        return None
    meant = s.named if len(s.named) > 1 else s.named | s.beside
    if not any(both <= meant for both in known.between):
        return None
    return Slip(found[0], "words that set different ones side by side (the smoother ones), or a "
                "claim of the kind `tracks-within`: only different ones were compared")  # fmt: skip


def moved(text: str, known: Settled, about: Iterable[str]) -> Slip | None:
    """Whether a claim in plain words follows one item where its test compares different ones."""
    plain = _QUOTED.sub(lambda m: " " * len(m[0]), text)
    beside = frozenset(about)
    named = frozenset(
        name for name, own in known.measures.items()
        if own & set(re.findall(r"[^\W\d_]+", plain.casefold()))
    )  # fmt: skip
    return _moved(_Sentence(plain, frozenset(), named & beside, beside, False), known)


def _works(s: _Sentence, known: Settled) -> Slip | None:
    """What was done to one group is said to work, or the group to have been lost without it."""
    stems = {group[:5] for group in known.groups if len(group) > 4}
    found = _WITHOUT.search(s.text)
    doubted = s.doubted if found is None else bool(_DOUBTED.search(s.text.replace(found[0], "")))
    found = found or _WORKS.search(s.text)
    if found is None or doubted or known.random:
        return None
    if _denied(s.text, found) and "without" not in s.words:
        return None
    if not any(word.startswith(stem) for word in s.words for stem in stems):
        return None
    return Slip(found[0], "what went with what: nobody drew lots, so no test says what does it")


def _ranked(s: _Sentence, known: Settled) -> Slip | None:
    """One group is said to do more or less, with nothing named that it does more than."""
    found = _RANKED.search(s.text)
    groups = known.groups | {f"{group}s" for group in known.groups}
    if found is None or s.doubted or not s.words & groups or _denied(s.text, found):
        return None
    if not (s.named or s.beside) or (s.named or s.beside) & known.compared or "than" in s.words:
        return None
    return Slip(found[1], "each by itself: no settled claim compares them")


def _same(s: _Sentence, known: Settled) -> Slip | None:
    """Nothing changed, says the sentence, and no backed claim says so; or it says so of all."""
    found = _SAME.search(s.text)
    if found is None or s.doubted:
        return None
    meant = s.named or s.beside
    if not meant or not (s.named or s.words & known.items or s.words & {"nothing", "difference"}):
        return None
    before = s.text[: found.start()]
    if re.search(r"\b(?:not|\w+n['’]t)\b", before, re.IGNORECASE):
        return None
    absolute = _ABSOLUTE.search(s.text)
    if meant <= known.steady and absolute is None:
        return None
    if meant <= known.steady and absolute is not None:
        return Slip(absolute[0], "`not enough to matter`: a test shows no more than that")
    return Slip(found[0], "open or careful words: no change is not shown by this data")


def _all(s: _Sentence, known: Settled) -> Slip | None:
    """All of them, where some were tested."""
    items = "|".join(sorted(map(re.escape, known.items), key=len, reverse=True))
    found = re.search(
        rf"\b((?:every|any|all|no|everything about an?)(?: \w+)? (?:{items})|"
        rf"your (?:\w+ )?(?:{items}|average|game|scores?)|everything about (?:an? )?(?:{items}))\b",
        s.text, re.IGNORECASE,
    )  # fmt: skip
    if found is None or s.doubted or _denied(s.text, found):
        return None
    if _PARTED.search(s.text) or re.match(r"all (?:\d|" + "|".join(_SMALL) + ")", found[0], re.I):
        return None
    if found[0].casefold().startswith("your") and not (s.named or _EFFECT.search(s.text)):
        return None
    if not (s.named or _EFFECT.search(s.text) or _SAME.search(s.text)):
        return None
    return Slip(found[0], "the ones that were tested: others may differ")


def _too_far(s: _Sentence, known: Settled) -> Slip | None:
    """An amount of use that nobody measured up to."""
    if s.doubted or not known.last or not (s.named or s.beside):
        return None
    for words, steps in amounts(s.text, known):
        if steps > known.last * 1.001 and not _DENIED.search(s.text):
            return Slip(words, f"no more than {number(known.last)} {plural_of(known.use)}: "
                        "nothing was read past that")  # fmt: skip
    found = _LONG.search(s.text)
    term = (found[1] or found[2]).casefold() if found else ""
    if found and term not in {known.use, *known.other_units}:
        return Slip(found[0], f"an amount in {plural_of(known.use)}, as far as was read")
    return None


def amounts(text: str, known: Settled) -> Iterator[tuple[str, float]]:
    """Every amount of use in ``text``, as written, in steps of the study's own use."""
    each = {known.use: 1.0, **known.other_units} if known.use else {}
    for term, steps in each.items():
        one, many = re.escape(term), re.escape(plural_of(term))
        for m in re.finditer(rf"{_NUMBER}[ -](?:{many}|{one})\b|\b{one} {_NUMBER}", text, re.I):
            yield m[0], float((m[1] or m[2]).replace(",", "")) * steps
        for m in re.finditer(rf"\b(\d+)(?:st|nd|rd|th) {one}\b", text, re.IGNORECASE):
            yield m[0], float(m[1]) * steps
        for m in re.finditer(rf"\b(\w+(?:-\w+)?) (?:{many})\b", text, re.IGNORECASE):
            if m[1].casefold() in _SMALL:
                yield m[0], _SMALL[m[1].casefold()] * steps
        for m in re.finditer(rf"{_BIG} (?:{many}|{one})\b", text, re.IGNORECASE):
            many_of = _SMALL.get((m[1] or "").casefold(), 1)
            yield m[0], many_of * _HUNDREDS[m[2].casefold()] * steps
        if term != known.use:
            once = rf"\b(?:over|after|for|in|through) an? (?:whole )?{one}\b"
            yield from ((m[0], steps) for m in re.finditer(once, text, re.IGNORECASE))


def _wrong_unit(s: _Sentence, known: Settled) -> Slip | None:
    """A size of one measure in a unit that cannot be its own."""
    if len(s.named) != 1:
        return None
    own = known.units[next(iter(s.named))]
    for m in _UNITED.finditer(s.text):
        if not units.ours(m[2]) or (m[0][:2].casefold() in ("a ", "an") and not _SIZED.search(
            s.text[: m.start()]
        )):  # fmt: skip
            continue
        unit = units.canonical(m[2])
        if unit in (*_COUNTING, known.use) or unit == own:
            continue
        if units.alike(unit, own) and units.convert(1.0, unit, own) < FAR_APART:
            continue
        return Slip(m[0], f"a size in a unit that it is read in, such as `{own}`")
    return None


#: So many of a measure's own unit in one of another is another kind of size: boards of roughness.
FAR_APART = 1e5
_UNITED = re.compile(
    rf"(?<!\d)(?<!\d,)(?:{_NUMBER}|\b(?:{'|'.join(_SMALL)}|one|an?))[ -]([^\W\d_]+)", re.IGNORECASE
)
#: Behind these, "a pin" is a size, and not the thing.
_SIZED = re.compile(
    r"\b(?:by|about|than|nearly|almost|over|under|only|just|half|is|was|los(?:es?|t)|gain(?:s|ed)|"
    r"drops?|fell|falls?|rises?|rose) $", re.IGNORECASE,
)  # fmt: skip
#: Units that count, or that any study may speak of beside its measures.
_COUNTING = ("count", "game", "shot", "percent", "day", "hour", "minute", "second")

Check = Callable[[_Sentence, Settled], Slip | None]
#: A sentence is told by the first of these that it falls under.
CHECKS: tuple[Check, ...] = (
    _too_far, _wrong_unit, _cause, _moved, _works, _comparison, _ranked, _same, _all,
)  # fmt: skip
