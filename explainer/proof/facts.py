"""Facts of a sound study that still look wrong: terms, units, printed numbers, answers, links."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from difflib import get_close_matches
from functools import lru_cache
from pathlib import Path

from explainer import units
from explainer.claims.rules import reach_inside, strongest_backed
from explainer.claims.verdict import UNANSWERED, Judgement, Verdict
from explainer.errors import Problem, StudyError, hint, listed
from explainer.proof.overclaims import Settled, amounts, settled
from explainer.proof.place import Keys, Places
from explainer.proof.prose import own_words
from explainer.study.called import is_a_word
from explainer.study.description.study import Description
from explainer.study.description.telling import Comparison
from explainer.study.description.tests import Change, LimitTest, NoAssociation, NotTestable, Trend
from explainer.study.load import DESCRIPTION, list_studies, read_description, study_id
from explainer.study.people import hidden, how_named, not_names
from explainer.study.persons import is_person
from explainer.study.which_test import near, told
from explainer.words.facts.items import group_word
from explainer.words.glossary.entries import Glossary
from explainer.words.page.prose import short_name
from explainer.words.quantity.numerals import cardinal
from explainer.words.quantity.sizes import tally
from explainer.words.script.measure import same_words
from explainer.words.sheets.handout import asked_verdicts

_WORD = re.compile(r"[^\W\d_]+")


def terms(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """Terms of measures that the glossary does not have: the page cannot explain them."""
    for name, measure in judgement.study.description.measures.items():
        if measure.term is not None and glossary.find(measure.term) is None:
            near = ", ".join(e.term for e in glossary.nearest(measure.term, 3))
            problem = places.weak(
                ("measures", name, "term"), f"the term `{measure.term}`", "a term of the glossary",
                "it stands on the page without an explanation", "no-term",
            )  # fmt: skip
            yield replace(problem, hint=f"nearest: {near}" if near else "")


def limits_on_derived(
    judgement: Judgement, glossary: Glossary, places: Places
) -> Iterator[Problem]:
    """A limit on a measure that is worked out, where nobody knows how exact a reading of it is."""
    study = judgement.study
    for verdict in judgement.verdicts:
        for part in verdict.each:
            test, name = part.test, getattr(part.test, "measure", "")
            if not isinstance(test, LimitTest) or getattr(part.detail, "u", None) is not None:
                continue
            how = study.description.measures[name].derived
            if how is None or part.code == "not-tested":
                continue
            parts = [p for p in how.difference or how.ratio or ()
                     if study.measure(p).repeatability_sd is None]  # fmt: skip
            lack = f"`repeatability_sd` of {listed(parts)}, or " if parts else ""
            yield places.weak(
                ("measures", name),
                f"a limit on `{name}`, which is worked out, and nobody knows how exact it is",
                f"{lack}`u:` beside the limit in the claim `{verdict.claim.id}`",
                "the page says that how far the gauge may be off is not known, and nothing is sure",
                "derived-gauge",
            )  # fmt: skip


def names_shown(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """People whose names are published: said each time, since a page is for ever."""
    description = judgement.study.description
    said: list[tuple[Keys, str]] = [(("tested", "names"), "")] if description.tested.names else []
    said += [(("tables", name, "tested", "names"), name) for name, t in description.tables.items()
             if t.tested is not None and t.tested.names]  # fmt: skip
    tables = judgement.study.tables
    for path, own in said:
        here = [t for n, t in tables.items() if t.people and how_named(description, n) == "shown"
                and own in ("", n)]  # fmt: skip
        count = len({item for table in here for item in table.items})
        if count:
            yield places.weak(
                path, f"`names: shown` of {tally(count, here[0].item)}",
                "that each of them was asked and agreed",
                "their names stand on every page, sheet and drawing, and in every download",
                "names-shown",
            )  # fmt: skip


def names_in_text(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """A first or a last name in the author's words of somebody who is called by initials."""
    elsewhere = {w for name in not_names(judgement.study.description) for w in _WORD.findall(name)}
    words = {
        word: short for name, short in hidden(judgement.study.named).items()
        for word in _WORD.findall(name)
        if len(word) > 2 and word not in elsewhere and not is_person(word)
    }  # fmt: skip
    if not words:
        return
    own = [(path, text) for path, text, _ in own_words(judgement)]
    claims = judgement.study.description.claims
    own += [(("claims", i, "report_says"), c.report_says or "") for i, c in enumerate(claims)]
    left_out = judgement.study.description.excluded
    own += [(("excluded", i, "why"), entry.why) for i, entry in enumerate(left_out)]
    for path, text in own:
        said: set[str] = set()
        for found in _WORD.finditer(text):
            word = found[0]
            if word not in words or word in said:
                continue
            before = text[max(0, found.start() - 20) : found.start()].rstrip()
            if before[-1:] not in ("", *".?!") or not is_a_word(word):
                said.add(word)
                yield places.weak(
                    path, f"`{word}`, whom everything else calls `{words[word]}`",
                    "initials, or nobody's name", "it is published as you wrote it",
                    "name-in-text", word,
                )  # fmt: skip


