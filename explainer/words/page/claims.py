"""A verdict in sentences: what the data say, why not more, what would settle it."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from explainer.claims.evidence import label
from explainer.claims.kinds import kind_of, testable
from explainer.claims.outcomes import FirstGuess, OfferedGuess, guess
from explainer.claims.verdict import STRENGTH, Judgement, Strip, Verdict
from explainer.words.facts.claim import facts
from explainer.words.facts.items import side
from explainer.words.facts.kind_facts import side_name
from explainer.words.facts.relations import (
    by_numbers,
    catches,
    lies,
    shaky,
    subs,
    the_catch,
    too_little,
)
from explainer.words.page.prose import explained_claim, fill, plain_claim, short_name
from explainer.words.page.report import source_words
from explainer.words.page.strips import needs, strip_words
from explainer.words.phrases.renderer import Teller, stopped
from explainer.words.quantity.numbers import as_given, bare
from explainer.words.quantity.numerals import cardinal
from explainer.words.quantity.sizes import (
    Sized,
    listed,
    with_unit,
)
from explainer.words.said import ClaimWords, GuessWords
from explainer.words.sentence import joined, put
from explainer.words.speakers import in_voices, speaker_of

# The words of what stands beside a strip: twenty equally likely answers, and a first guess.

Facts = Mapping[str, Any]


def outcome_words(teller: Teller, verdict: Verdict, known: Facts) -> tuple[str, ...]:
    """How many of the twenty answers lie where the claim needs them, and what they leave out."""
    strip = verdict.strip
    if strip is None or not strip.outcomes:
        return ()
    found = [lies(strip, at, at) for at in strip.outcomes]
    same = sum(at * (strip.value or 1.0) > 0 for at in strip.outcomes)
    told = {
        **known, "dots_in": found.count("inside"), "dots_out": found.count("outside"),
        "dots_same": same, "needed_somewhere": bool(found[0]),
        "dots_in_told": cardinal(found.count("inside")), "dots_same_told": cardinal(same),
        "held_by": held(teller, verdict, known),  # as its bar has it: a solid one has no catch
    }  # fmt: skip
    kind, about = verdict.test.kind, verdict.claim.id
    either = kind_of(verdict).corrected and not known["way_claimed"] and not strip.beyond
    told_as = [f"outcomes.told.{kind}", "outcomes.told"]
    if either and same:
        told_as = ["outcomes.told.either"]
    told_as = ["outcomes.told.small", *told_as]
    names = [["outcomes.what"], told_as, *([["outcomes.beside"]] if shaky(verdict) else [])]
    return tuple(
        teller.tell(each, told, about=about) for each in names if teller.may(told, *each)
    )


def guess_words(teller: Teller, verdict: Verdict, known: Facts) -> GuessWords | None:
    """The question, each guess, and how the answer lies to it; None where nobody asks."""
    asked = guess(verdict)
    if asked is None:
        return None
    if verdict.claim.asked:  # what could be answered to it, only its author knows
        return GuessWords(verdict.claim.asked, ())
    about = verdict.claim.id
    labels = [_label(teller, verdict, asked, choice, known) for choice in asked.choices]
    right = next((la for la, c in zip(labels, asked.choices, strict=True) if c.right), "")
    said = []
    for name, choice in zip(labels, asked.choices, strict=True):
        facts = {
            **known, "guess_right": choice.right, "guess_meets": choice.meets, "guessed": name,
            "gap": _gap(verdict, choice), "way": _way(verdict.strip, verdict.estimate),
            "reached": right,
        }  # fmt: skip
        said.append((name, teller.tell([f"guess.gap.{asked.mode}"], facts, about=about)))
    ask = teller.tell([f"guess.ask.{asked.mode}"], known, about=about)
    return GuessWords(ask, tuple(said))


def _label(
    teller: Teller, verdict: Verdict, asked: FirstGuess, choice: OfferedGuess, known: Facts
) -> str:
    """One guess, as a button has it."""
    if choice.code is not None:
        return teller.fragment([f"label.{choice.code}"], known, about=verdict.claim.id)
    low, high = choice.low, choice.high
    ends = sorted(abs(end) for end in (low, high) if end is not None)
    side = 0.0 if low is not None and high is not None and low < 0 < high else (
        -1.0 if high is not None and high <= 0 else 1.0
    )  # fmt: skip
    near, far = ends[0], ends[-1]
    name = "within" if not side else "open" if None in (low, high) else "between"
    unit_said = bare if name == "between" else with_unit
    facts = {
        **known, "way": _way(verdict.strip, side), "far": with_unit(as_given(far), asked.unit),
        "near": unit_said(as_given(near), asked.unit),
    }  # fmt: skip
    names = [f"guess.{asked.mode}.{name}", f"guess.{asked.mode}"]
    said = teller.fragment(names, facts, about=verdict.claim.id)
    return said[:1].upper() + said[1:]


def _gap(verdict: Verdict, choice: OfferedGuess) -> str:
    """From the best estimate to the guess; as fine as the estimate's own range allows."""
    strip = verdict.strip
    if choice.gap is None or strip is None or strip.low is None or strip.high is None:
        return ""
    if not math.isfinite(choice.gap):  # of a ratio to nothing
        return ""
    half = (strip.high - strip.low) / 2
    return Sized(choice.gap, choice.gap - half, choice.gap + half, strip.unit).size


