"""The author's own words, held against the verdicts, the numbers and the glossary.

A flat statement is a sentence that says what a measure did, where no claim about it is settled.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace

from explainer.claims.verdict import STRENGTH, UNANSWERED, Code, Judgement, Verdict
from explainer.errors import DescriptionError, Problem
from explainer.proof.overclaims import measures_of, moved, settled, slips
from explainer.proof.place import Keys, Places
from explainer.study.description.figures import Figure
from explainer.study.description.rule import Claim, Rule
from explainer.study.description.study import Description
from explainer.study.description.telling import ASIDES, Comparison
from explainer.study.description.tests import Operand
from explainer.words.glossary.entries import Glossary
from explainer.words.grade import counts, hardest

_SAYS = re.compile(
    r"\b(fell|falls?|dropped|drops?|rose|rises?|loses?|lost|gains?|gained|stays?|stayed|gone|"
    r"(?:did|does|do|has|have) not (?:change|fall|rise|drop)|unchanged|kills?|killed|grew|grows?|"
    r"(?:hooks?|strikes?|rolls?) (?:a (?:bit|little|lot) |much )?(?:less|more)|"
    r"(?:is|are|was|were) the same|shrank|shrinks?|fades?|"
    r"(?:in|de)creas(?:es?|ed)|(?:go(?:es)?|went) (?:up|down|smooth)|faded|"
    r"no (?:change|difference))\b",
    re.IGNORECASE,
)
_HEDGED = re.compile(
    r"\b(if|whether|may|might|could|would|should|can(?:no|['’])t|seems?|looks?|perhaps|maybe|says?|"
    r"said|claims?|claimed|report\w*|hardly|nobody|nothing|try|guess|think|ask|can you|"
    r"who(?:ever)?)\b|\?",
    re.IGNORECASE,
)
_SENTENCE = re.compile(r"[^.!?]+[.!?]*")
#: Words of a term that say nothing of what is measured.
_LOOSE = frozenset(["ball", "balls", "total", "cover", "rate", "mean", "with", "path", "after"])


def flat(
    judgement: Judgement, places: Places, path: Keys, text: str, about: Iterable[Verdict]
) -> Iterator[Problem]:
    """Sentences of ``text`` that say flatly what none of the claims ``about`` it settles."""
    open_words = _open_words(judgement, tuple(about))
    for sentence in _SENTENCE.findall(text) if open_words else ():
        said = _SAYS.search(sentence)
        named = {w.casefold() for w in re.findall(r"[^\W\d_]+", sentence)} & open_words
        if said and named and not _HEDGED.search(sentence):
            yield places.weak(
                path, f"`{said[0]}`, said flatly of {min(named)}",
                "open words: no claim about it is settled by this data",
                "readers are told more than the data say", "too-strong", said[0],
            )  # fmt: skip


def _open_words(judgement: Judgement, about: tuple[Verdict, ...]) -> set[str]:
    """Words for measures of which every claim is open."""
    settled: set[str] = set()
    left: set[str] = set()
    for verdict in about:
        words = _words(judgement, verdict)
        (left if verdict.code in UNANSWERED else settled).update(words)
    return left - settled


def _words(judgement: Judgement, verdict: Verdict) -> set[str]:
    """What the last measure that a claim speaks of can be called: ``hook``, ``hooks``."""
    found: set[str] = set()
    for test in verdict.claim.all_tests:
        operand = getattr(test, "measure", None) or getattr(test, "y", None)
        name = operand.measure if isinstance(operand, Operand) else operand
        if isinstance(name, str) and name in judgement.study.description.measures:
            words = f"{judgement.study.term(name)} {name}".casefold().replace("_", " ").split()
            found |= {w for w in words if len(w) > 3 and w not in _LOOSE}
    return found | {f"{w}s" for w in found}


#: Above this many years of school a passage is harder than the page around it.
GRADE = 9.0
#: Passages shorter than this say nothing about a grade.
FEW_WORDS = 15

#: What no data of any size can do.
_TOO_STRONG = re.compile(
    r"\b(prov(?:es?|ed|en|ing)|proofs?|guarantee[sd]?|undeniabl[ey]|beyond (?:question|doubt)|"
    r"(?:without|no) (?:a )?doubt|no question|without exception|100 ?%|hundred percent|"
    r"settles (?:it|this))\b",
    re.IGNORECASE,
)
#: What only a backed claim may say.
_STRONG = re.compile(
    r"\b(definitely|certainly|clearly|obviously|always|never|for sure|shows? that|confirms?|"
    r"caus(?:es?|ed)|we (?:now )?know|every (?:single )?time|(?:it|that) is a fact|"
    r"(?:it|that) is (?:clear|certain|obvious|plain)|everyone can see|science shows?|"
    r"in every (?:ball|case|one)|undoubtedly|unquestionably|surely|of course)\b",
    re.IGNORECASE,
)
_PROMISE = re.compile(
    r"\b(?:will|gets? you|gives? you|(?:brings?|comes?|puts?) (?:\w+ ){0,3}back|restores?|"
    r"makes? (?:it|your|the)|fixes)\b",
    re.IGNORECASE,
)
_DOUBT = re.compile(
    r"\b(?:not?|never|cannot|can['’]t|nobody|nothing|neither|\w+n['’]t|if|whether|hardly|no one|"
    r"may|might|could|says?|said|claims?|claimed)\b",
    re.IGNORECASE,
)
_QUOTED = re.compile(r"\"[^\"]*\"|“[^“”]*”|\[\[[^\[\]]*\]\]|`[^`]*`|\{[^{}]*\}|\]\([^)]{0,2000}\)")

#: Words of the laboratory that bowlers do not use; each is fine where the glossary has it.
_JARGON = re.compile(
    r"\b(coefficients?|viscoelastic\w*|hysteresis|tribolog\w+|kinematics?|asperit\w+|"
    r"heteroscedastic\w*|covariates?|regress(?:ion|ors?|ed)|anova|multivariate|stochastic|"
    r"profilomet\w+|goniomet\w+|interferomet\w+|spectromet\w+|metrolog\w+|plasticizers?|"
    r"polyurethanes?|reactive resin|covariance|eigen\w+|quantiles?|heterogene\w+|"
    r"autocorrelat\w+|elastomer\w*|isotrop\w+|anisotrop\w+|durometer|urethane|"
    r"\w*topograph\w+|heterosk\w+|epoxy|morpholog\w+|microstructur\w+|micrograph\w*|rheolog\w+|viscos\w+|"
    r"modulus|moduli|shear|torsion\w*|kurtosis|skewness|gaussian|percentiles?|quartiles?|"
    r"residuals?|homoscedastic\w*|bonferroni|nonparametric|parametric|bayes\w*|likelihood|"
    r"posterior|priors?|logarithm\w*|exponential\w*|asymptot\w+|nonlinear\w*|eccentric\w+|"
    r"isocyanates?|polymers?|polymeri[sz]\w+|plasticiz\w+|surfactants?|substrates?|ads?orpti\w+|"
    r"absorptiv\w+|hydrophob\w+|oleophil\w+|mesoscopic|nanometers?|spectra|spectral|"
    r"gyroscopic|angular momentum|dissipat\w+|amplitude|oscillat\w+|harmonics?|"
    r"ordinal|categorical|confound\w+|stratif\w+|multicollinear\w+|endogen\w+|latent|"
    r"ceteris paribus|a priori|post hoc|in situ|ex ante)\b",
    re.IGNORECASE,
)
_ACRONYM = re.compile(r"(?<![\w/-])[A-Z][A-Z&]{1,5}(?![\w/-])")
_EVERYDAY = frozenset(
    [
        "OK",
        "TV",
        "USA",
        "US",
        "CD",
        "PDF",
        "QR",
        "ID",
        "NO",
        "YES",
        "AM",
        "PM",
        "DIY",
        "CSV",
        "A",
        "I",
        "II",
        "III",
        "IV",
    ]
)


#: Texts that tell what the data say.  Questions, rules and plans may speak of any number.
_TELLING = ("title", "intro", "figures", "claims", "advice")


def prose(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """Typed numbers, marks and links that are not kept, strong words, jargon, reading grade."""
    for path, text, code in own_words(judgement):
        if path[0] in _TELLING and not set(path) & set(ASIDES):
            yield from _numbers(judgement, places, path, text)
        yield from _marks(glossary, places, path, text)
        yield from _strong(places, path, text, code)
        yield from _jargon(glossary, places, path, text, judgement.study.named.values())
        yield from _grade(judgement, places, path, text)
    yield from _flatly(judgement, places)
    yield from _overclaimed(judgement, places)
    for i, claim in enumerate(judgement.study.description.claims):
        if claim.plainly:
            code = judgement.verdict(claim.id).code
            path = ("claims", i, "plainly")
            yield from _strong(places, path, claim.plainly, code, claim.sentence)


def _flatly(judgement: Judgement, places: Places) -> Iterator[Problem]:
    """Sentences under a figure, or at the top, that state what their claims leave open."""
    said = judgement.study.description
    for key in ("title", "intro"):
        text = getattr(said, key)
        if text:
            yield from flat(judgement, places, (key,), text, judgement.verdicts)
    for i, figure in enumerate(said.figures):
        shown = [judgement.verdict(c) for c in judgement.figure(figure.id).claims]
        for key in ("title", "say"):
            text = getattr(figure, key)
            if text:
                yield from flat(judgement, places, ("figures", i, key), text, shown)


def _overclaimed(judgement: Judgement, places: Places) -> Iterator[Problem]:
    """Overclaims in what the author says of the study, its figures and its claims."""
    known = settled(judgement)
    for path, text, about in _findings(judgement):
        for slip in slips(text, known, about):
            yield places.weak(
                path, f"the words `{slip.words}`", slip.expected,
                "readers are told more than the data say", "too-strong", slip.words,
            )  # fmt: skip
    for i, claim in enumerate(judgement.study.description.claims):
        parts = judgement.verdict(claim.id).each
        about = frozenset(m for part in parts for m in measures_of(part))
        if claim.plainly and (link := moved(claim.plainly, known, about)) is not None:
            yield places.weak(
                ("claims", i, "plainly"), f"the words `{link.words}`", link.expected,
                "a link between them is told as one inside each", "too-strong", link.words,
            )  # fmt: skip


def _findings(judgement: Judgement) -> Iterator[tuple[Keys, str, frozenset[str]]]:
    """The author's own texts that tell what was found, with the measures they stand beside.

    Asides are none of them: what is told as a comparison, a guess or an opinion claims nothing.
    """
    said = judgement.study.description
    for path, text in ((("intro",), said.intro), (("opening", "hook"), said.opening.hook)):
        if text:
            yield path, text, frozenset()
    for i, figure in enumerate(said.figures):
        shown = [judgement.verdict(c) for c in judgement.figure(figure.id).claims]
        about = frozenset(m for v in shown for part in v.each for m in measures_of(part))
        for key in ("title", "say"):
            if text := getattr(figure, key):
                yield ("figures", i, key), text, about
    for i, claim in enumerate(said.claims):
        if claim.say:
            parts = judgement.verdict(claim.id).each
            about = frozenset(m for part in parts for m in measures_of(part))
            yield ("claims", i, "say"), claim.say, about


def own_words(judgement: Judgement) -> Iterator[tuple[Keys, str, Code | None]]:
    """Every text of the author's that a page shows, with its place and what it may lean on.

    The last is the weakest verdict of the claims the text speaks of; None where it repeats the
    report's claim in other words, or asks, or tells what was done: no verdict is about that.
    """
    for part in (_opening, _about_figures, _about_claims, _about_rule, _asked):
        yield from part(judgement)


_Own = Iterator[tuple[Keys, str, Code | None]]


def _opening(judgement: Judgement) -> _Own:
    said = judgement.study.description
    every = _weakest([v.code for v in judgement.verdicts])
    yield ("title",), said.title, every
    yield ("question",), said.question, None
    if said.intro:
        yield ("intro",), said.intro, every
    if said.opening.hook:
        yield ("opening", "hook"), said.opening.hook, every
    for part, key in (("opening", "running_question"), ("ending", "answer"), ("ending", "outro"),
                      ("ending", "next"), ("ending", "request")):  # fmt: skip
        if text := getattr(getattr(said, part), key):
            yield (part, key), text, None
    yield from _asides((), said)
    if said.tested.described:
        yield ("tested", "described"), said.tested.described, None


def _about_figures(judgement: Judgement) -> _Own:
    for i, figure in enumerate(judgement.study.description.figures):
        shown = [judgement.verdict(c).code for c in judgement.figure(figure.id).claims]
        for key in ("title", "say"):
            text = getattr(figure, key)
            if text:
                yield ("figures", i, key), text, _weakest(shown)
        if figure.ask_first:
            yield ("figures", i, "ask_first"), figure.ask_first, None
        yield from _asides(("figures", i), figure)


def _asides(path: Keys, said: Figure | Claim | Rule | Description) -> _Own:
    """What is told as a comparison, a guess or an opinion: it leans on no verdict."""
    like = said.like
    if isinstance(like, Comparison):
        yield (*path, "like", "what"), like.what, None
        yield (*path, "like", "stops"), like.stops, None
    elif like:
        yield (*path, "like"), like, None
    for key in ("guess", "opinion"):
        if text := getattr(said, key):
            yield (*path, key), text, None


def _about_claims(judgement: Judgement) -> _Own:
    said = judgement.study.description
    for i, claim in enumerate(said.claims):
        if claim.plainly:
            yield ("claims", i, "plainly"), claim.plainly, None
        if claim.as_clause:
            yield ("claims", i, "as_clause"), claim.as_clause, None
        if claim.say:
            yield ("claims", i, "say"), claim.say, judgement.verdict(claim.id).code
        if claim.asked:
            yield ("claims", i, "ask_first"), claim.asked, None
        yield from _asides(("claims", i), claim)
    for i, advice in enumerate(said.advice):
        codes = [judgement.verdict(c).code for c in advice.because]
        yield ("advice", i, "do"), advice.do, _weakest(codes)


def _asked(judgement: Judgement) -> _Own:
    for i, question in enumerate(judgement.study.description.questions):
        yield ("questions", i, "ask"), question.ask, None
        if question.settled_by:
            yield ("questions", i, "settled_by"), question.settled_by, None


def _about_rule(judgement: Judgement) -> _Own:
    rule = judgement.study.description.rule
    if rule is None:
        return
    for key in ("change", "affects", "reading"):
        text = getattr(rule, key)
        if text:
            yield ("rule", key), text, None
    if rule.say:
        yield ("rule", "say"), rule.say, judgement.chain.code if judgement.chain else None
    yield from _asides(("rule",), rule)
    for i, link in enumerate(rule.links):
        if link.therefore:
            place: Keys = ("rule", "reasons", i, "therefore")
            yield place, link.therefore, judgement.verdict(link.claim).code


def _weakest(codes: list[Code]) -> Code:
    return min(codes, key=STRENGTH.index, default="not-tested")


def _numbers(judgement: Judgement, places: Places, path: Keys, text: str) -> Iterator[Problem]:
    from explainer.proof.typed import typed_numbers

    for number in typed_numbers(text, judgement):
        problem = places.weak(
            path, f"the typed number {number.text}", "a number this data gives",
            "it is shown as it stands", "typed-number", number.text,
        )  # fmt: skip
        written = f", written {{{number.reference}}}" if number.reference else ""
        near = f"the nearest is {number.nearest}{written}" if number.nearest else ""
        yield replace(problem, hint=near)


def _marks(glossary: Glossary, places: Places, path: Keys, text: str) -> Iterator[Problem]:
    from explainer.words.glossary.linker import TermLinker

    linker = TermLinker(glossary, lambda entry: None)
    linker.prose(text)
    for word in linker.unknown:
        near = ", ".join(e.term for e in glossary.nearest(word, 3))
        problem = places.weak(
            path, f"the mark [[{word}]]", "a term of the glossary", "it is shown as plain words",
            "no-term", f"[[{word}",
        )  # fmt: skip
        yield replace(problem, hint=f"nearest: {near}" if near else "")
    for address in linker.refused:
        yield places.weak(
            path, f"a link to {address[:60]}", "https, http, mailto or #",
            "only its words are shown", "refused-link", address,
        )  # fmt: skip


def _strong(
    places: Places, path: Keys, text: str, code: Code | None, report: str = ""
) -> Iterator[Problem]:
    """Words surer than the verdict they stand on; those that the report uses, too, are quoted."""
    if code is None:
        return
    patterns = [_TOO_STRONG] if code == "backed" else [_TOO_STRONG, _STRONG]
    if path[0] == "advice" and code not in ("backed", "leans"):
        patterns.append(_PROMISE)
    plain = _QUOTED.sub(lambda m: " " * len(m[0]), text)
    for sentence in _SENTENCE.findall(plain):
        if sentence.rstrip().endswith("?"):
            continue
        for pattern in patterns:
            found = pattern.search(sentence)
            if found and pattern.search(report) is None and not _doubted(sentence, found):
                yield places.weak(
                    path, f"the words `{found[0]}`", _ALLOWED[code],
                    "readers are told more than the data say", "too-strong", found[0],
                )  # fmt: skip


def _doubted(sentence: str, found: re.Match[str]) -> bool:
    return _DOUBT.search(sentence[: found.start()]) is not None


_ALLOWED: dict[Code, str] = {
    "backed": "words for evidence (`backs`, `points to`): data do not prove",
    "leans": "careful words: its claim only leans this way",
    "cannot-tell": "open words: this data can't tell",
    "against": "words that go with its verdict: the data point the other way",
    "not-tested": "open words: nothing here tests it",
}


def _jargon(
    glossary: Glossary, places: Places, path: Keys, text: str, people: Iterable[str]
) -> Iterator[Problem]:
    """Words a bowler may not know and the glossary does not explain; initials of people are none.
    """
    plain = _QUOTED.sub(lambda m: " " * len(m[0]), text)
    words = [m[0] for m in _JARGON.finditer(plain)]
    if not plain.isupper():
        words += [m[0] for m in _ACRONYM.finditer(plain) if m[0] not in _EVERYDAY]
    words = [word for word in words if word not in people]
    for word in dict.fromkeys(words):
        if glossary.find(word) is None and glossary.find(word.removesuffix("s")) is None:
            yield places.weak(
                path, f"the word `{word}`", "an everyday word, or one the glossary explains",
                "readers meet it without an explanation", "jargon", word,
            )  # fmt: skip


def _grade(judgement: Judgement, places: Places, path: Keys, text: str) -> Iterator[Problem]:
    from explainer.words.page.prose import fill

    try:
        plain = fill(text, judgement)
    except DescriptionError as fault:  # of a text that no page fills in, such as a title
        yield from map(places.pinpointed, fault.problems)
        return
    counted = counts(plain)
    if counted.words < FEW_WORDS or counted.grade <= GRADE:
        return
    hard = hardest(plain, 1)
    sentence = hard[0].sentence if hard else plain
    opening = " ".join(sentence.split()[:6])
    yield places.weak(
        path, f"a passage of reading grade {counted.grade:.0f} (`{opening} …`)",
        f"grade {GRADE:.0f} or below", "many readers give up on it", "hard-to-read",
        " ".join(sentence.split()[:3]),
    )  # fmt: skip