def use_terms(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """What use is called, where it is nearly a term of the glossary: a slip of the pen."""
    said = judgement.study.description
    named: list[tuple[Keys, str | None]] = [(("use", "term"), said.use.term if said.use else None)]
    named += [(("tables", n, "use", "term"), t.use.term if t.use else None)
              for n, t in said.tables.items()]  # fmt: skip
    known = [name for entry in glossary.entries for name in entry.names]
    for path, term in named:
        if term is None or glossary.find(term) is not None:
            continue
        close = get_close_matches(term, known, n=1, cutoff=0.85)
        if close:
            problem = places.weak(
                path, f"the term `{term}`", "a term of the glossary",
                "it stands on the page without an explanation", "no-term",
            )  # fmt: skip
            yield replace(problem, hint=f"nearest: {close[0]}")


def units_fit(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """Measures in a unit that their term is never measured in."""
    for name, measure in judgement.study.description.measures.items():
        entry = glossary.find(measure.term) if measure.term else None
        usual = entry.unit if entry else None
        if entry is None or not usual or not units.ours(usual) or measure.unit == "count":
            continue
        scales = usual.startswith("Shore ") and measure.unit.startswith("Shore ")
        if not scales and not units.alike(usual, measure.unit):
            yield places.weak(
                ("measures", name, "unit"), f"`{measure.unit}` for {entry.term}",
                f"a unit that {entry.term} is measured in, such as `{usual}`",
                "every sentence and figure says it in this unit", "unit-unfit",
            )  # fmt: skip


def printed_numbers(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """Numbers of the report that are none: there is nothing to check."""
    for i, check in enumerate(judgement.stated):
        if check.tolerance is None:
            yield places.weak(
                ("stated", i, "value"), f"`{check.stated}`",
                "the number as the report prints it, in digits", "it is not checked", "no-number",
            )  # fmt: skip


def chain(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """Links of a rule's chain that nothing in the study tests, and of which the author says no
    more than the rule does."""
    rule = judgement.study.description.rule
    if rule is not None and not rule.reasons:
        yield places.weak(
            ("rule",), "no `reasons` for the rule", "the claims it is said to rest on",
            "the page cannot hold it against the data", "no-reasons",
        )  # fmt: skip
    for i, link in enumerate(judgement.chain.links if judgement.chain else ()):
        claim = judgement.verdict(link.claim).claim
        if link.code == "not-tested" and not claim.opinion:
            yield places.weak(
                ("rule", "reasons", i), f"the link `{link.claim}`, which nothing here tests",
                "a claim that this data tests", "the chain holds no better than this link",
                "untested-link",
            )  # fmt: skip


def narrow_zone(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """A rule's zone drawn for a better gauge than the study itself has found."""
    zone = judgement.rule_zone
    if zone is None or zone.measured is None:
        return
    rule = judgement.study.description.rule
    given = rule is not None and rule.u is not None
    yield places.weak(
        ("rule", "u") if given else ("measures", zone.measure),
        f"an uncertainty of {zone.u:.3g} for one reading",
        f"about {zone.measured:.3g}, which the study's own gauge test finds",
        "the zone that is too close to call is too narrow, and the card says so", "narrow-zone",
    )  # fmt: skip


def no_short_name(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """Claims that the question turns on and that a poster has no few words for."""
    asked = asked_verdicts(judgement)
    if all(verdict.code in UNANSWERED for verdict in asked):
        return  # the poster says that it cannot answer, and names none
    ids = [claim.id for claim in judgement.study.description.claims]
    for verdict in asked:
        if not short_name(verdict, judgement):
            yield places.weak(
                ("claims", ids.index(verdict.claim.id), "id"),
                f"no `briefly` for the claim `{verdict.claim.id}`",
                "two or three words to stand before `yes` on a poster",
                "the poster only counts how many claims hold", "no-briefly",
            )  # fmt: skip


#: Words that turn a short name round: "No rougher" is not "rougher".
_TURNED = re.compile(r"\b(?:not?|never|less|none|nor)\b|n['’]t\b")


#: What a sentence calls going down, and up, whatever is measured.
_DOWN = re.compile(
    r"\b(?:(?:goes|go|went|going) down|falls?|fell|fallen|falling|drop(?:s|ped|ping)?|"
    r"declin(?:e[sd]?|ing)|decreas(?:e[sd]?|ing)|loses?|lost|losing|s[ia]nks?|shr[iau]nks?)\b"
)
_UP = re.compile(
    r"\b(?:(?:goes|go|went|going) up|rises?|rose|risen|rising|increas(?:e[sd]?|ing)|gr[eo]ws?|"
    r"growing|grown|gain(?:s|ed|ing)?|climb(?:s|ed|ing)?)\b"
)


def ways_turned(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """Sentences and short names that say the other way than their claim is tested for.

    ``Rougher: yes`` over a claim that covers went smoother is a false answer in large type, and
    "backed" under "the cover goes smooth" a false one where its test asks for rougher.
    """
    study = judgement.study
    for i, claim in enumerate(study.description.claims):
        test = claim.all_tests[0]
        if len(claim.all_tests) > 1 or not isinstance(test, Change | Trend):
            continue
        measure = study.measure(test.measure)
        ways = [(_DOWN, _bare(measure.less_is)), (_UP, _bare(measure.more_is))]
        if test.direction == "any":
            key = "report_says" if claim.report_says else "says"
            said = (getattr(claim, key) or "").casefold()
            down, up = (_says(said, *way) for way in ways)
            if down != up and not _TURNED.search(said):
                yield places.weak(
                    ("claims", i, key), f"`{getattr(claim, key)}` for a claim of `any` direction",
                    f"`direction: {'up' if up else 'down'}` in its test, and `plainly` to match",
                    "a change the other way would count for it, too", "way-open",
                )  # fmt: skip
            continue
        other, meant = ways if test.direction == "up" else ways[::-1]
        for key in ("report_says", "says", "plainly", "briefly"):
            text = getattr(claim, key) or ""
            said = text.casefold()
            if not _says(said, *other) or _says(said, *meant) or _TURNED.search(said):
                continue
            short = key == "briefly"
            yield places.weak(
                ("claims", i, key), f"`{text}` for a claim of `{test.direction}`",
                f"words for {meant[1] or test.direction}, or another `direction` in its test",
                f"the page's {'first line says' if short else 'verdict is about'} the other way",
                "briefly-turned" if short else "way-turned",
            )  # fmt: skip


def _bare(word: str | None) -> str:
    """A measure's own word as a sentence may have it: ``smooth`` of ``smoother``."""
    word = (word or "").casefold()
    return word.removesuffix("er") if " " not in word and len(word) > 5 else word


def _says(said: str, way: re.Pattern[str], own: str) -> bool:
    return way.search(said) is not None or bool(own and re.search(rf"\b{re.escape(own)}", said))


#: ``rolls longer``: what something does, where a sentence needs what it is.
_DOES = re.compile(r"(?!less\b|hooks? (?:more|less)$)\w+[^s\W]s (?:more|less|\w+er|\w+ly)$")


def words_of_direction(
    judgement: Judgement, glossary: Glossary, places: Places
) -> Iterator[Problem]:  # fmt: skip
    """``more_is`` and ``less_is`` that are verbs: *the rolls longer balls* is no English."""
    for name, measure in judgement.study.description.measures.items():
        for key in ("more_is", "less_is"):
            given = getattr(measure, key)
            if given and _DOES.match(given.casefold()):
                yield places.weak(
                    ("measures", name, key), f"`{given}`, which is what something does",
                    "what it is: a word such as `rougher`, or `more` and a noun (`more hook`)",
                    "sentences come out in no English", "direction-word",
                )  # fmt: skip


#: What more of a unit's kind is never called; such a word under ``more_is`` has both turned round.
_LESS = {
    "Shore D": "softer", "mph": "slower", "rpm": "slower", "pound": "lighter",
    "degF": "colder cooler", "foot": "shorter narrower", "microinch": "smoother thinner flatter",
}  # fmt: skip
_MORE = {
    "Shore D": "harder", "mph": "faster", "rpm": "faster", "pound": "heavier",
    "degF": "warmer hotter", "foot": "longer wider", "microinch": "rougher thicker",
}  # fmt: skip
#: The same of every unit.
_LESS_OF_ALL, _MORE_OF_ALL = ("less", "fewer", "lower", "smaller"), ("more", "higher", "bigger")


def directions_swapped(
    judgement: Judgement, glossary: Glossary, places: Places
) -> Iterator[Problem]:
    """``more_is: softer`` of a hardness: every sentence about it would say the other way.

    A measure that is worked out may well be the less the more of it there is.
    """
    for name, measure in judgement.study.description.measures.items():
        if measure.derived is not None:
            continue
        kinds = [unit for unit in _LESS if _same_kind(measure.unit, unit)]
        for key, wrong, never in (("more_is", _LESS, _LESS_OF_ALL),
                                  ("less_is", _MORE, _MORE_OF_ALL)):  # fmt: skip
            given = getattr(measure, key) or ""
            words = {*never, *(word for unit in kinds for word in wrong[unit].split())}
            if given.casefold().split()[:1] and given.casefold().split()[0] in words:
                what = "more" if key == "more_is" else "less"
                yield places.weak(
                    ("measures", name, key), f"`{given}` for {what} {measure.unit}",
                    f"a word for {what} of it; are `more_is` and `less_is` turned round?",
                    "every sentence says the other way than the readings", "direction-swapped",
                )  # fmt: skip


def _same_kind(unit: str, other: str) -> bool:
    """Whether both measure the same; a roughness or a film is no length of a lane."""
    if other.startswith("Shore "):
        return unit.startswith("Shore ")  # every scale is a unit of its own
    try:
        alike = units.alike(unit, other)
    except units.UnitError:
        return False
    tiny = ("microinch", "µm", "mil")
    return alike and (unit in tiny) == (other in tiny)


def too_few(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """Tests that could not decide whatever the readings were."""
    each = judgement.study.description.tested.item
    for i, verdict in enumerate(judgement.verdicts):
        parts = verdict.each
        few = any("too-few-items" in part.reasons for part in (verdict, *parts))
        if few and not _asked_how_many(judgement, verdict):
            n = min(part.n_items for part in parts)
            alike = "" if n else "are they named alike in both tables?"
            problem = places.weak(
                ("claims", i, "id"),
                f"{n} {each}{'s' * (n != 1)} for the claim `{verdict.claim.id}`",
                "enough of them for its test ever to decide",
                "its verdict stays open whatever the readings say", "too-few",
            )  # fmt: skip
            yield replace(problem, hint=alike)


def unpaired(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """The same items on both sides of a comparison that does not say so."""
    for i, verdict in enumerate(judgement.verdicts):
        for part in verdict.each:
            test = part.test
            if "pairs" not in part.reasons or getattr(test, "within", "") is not None:
                continue
            table = judgement.study.tables.get(getattr(test, "table", None) or "")
            item = table.item if table else judgement.study.description.tested.item
            yield places.weak(
                ("claims", i, "id"),
                f"the same {item}s on both sides of the claim `{verdict.claim.id}`",
                f"`within: {item}` in its test, which holds each against itself",
                "they are taken for different ones, and the claim cannot be backed", "unpaired",
            )  # fmt: skip


def _asked_how_many(judgement: Judgement, verdict: Verdict) -> bool:
    """Whether a question of the author's asks what the claim says, and how many would settle it."""
    said = (verdict.claim.sentence, verdict.claim.plainly or "")
    counts = re.compile(rf"\b(?:\d+|{'|'.join(map(cardinal, range(2, 100)))})\b", re.IGNORECASE)
    return any(
        question.settled_by and counts.search(question.settled_by)
        and any(text and same_words(question.ask, text) for text in said)
        for question in judgement.study.description.questions
    )  # fmt: skip


def margins(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """Claims of "no relation" that do not say how weak a relation counts as none."""
    for i, claim in enumerate(judgement.study.description.claims):
        for j, test in enumerate(claim.all_tests):
            if isinstance(test, NoAssociation) and test.margin is None:
                key = "tests" if claim.test is None else "test"
                alone = key == "test" and not isinstance(claim.test, tuple)
                path: Keys = ("claims", i, key) if alone else ("claims", i, key, j)
                yield places.weak(
                    path,
                    f"no `margin` for the claim `{claim.id}`",
                    "how far from 0 r may lie and still count as none", "it can never be shown",
                    "no-margin-r",
                )  # fmt: skip


def strongest_told(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """What the data back most clearly is missing from the answer: something else was marked.

    An author who means that says so: `answers_question: no` on it.
    """
    best, told = strongest_backed(judgement.verdicts), asked_verdicts(judgement)
    if best is None or best in told or "answers_question" in best.claim.model_fields_set:
        return
    if reach_inside(best) <= max(map(reach_inside, told), default=0.0):
        return
    ids = [claim.id for claim in judgement.study.description.claims]
    yield places.weak(
        ("claims", ids.index(best.claim.id), "id"),
        f"the claim `{best.claim.id}`, which the data back most clearly, outside the answer",
        "`answers_question:` on it, yes or no",
        "the answer does without it", "strongest-untold",
    )  # fmt: skip


def groups_held(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """A link that all items show and that lies between their groups alone, without a word about it:
    its test holds the group alike, which its author may not have meant to ask."""
    for i, verdict in enumerate(judgement.verdicts):
        claim = verdict.claim
        if claim.say or not any(part.detail.between_groups for part in verdict.each):
            continue
        table = judgement.study.tables.get(verdict.table or "")
        word = group_word(judgement.study, table)
        yield places.weak(
            ("claims", i, "id"),
            f"the {word} held alike for the claim `{claim.id}`, whose link lies between them alone",
            f"a `say` about that, or another `each` or `group` if no {word} is to be held alike",
            "readers are told that it is open inside one of them", "held-alike",
        )  # fmt: skip


def amounts_in_units(
    judgement: Judgement, glossary: Glossary, places: Places
) -> Iterator[Problem]:
    """Amounts of use in a claim's sentence that its test does not reach, or counts in another unit.

    A claim about 60 games on 60 shots: the number is a checkpoint's, and the unit is not.
    """
    known = settled(judgement)
    for i, claim in enumerate(judgement.study.description.claims):
        parts = judgement.verdict(claim.id).each
        if not known.last or any("beyond-data" in part.reasons for part in parts):
            continue  # its verdict says so
        tested = {step for part in parts for step in _steps(part.test)}
        for key in ("report_says", "says", "plainly"):
            for words, found in _slipped(getattr(claim, key) or "", known, tested):
                yield places.weak(
                    ("claims", i, key), f"`{words}`, {found}",
                    f"what its test compares: {_compared(tested, known)}",
                    "its verdict is about another amount of use than its sentence",
                    "other-unit", words,
                )  # fmt: skip


#: What use is counted in, of which a sentence may take one for another.
_COUNTED = ("game", "shot", "frame", "hour", "day", "week", "month", "year")


def _slipped(text: str, known: Settled, tested: set[float]) -> Iterator[tuple[str, str]]:
    """Amounts past the last reading, and a checkpoint's number with another unit behind it."""
    for words, steps in amounts(text, known):
        bare = float(re.sub(r"[^\d.]", "", words) or "nan")
        if steps > known.last * 1.001 or (bare in tested and steps not in tested):
            yield words, f"which is {_told(steps)} {known.use}s here"
    for unit in _COUNTED:
        if unit not in (known.use, *known.other_units):
            for m in re.finditer(rf"\b([\d,]+(?:\.\d+)?)[ -]{unit}s?\b", text, re.IGNORECASE):
                if float(m[1].replace(",", "") or "nan") in tested:
                    yield m[0], f"where use is counted in {known.use}s"


def _steps(test: object) -> Iterator[float]:
    """The checkpoints that a test names."""
    for key in ("from_", "to", "by", "at"):
        point = getattr(test, key, None)
        points = point if isinstance(point, tuple) else (point,)
        yield from (float(p) for p in points if isinstance(p, int | float))


def _compared(tested: set[float], known: Settled) -> str:
    told = " and ".join(_told(step) for step in sorted(tested))
    return f"{known.use} {told}" if told else f"at most {_told(known.last)} {known.use}s"


def _told(steps: float) -> str:
    return f"{steps:,.10g}"


def asides_apart(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """Comparisons that do not say where they stop, and guesses at what the data settle."""
    said = judgement.study.description
    told: list[tuple[Keys, Comparison | str | None]] = [(("like",), said.like)]
    told += [(("figures", i, "like"), figure.like) for i, figure in enumerate(said.figures)]
    told += [(("claims", i, "like"), claim.like) for i, claim in enumerate(said.claims)]
    for path, like in told:
        if isinstance(like, str):
            yield places.weak(
                path, "a comparison without an end",
                "`{what: …, stops: …}`: where it stops being true",
                "readers may carry it too far", "no-stops",
            )  # fmt: skip
    for i, claim in enumerate(said.claims):
        code = judgement.verdict(claim.id).code
        if claim.guess and code in ("backed", "against"):
            yield places.weak(
                ("claims", i, "guess"), f"a guess beside the claim `{claim.id}`, which is settled",
                "`say`, with what the data show", "a finding is told as if nobody knew it",
                "guess-settled",
            )  # fmt: skip


def kinds_near(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """Claims that are said to fit no test, and whose words come near one all the same."""
    for i, claim in enumerate(judgement.study.description.claims):
        for j, test in enumerate(claim.all_tests):
            found = tuple(n for n in near(claim.sentence) if n.kind != test.kind)
            if not isinstance(test, NotTestable) or not found:
                continue
            key = "tests" if claim.test is None else "test"
            alone = key == "test" and not isinstance(claim.test, tuple)
            path: Keys = ("claims", i, key) if alone else ("claims", i, key, j)
            yield places.weak(
                path, f"`not-testable` for the claim `{claim.id}`",
                f"a test, if one of these is what the sentence means: {told(found)}",
                "the page says that no data could settle it", "kinds-near",
            )  # fmt: skip


def answers(judgement: Judgement, glossary: Glossary, places: Places) -> Iterator[Problem]:
    """``answers`` that lead to no question of another study of the workspace."""
    said = judgement.study.description
    given: list[tuple[Keys, str | None]] = [(("answers",), said.answers)]
    given += [(("claims", i, "answers"), claim.answers) for i, claim in enumerate(said.claims)]
    if not any(reference for _, reference in given):
        return
    known = _questions(judgement)
    for place, reference in given:
        if reference is not None and reference not in known:
            expected = f"one of {listed(known)}" if known else "study-id/id of one of its questions"
            problem = places.weak(
                place, f"`{reference}`, which no study of this workspace asks", expected,
                "no link is made", "answers",
            )  # fmt: skip
            yield replace(problem, hint=hint(reference, known))


def _questions(judgement: Judgement) -> list[str]:
    """What the other studies of the workspace leave open, by the names ``answers`` takes."""
    found: list[str] = []
    for folder in list_studies(judgement.study.workspace):
        if folder == judgement.study.folder:
            continue
        with suppress(OSError):  # its own proof says what is wrong with it
            written = (folder / DESCRIPTION).stat()
            found += _asked(folder, written.st_mtime_ns, written.st_size)
    return found


@lru_cache(maxsize=2_000)
def _asked(folder: Path, _written: int, _size: int) -> tuple[str, ...]:
    """The questions of a study, read once as long as its description stays as it is."""
    try:
        other: Description = read_description(folder)[0]
    except StudyError:
        return ()
    return tuple(f"{study_id(folder)}/{q.id}" for q in other.questions if q.id)