def _way(strip: Strip | None, value: float | None) -> str:
    """The word for the side of nothing that a value lies on; empty at nothing."""
    if strip is None or not value:
        return ""
    return (strip.less_is or "down") if value < 0 else (strip.more_is or "up")


def claim_words(teller: Teller, judgement: Judgement, verdict: Verdict) -> ClaimWords:
    """Every sentence of one claim."""
    known = claim_facts(teller, judgement, verdict)
    reasons = because(teller, judgement, verdict, known)
    return ClaimWords(
        label=teller.fragment([f"label.{verdict.code}"], known, about=verdict.claim.id),
        plainly=plain_claim(verdict.claim, judgement),
        explained=explained_claim(verdict.claim, judgement),
        says=says(teller, judgement, verdict, known),
        because=tuple(reasons.values()),
        catch=catch(teller, judgement, verdict, reasons),
        settle=settle(teller, verdict, known),
        strip=strip_words(teller, verdict, known),
        estimate=estimate(teller, verdict, known),
        method=method(teller, judgement, verdict, known),
        brief=short_name(verdict, judgement),
        held=held(teller, verdict, known),
        short=short(teller, verdict, known),
        beside=beside(teller, judgement, verdict, known),
        outcomes=outcome_words(teller, verdict, known),
        guess=guess_words(teller, verdict, known),
        whose=whose(teller, judgement, verdict, known),
    )


def whose(teller: Teller, judgement: Judgement, verdict: Verdict, known: Facts) -> str:
    """Whose claim it is and whose numbers it was held against."""
    study = judgement.study
    table = study.tables.get(verdict.table)
    more = {
        "by_whom": speaker_of(verdict.claim.said_by).who, "tested": verdict.code != "not-tested",
        "source": source_words(study, table) if table is not None else "",
        "reported": study.description.report is not None,
    }  # fmt: skip
    return teller.tell(["whose"], {**known, **more}, about=verdict.claim.id)


#: A description that tells nothing of what was read but that somebody made it up.
_MADE_UP = re.compile(
    r"(?=.*(?:made[\s-]up|invented))(?:\W*\b(?:all|the|these|of|it|its|data|numbers|readings|is|"
    r"are|was|were|made[\s-]up|invented)\b)+\W*", re.IGNORECASE | re.DOTALL,
)  # fmt: skip


def which_read(teller: Teller, judgement: Judgement) -> dict[str, str]:
    """By claim id, in the order of the page: what was read for it, where the author says so and it
    is not what was read for the claim before (for the first: what the study says)."""
    study = judgement.study
    before = main = study.description.tested.described or ""
    said = {}
    for verdict in in_voices(judgement.verdicts):
        if verdict.table not in study.tables or verdict.code == "not-tested":
            continue
        own = study.description.tables[verdict.table].tested
        described = (own.described if own is not None else main) or ""
        made_up = _MADE_UP.fullmatch(described) is not None
        # That the data is made up stands on every page of such a study, and says of what it is not.
        if described and described != before and not (made_up and study.description.is_invented):
            known = {"described": stopped(" ".join(described.split())), "made_up": made_up}
            said[verdict.claim.id] = teller.tell(["page.which"], known, about=verdict.claim.id)
        before = described
    return said


def labels(teller: Teller) -> dict[str, str]:
    """What each verdict is called, by its code."""
    return {code: teller.fragment([f"label.{code}"], {}, about="label") for code in STRENGTH}


def held(teller: Teller, verdict: Verdict, known: Facts, in_full: bool = False) -> str:
    """What beside the numbers holds a verdict back, in a few words; empty where nothing does.

    ``in_full``: each thing that does, where a strip has room for the first of them.
    """
    if verdict.code not in ("leans", "cannot-tell") or by_numbers(verdict):
        return ""
    caught = catches(verdict)
    own = [reason for reason in verdict.reasons if reason not in verdict.detail.idle]
    names = [f"held.{reason}" for reason in caught or own]
    names = [name for name in names if teller.may(known, name)]
    if not caught:
        names = names[:1]
    elif len(names) > 1 and not in_full:
        names = [names[0], "and-more"]
    about = verdict.claim.id
    return joined("; ", (teller.fragment([name], known, about=about) for name in names))


def catch_in_short(teller: Teller, judgement: Judgement, verdict: Verdict) -> str:
    """The same of a verdict at another margin, where a reason holds back what its range alone
    would say, or the other way is only less than this; else empty."""
    if verdict.code == "against":
        return short(teller, verdict, claim_facts(teller, judgement, verdict))
    return held(teller, verdict, claim_facts(teller, judgement, verdict)) if shaky(verdict) else ""


def short(teller: Teller, verdict: Verdict, known: Facts) -> str:
    """How the data disagree where what they show is too small rather than the other way, or that
    something was read, of too few to test it; else empty."""
    names = ["short.small", "short.under"]
    if verdict.code == "not-tested" and verdict.estimate is not None:
        names = ["short.few"]
    elif verdict.code != "against" or len(verdict.parts) > 1:
        return ""
    if not teller.may(known, *names):
        return ""
    return teller.fragment(names, known, about=verdict.claim.id)


def claim_facts(teller: Teller, judgement: Judgement, verdict: Verdict) -> Facts:
    """The facts of a verdict, with the pieces other sentences are built from.

    Built once for each verdict and audience; the verdict is kept with them, so that its id is
    nobody else's.
    """
    key = ("claim facts", teller.audience, id(verdict))
    if key not in judgement.memo:
        built = MappingProxyType(_claim_facts(teller, judgement, verdict))
        judgement.memo[key] = (verdict, built)
    known: Facts = judgement.memo[key][1]
    return known


def _claim_facts(teller: Teller, judgement: Judgement, verdict: Verdict) -> dict[str, Any]:
    if len(verdict.parts) > 1:
        return _of_all_parts(teller, judgement, verdict)
    known = {**facts(verdict, judgement.study), "needs": needs(verdict)}
    kind, about = verdict.test.kind, verdict.claim.id
    extra = [f"clause.{kind}.strong"] if verdict.detail.strong else []
    extra += [f"clause.{kind}.none"] if getattr(verdict.test, "meets", "all") == "none" else []
    known["p_told"] = teller.fragment(["p-told"], known, about=about)
    alone = f" ({some})" if (some := some_only(verdict)) else ""
    clause = teller.fragment([*extra, f"clause.{kind}"], known, about=about)
    known["clause"] = joined("", (clause, alone))
    if len(verdict.claim.all_tests) == 1:
        known["clause"] = _own_clause(judgement, verdict) or known["clause"]
    known["contrary"], known["mirrored"] = "", False
    known["own_clause"] = bool(_own_clause(judgement, verdict))
    if verdict.code == "against":
        finer = [f"contrary.{kind}.{sub}" for sub in subs(verdict)]
        said = teller.fragment([*finer, f"contrary.{kind}"], known, about=about)
        known["contrary"] = said and joined("", (said, alone))
    # What takes down a verdict that its range alone would give, told wherever that is hinted at.
    decided = known["alone"] in ("inside", "outside") or too_little(known)
    known["held_by"] = held(teller, verdict, known, True) if decided and shaky(verdict) else ""
    # One number without a range: its way is told, for a bare size reads as one the claimed way.
    known["lone"] = teller.fragment([f"lone.{kind}", "lone.any"], known, about=about)
    names = ["seen.alone"]
    if not kind_of(verdict).ranged or (verdict.estimate is not None and known["has_range"]):
        names = [f"seen.{kind}"]
    elif verdict.estimate is None:
        names = [f"seen.none.{kind}", "seen.none"]
    known["seen"] = teller.fragment(names, known, about=about)
    return known


def some_only(verdict: Verdict) -> str:
    """The rows a claim is about, where it is about some of them alone: ``Plover only``."""
    picked = (verdict.test.only or {}).values()
    return f"{', '.join(label(value) for value in picked)} only" if picked else ""


def _of_all_parts(teller: Teller, judgement: Judgement, verdict: Verdict) -> dict[str, Any]:
    """The facts of the weakest part, with the clause and the findings of all of them."""
    each = [claim_facts(teller, judgement, part) for part in verdict.parts]
    known = claim_facts(teller, judgement, replace(verdict, parts=()))
    of = [_picked(verdict, part, f["items"]) for part, f in zip(verdict.parts, each, strict=True)]
    # What is settled is not called open: the weakest parts alone leave the claim where it is.
    every = list(zip(verdict.parts, each, of, strict=True))
    left = [(f, w) for part, f, w in every if part.code == verdict.code]
    left = left or [(f, w) for _, f, w in every]
    clauses, seen = (
        [put("{} with {}", f[name], w) if w else f[name] for f, w in left]
        for name in ("clause", "seen")
    )
    contrary = joined(" and ", (f["contrary"] for f in each if f["contrary"]))
    own = _own_clause(judgement, verdict)
    return {
        **known, "own_clause": bool(own), "clause": own or joined(" and ", clauses),
        "seen": joined(", and ", seen), "contrary": contrary,
    }  # fmt: skip


def _own_clause(judgement: Judgement, verdict: Verdict) -> str:
    """The claim in a clause of the author's; empty where there is none."""
    return fill(verdict.claim.as_clause or "", judgement).strip().rstrip(".")


def breath(teller: Teller, judgement: Judgement, verdict: Verdict, plainly: str) -> dict[str, Any]:
    """The facts that a claim in one breath is made of; ``plainly`` is the claim in plain words."""
    return {**claim_facts(teller, judgement, verdict), "plainly": plainly.rstrip(".")}


def says(teller: Teller, judgement: Judgement, verdict: Verdict, known: Facts) -> str:
    """What the data say, at the strength of the verdict; a coach also hears why."""
    if len(verdict.parts) > 1:
        return _two_things(teller, judgement, verdict, known)
    said = found(teller, verdict, known)
    if verdict.code == "backed" and known["maybe_small"]:
        said = f"{said} {teller.tell(['maybe-small'], known, about=verdict.claim.id)}"
    if teller.has(more := f"over-all.{verdict.test.kind}") and known["past_all"]:
        said = f"{said} {teller.tell([more], known, about=verdict.claim.id)}"
    why = [f"why.{verdict.test.kind}.{verdict.code}", f"why.{verdict.test.kind}"]
    if verdict.detail.one_item:
        why = [f"why.one.{verdict.test.kind}", "why.one"]
    answered = verdict.code != "not-tested" and (known["has_range"] or kind_of(verdict).calls)
    # Where there is a catch, that is what comes next.
    caught = shaky(verdict) and known["alone"] in ("inside", "outside")
    if teller.audience == "coach" and answered and not caught and teller.has(*why):
        said = f"{said} {teller.tell(why, known, about=verdict.claim.id, stream='why')}".strip()
    return said


def found(teller: Teller, verdict: Verdict, known: Facts, stream: str = "says") -> str:
    """What the data say, and no more: one test, one variant."""
    kind, code = verdict.test.kind, verdict.code
    names = []
    for sub in subs(verdict):
        names += [f"{kind}.{code}.{sub}", f"any.{code}.{sub}", f"any.{sub}"]
    names += [f"{kind}.{code}", f"any.{code}"]
    said = teller.tell(names, known, about=verdict.claim.id, stream=stream)
    if (known.get("one_point") or known.get("averaged")) and verdict.estimate is not None:
        said = f"{said} {teller.tell(['one-point'], known, about=verdict.claim.id)}"
    if known.get("close") and known.get("all_read") and verdict.n_items > 1:  # of a limit
        said = f"{said} {teller.tell(['all-read'], known, about=verdict.claim.id)}"
    if known.get("on_limit"):  # and taken as exact
        said = f"{said} {teller.tell(['on-limit'], known, about=verdict.claim.id)}"
    return said


def _two_things(teller: Teller, judgement: Judgement, verdict: Verdict, known: Facts) -> str:
    """A sentence that says several things: each in turn, under one opening."""
    opening = teller.tell(["parts"], {**known, "parts": len(verdict.parts)}, about=verdict.claim.id)
    each = []
    for part in verdict.parts:
        of = claim_facts(teller, judgement, part)
        where = _picked(verdict, part, of["items"])
        said = found(teller, part, of)
        each.append(f"With {where}: {said}" if where else said)
    return " ".join([opening, *each])


def _picked(verdict: Verdict, part: Verdict, items: str) -> str:
    """The rows that a part speaks of, where another part speaks of others: ``the long pattern``."""
    every = [p.test.only or {} for p in verdict.parts]
    mine = part.test.only or {}
    if all(picked == mine for picked in every):
        return ""
    return listed([side(side_name(value), column, items) for column, value in mine.items()])


def because(
    teller: Teller, judgement: Judgement, verdict: Verdict, known: Facts
) -> dict[str, str]:
    """One sentence per reason code, of the claim and of each of its parts, the catch first."""
    said: dict[str, str] = {}
    for part in verdict.each:
        here = known if part is verdict else claim_facts(teller, judgement, part)
        for reason in part.reasons:
            names = [f"{reason}.{part.test.kind}", reason]
            if part.detail.one_item:
                names.insert(0, f"{reason}.one")
            if reason not in said:
                said[reason] = teller.tell(names, here, about=part.claim.id, stream="because")
    caught = the_catch(verdict)
    told = sorted(said.items(), key=lambda each: each[0] != caught)
    return {reason: text for reason, text in told if text}


def catch(
    teller: Teller, judgement: Judgement, verdict: Verdict, reasons: Mapping[str, str]
) -> str:
    """The reason that ``says`` only hints at, told beside it; empty where it hints at none.

    That somebody was picked by a first reading takes a sentence, so it stands there wherever it
    holds a claim back.
    """
    caught = the_catch(verdict)
    hinted = any(claim_facts(teller, judgement, part)["alone"] in ("inside", "outside")
                 for part in verdict.each if caught in part.reasons)  # fmt: skip
    if hinted:
        return reasons.get(caught, "")
    return reasons.get("chosen", "") if caught else ""


#: What stands beside a verdict, each under the fact that calls for it.
_BESIDE = {"left_many": "dropouts", "excluded": "exclusion-decides", "shared": "shared",
           "unequal": "unequal-use", "unshared": "unshared", "turn_by": "confounded",
           "uneven": "uneven", "past_ends": "past-ends"}  # fmt: skip


def beside(teller: Teller, judgement: Judgement, verdict: Verdict, known: Facts) -> tuple[str, ...]:
    """Other answers and cautions, where they are no reason that holds the verdict back."""
    said: dict[str, str] = {}
    for part in verdict.each:
        here = known if part is verdict else claim_facts(teller, judgement, part)
        for fact, name in _BESIDE.items():
            if here[fact] and name not in part.reasons and name not in said:
                about = part.claim.id
                said[name] = teller.tell([f"beside.{name}"], here, about=about, stream="beside")
    return tuple(s for s in said.values() if s)


def settle(teller: Teller, verdict: Verdict, known: Facts) -> str:
    """What would settle it; empty where nothing is open."""
    kind, code = verdict.test.kind, verdict.code
    names = []
    caught = the_catch(verdict)
    # What holds it back comes first: to mend anything else would leave it where it is.
    for reason in sorted(verdict.reasons, key=lambda reason: reason != caught):
        if (code in ("backed", "against")) != (reason == "one-group"):
            continue  # another kind would widen a claim that does not hold yet for this one
        wide = code != "not-tested" and known["alone"] not in ("inside", "outside") and not (
            too_little(known))
        if (reason in ("groups", "cut-off") and wide) or (
            reason == "mixture" and by_numbers(verdict)
        ):
            continue  # the range itself is too wide, whatever sets groups or readings apart
        names += [f"settle.{reason}.{code}", f"settle.{reason}.{kind}", f"settle.{reason}"]
    if verdict.detail.one_item:  # more items would say nothing of this one
        names.append(f"settle.{code}.one")
    names += [f"settle.{code}.{kind}", f"settle.{code}"]
    names = [n for n in names if teller.has(n)]
    known, about = with_would(teller, verdict, known), verdict.claim.id
    said = [teller.tell(names, known, about=about, stream="settle")]
    # To mend only one of several that hold it back would settle nothing.
    for reason in catches(verdict)[1:] if known["held_by"] else ():
        names = [n for n in (f"settle.{reason}.{kind}", f"settle.{reason}") if teller.has(n)]
        if names:
            said.append(teller.tell(names, {**known, "needed": None}, about=about))
    for name in ("settle.also.dropouts", f"settle.also.past.{kind}"):
        if code in ("leans", "cannot-tell") and teller.has(name) and teller.may(known, name):
            said.append(teller.tell([name], known, about=about))
    return joined(" ", dict.fromkeys(text for text in said if text))


def with_would(teller: Teller, verdict: Verdict, known: Facts) -> Facts:
    """The facts with what the number of items that is told would do, and for which effect."""
    kind, about = verdict.test.kind, verdict.claim.id
    if known["effect"]:
        said = teller.fragment([f"effect.{kind}", "effect.any"], known, about=about)
        known = {**known, "effect": said}
    if not known["needed"]:
        return {**known, "would": ""}
    needed = known["needed"]
    if teller.may(known, "as-here"):
        needed = put("{} {}", needed, teller.fragment(["as-here"], known, about=about))
    return {**known, "would": teller.fragment(["would"], known, about=about), "needed": needed}


def estimate(teller: Teller, verdict: Verdict, known: Facts) -> str:
    """The number with its range, short; empty where there is none."""
    kind = verdict.test.kind
    if not kind_of(verdict).calls and verdict.estimate is None:
        return ""
    if kind_of(verdict).calls and not verdict.extra.get("items"):
        return ""
    names = [f"estimate.{kind}", "estimate.any"]
    if kind not in ("limit", "repeatability") and not known["has_range"]:
        names = ["estimate.any.no-range"]
    said = teller.fragment(names, known, about=verdict.claim.id)
    few = ", too few to test" if "too-few-items" in verdict.reasons else ""
    return said[:1].upper() + said[1:] + (few if verdict.code == "not-tested" else "")


def method(teller: Teller, judgement: Judgement, verdict: Verdict, known: Facts) -> str:
    """How it was worked out, with what was counted."""
    parts = []
    for part in verdict.each:
        here = known if part is verdict else claim_facts(teller, judgement, part)
        untested = part.code == "not-tested" and testable(part)
        if untested and part.estimate is None:
            label = part.reasons[0].replace("-", " ") if part.reasons else "no data for it"
            parts.append(
                teller.tell(
                    [*(f"method.untested.{r}" for r in part.reasons), "method.untested"],
                    {**here, "reason": label, "sought": sought(teller, part, here)},
                    about=part.claim.id,
                )
            )
        else:
            kind, row = part.test.kind, kind_of(part)
            bare = part.detail.undefined or (row.ranged and row.one_range)
            if part.detail.one_item:
                names = [f"method.one.{kind}", "method.one"]
            elif bare and not here["has_range"]:  # no range is named where there is none
                names = [f"method.no-range.{kind}", "method.no-range"]
                names = ["method.no-number"] if part.estimate is None else names
            else:
                names = [f"method.{kind}"]
            here = {**here, "sought": sought(teller, part, here)}
            parts.append(teller.tell(names, here, about=part.claim.id))
            if part.detail.groups_uneven:
                parts.append(teller.tell(["method.groups"], here, about=part.claim.id))
            if part.detail.with_mates and here["has_range"]:
                parts.append(teller.tell(["method.mates"], here, about=part.claim.id))
    return " ".join(dict.fromkeys(parts))


def sought(teller: Teller, verdict: Verdict, known: Facts) -> str:
    """The number that could not be worked out, by name; empty where it could."""
    if verdict.low is not None or verdict.high is not None or not verdict.detail.undefined:
        return ""
    names = [f"sought.{verdict.test.kind}", "sought.any"]
    return teller.fragment(names, known, about=verdict.claim.id)
