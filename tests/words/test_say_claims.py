"""Every verdict code and reason, for every kind of test and audience: no sentence overclaims."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from types import SimpleNamespace
from typing import Any

import pytest

from explainer.claims.verdict import REASONS, Strip, Verdict
from explainer.words.facts.relations import relations
from explainer.words.grade import grade
from explainer.words.page.claims import claim_words
from explainer.words.phrases.renderer import Teller, load_phrases, opening
from explainer.words.said import ClaimWords

KINDS = (
    "change", "no-change", "difference", "association", "no-association", "tracks-within",
    "same-line", "break-in", "trend", "repeatability", "limit", "rate-difference", "not-testable",
)  # fmt: skip
CODES = ("backed", "leans", "cannot-tell", "against", "not-tested")
AUDIENCES = ("viewer", "league", "coach")

#: Words that say more than any verdict can.
OVERCLAIMS = re.compile(
    r"\b(prove[sd]?|proof|always|never (?:hooks|falls|changes)|significant\w*|no effect|no change|"
    r"no difference|no link at all|certain(?:ly)?|guarantee[sd]?|without doubt|"
    r"the data shows? that|definitely|undoubtedly)\b",
    re.IGNORECASE,
)
#: What a template leaves behind when it goes wrong.
LEFTOVERS = re.compile(r"\bnan\b|None|\{\{|\{%|Undefined|not known|  | [.,;:]|\.\.|<|>")
UNITS = r"microinch(?:es)?|boards?|Shore D points?|percentage points?"


def texts(words: ClaimWords) -> Iterator[str]:
    yield from (words.label, words.says, *words.because, words.settle, words.strip, words.method)
    yield words.estimate


def sentences(text: str) -> list[str]:
    return re.split(r"(?<=[.?!])\s+(?=[A-Z0-9“])", text)


def numbered(verdict: Verdict, value: float, low: float, high: float, **detail: Any) -> Verdict:
    """The same verdict with other numbers, on its strip as well."""
    strip = replace(verdict.strip, value=value, low=low, high=high)
    known = replace(verdict.detail, **detail)
    return replace(verdict, estimate=value, low=low, high=high, strip=strip, detail=known)


def words_of(
    made: SimpleNamespace, kind: str, code: str, reasons: tuple[str, ...], audience: str,
    **how: bool,
) -> ClaimWords:  # fmt: skip
    study = made.study([made.claim(kind, "the-claim")])
    verdict = made.verdict(study, "the-claim", code, reasons, **how)
    teller = Teller(load_phrases(study.workspace.template_folders), study.id, audience)
    return claim_words(teller, made.judgement(study, (verdict,)), verdict)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("code", CODES)
@pytest.mark.parametrize("audience", AUDIENCES)
def test_every_verdict_reason_and_audience(
    made: SimpleNamespace, kind: str, code: str, audience: str
) -> None:
    for reasons in [(), *((reason,) for reason in REASONS)]:
        words = words_of(made, kind, code, reasons, audience)
        for text in texts(words):
            assert not OVERCLAIMS.search(text), text
            assert not LEFTOVERS.search(text.replace("p < 0", "p")), text
            assert text == text.strip()
        if kind != "not-testable" and not {"only-averages", "not-a-data-question"} & set(reasons):
            counted = r"\b(8|[Ee]ight)( \w+)? (balls|bowlers)\b|\blike these 8\b"
            assert re.search(counted, words.says), words.says
        assert words.says
        assert words.says[-1] in ".?!"
        told = set(reasons) - ({"gauge-too-coarse"} if kind == "repeatability" else set())
        assert len(words.because) == len(told)  # what a gauge sees is what the data say of it
        assert grade(words.says) <= 9.5, words.says
        shots = re.search(r"\b48\b|readings? from 48", words.says)
        assert not shots, "rows are not evidence"


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("audience", AUDIENCES)
def test_no_unit_is_said_twice_in_a_sentence(
    made: SimpleNamespace, kind: str, audience: str
) -> None:
    for code in CODES:
        for reasons in [(), ("fragile",), ("levels-disagree",), ("real-but-small",)]:
            words = words_of(made, kind, code, reasons, audience)
            for text in (words.says, *words.because, words.settle, words.strip):
                for sentence in sentences(text):
                    found = [u.rstrip("es") for u in re.findall(UNITS, sentence)]
                    found = [u for u in found if "per" not in u or "point" in u]
                    assert len(found) == len(set(found)), sentence


@pytest.mark.parametrize("kind", KINDS[:-1])
def test_a_number_without_a_range_is_never_called_backed(made: SimpleNamespace, kind: str) -> None:
    if kind in ("limit", "repeatability"):
        return
    words = words_of(made, kind, "cannot-tell", (), "viewer", bare=True)
    assert "range" in words.says
    assert "likely" not in words.says


def test_weak_verdicts_sound_weak(made: SimpleNamespace) -> None:
    """The words of doubt that each weaker code must carry somewhere in its sentence."""
    doubt = {
        "leans": r"look|guess|signs|seem|not settled|without settling|lean|held back|not quite|"
        r"not ruled out|too wide|cannot be sure",
        "cannot-tell": r"can(?:not|'t)|either|both|stays open|room for|fits? in|murky|wide|"
        r"would fit|too few|may have|nobody|not enough|to wait|not the same|nothing to hang",
        "not-tested": r"nobody|not put|cannot|no number|not built|nothing|only averages|"
        r"further|there is no line",
    }
    for code, pattern in doubt.items():
        for kind in KINDS:
            for audience in AUDIENCES:
                reasons = ("beyond-data",) if code == "not-tested" else ()
                if kind == "not-testable":
                    if code != "not-tested":
                        continue
                    reasons = ("not-a-data-question",)
                says = words_of(made, kind, code, reasons, audience).says
                assert re.search(pattern, says, re.IGNORECASE), f"{kind} {code}: {says}"


def test_what_would_settle_it_names_how_many(made: SimpleNamespace) -> None:
    words = words_of(made, "change", "cannot-tell", (), "viewer")
    assert "14 balls" in words.settle
    assert words_of(made, "change", "backed", (), "viewer").settle == ""


def test_openings_of_neighbors_differ(made: SimpleNamespace) -> None:
    """Claims read one after another do not open with the same two words."""
    claims = [made.claim("change", f"c{n}", test={"to": 10 * n}) for n in range(1, 7)]
    study = made.study(claims)
    for code in CODES[:4]:
        for audience in AUDIENCES:
            teller = Teller(load_phrases(study.workspace.template_folders), study.id, audience)
            verdicts = tuple(made.verdict(study, c["id"], code) for c in claims)
            judged = made.judgement(study, verdicts)
            said = [opening(claim_words(teller, judged, v).says) for v in verdicts]
            assert all(a != b for a, b in pairwise(said)), said


def test_the_same_study_reads_the_same_twice(made: SimpleNamespace) -> None:
    first, again = (words_of(made, "trend", "leans", ("fragile",), "coach") for _ in range(2))
    assert first == again


@pytest.mark.parametrize(("r", "says"), [(-0.9, "is past −0.3."), (0.9, "is past 0.3.")])
def test_a_range_is_past_the_margin_of_its_own_side(
    made: SimpleNamespace, r: float, says: str
) -> None:
    study = made.study([made.claim("no-association", "it", test={"margin": 0.3})])
    verdict = made.verdict(study, "it", "against")
    low, high = sorted((r, r * 1.05))
    verdict = replace(verdict, estimate=r, low=low, high=high,
                      detail=replace(verdict.detail, margin=0.3))  # fmt: skip
    judged = made.judgement(study, (verdict,))
    said = [
        claim_words(Teller(load_phrases(study.workspace.template_folders), study.id, audience),
                    judged, verdict).says
        for audience in AUDIENCES
    ]  # fmt: skip
    assert any(says in one for one in said), said


@pytest.mark.parametrize(("share", "says"), [
    (1.0003, "about as much of a difference"), (1.2, "more of a difference"),
    (0.999, "nearly all of the difference"),
])  # fmt: skip
def test_what_is_left_of_a_slope_is_told_in_two_digits(
    made: SimpleNamespace, share: float, says: str
) -> None:
    study = made.study([made.claim("association", "it")])
    verdict = made.verdict(study, "it", "backed")
    detail = replace(verdict.detail, given=("hardness",), r_before=0.55, share_left=share)
    judged = made.judgement(study, (replace(verdict, detail=detail),))
    said = " ".join(
        claim_words(Teller(load_phrases(study.workspace.template_folders), study.id, audience),
                    judged, judged.verdicts[0]).says
        for audience in AUDIENCES)  # fmt: skip
    assert says in said


def test_a_link_that_holding_alike_leaves_as_it_was_reads_the_same(made: SimpleNamespace) -> None:
    """−0.488 and −0.490: told as −0.5 and −0.49 they would look like a change."""
    study = made.study([made.claim("association", "it")])
    verdict = made.verdict(study, "it", "cannot-tell")
    detail = replace(verdict.detail, given=("hardness",), r_before=-0.4897)
    verdict = replace(verdict, estimate=-0.4876, low=-0.855, high=0.205, detail=detail)
    judged = made.judgement(study, (verdict,))
    said = claim_words(Teller(load_phrases(study.workspace.template_folders), study.id, "viewer"),
                       judged, verdict).says  # fmt: skip
    assert "reads −0.5. The likely range" in said and "held alike it reads −0.5." in said, said


@pytest.mark.parametrize(
    ("code", "expected"),
    [("backed", "Plover came out rougher"), ("against", "Plover came out smoother than Teasel")],
)
def test_a_difference_is_told_of_the_first_side_the_right_way_round(
    made: SimpleNamespace, code: str, expected: str
) -> None:
    """a less b above 0 is more of a; below 0 it is less of a, never less of b."""
    for id in ("one", "two", "three", "four"):
        study = made.study([made.claim("difference", id)])
        verdict = made.verdict(study, id, code)
        teller = Teller(load_phrases(study.workspace.template_folders), id, "viewer")
        says = claim_words(teller, made.judgement(study, (verdict,)), verdict).says
        assert expected in says or "Set side by side" in says
    tie = words_of(made, "difference", "cannot-tell", (), "viewer").says
    assert "Plover smoother by 10 microinches to rougher by 12" in tie


def test_a_gauge_past_its_mark_is_not_called_good(made: SimpleNamespace) -> None:
    study = made.study([made.claim("repeatability", "it")])
    verdict = made.verdict(study, "it", "leans")
    verdict = numbered(verdict, 22.0, 14.0, 41.0, poor=30.0)
    verdict = replace(verdict, strip=replace(verdict.strip, claim_zone=(0.0, 30.0)))
    teller = Teller(load_phrases(study.workspace.template_folders), study.id, "viewer")
    says = claim_words(teller, made.judgement(study, (verdict,)), verdict).says
    assert "in a pinch" in says
    assert "good enough" not in says


def test_windows_and_how_far_a_claim_reaches(made: SimpleNamespace) -> None:
    test = {"from": (1, 10), "to": (191, 200)}
    study = made.study([made.claim("change", "it", test=test)])
    verdict = made.verdict(study, "it", "not-tested", ("beyond-data",))
    past = replace(verdict.detail, reaches=191.0, measured_from=1, measured_to=60.0)
    verdict = replace(verdict, detail=past)
    teller = Teller(load_phrases(study.workspace.template_folders), study.id, "viewer")
    words = claim_words(teller, made.judgement(study, (verdict,)), verdict)
    assert "200 shots" in words.says
    assert "60 shots" in words.says
    assert "200 shots" in words.settle


def test_against_says_how(made: SimpleNamespace) -> None:
    """Too small, short of what was claimed, and the other way are three different answers."""
    study = made.study([made.claim("change", "it", test={"at_least": 30.0})])
    teller = Teller(load_phrases(study.workspace.template_folders), study.id, "viewer")
    other = made.verdict(study, "it", "against")
    short = numbered(other, -14.0, -19.0, -9.0, at_least=30.0)
    small = numbered(other, -1.0, -4.0, 2.0)
    judged = made.judgement(study, (other,))
    said = [claim_words(teller, judged, v).says for v in (other, short, small)]
    assert "30 microinches" in said[1]
    assert "6 microinches" in said[2]
    assert re.search("other way|not what the report says", said[0])
    notes = [claim_words(teller, judged, v).note for v in (other, short, small)]
    assert notes[0] == ""
    assert notes[1:] == [
        "not as said: less than the claim needs", "not as said: too small to matter",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("value", "low", "high", "less"),
    [(-0.1, -0.28, 0.4, True), (0.3, -0.28, 0.45, True), (0.4, -0.28, 0.83, False),
     (0.6, 0.2, 0.83, False)],
)  # fmt: skip
def test_as_much_the_other_way_is_not_less_than_the_claim_needs(
    made: SimpleNamespace, value: float, low: float, high: float, less: bool
) -> None:
    """A strong link down was claimed, from −0.5 on: a range up to 0.83 is not short of strong."""
    study = made.study([made.claim("association", "it", test={"direction": "negative",
                                                              "strong": True})])  # fmt: skip
    verdict = made.verdict(study, "it", "against")
    strip = Strip(value=value, low=low, high=high, claim_zone=(None, -0.5), small_zone=None,
                  null=0.0, unit="r")  # fmt: skip
    assert relations(replace(verdict, strip=strip))["under_zone"] is less


@pytest.mark.parametrize(
    ("low", "high", "touches"),
    [(0.0, 21.0, True), (-21.0, 0.0, True), (-21.0, 0.1, False), (-0.1, 21.0, False)],
)
def test_a_range_that_ends_right_on_the_line_has_no_room_for_both_answers(
    made: SimpleNamespace, low: float, high: float, touches: bool
) -> None:
    study = made.study([made.claim("change", "it", test={"direction": "down"})])
    plain = made.verdict(study, "it", "cannot-tell")
    assert plain.strip is not None
    teller = Teller(load_phrases(study.workspace.template_folders), study.id, "viewer")
    verdict = replace(plain, estimate=(low + high) / 2, low=low, high=high, strip=replace(
        plain.strip, value=(low + high) / 2, low=low, high=high, claim_zone=(None, 0.0)))
    says = claim_words(teller, made.judgement(study, (verdict,)), verdict).says
    assert relations(verdict)["only_touches"] is touches
    assert ("ends right on the line between the two answers" in says) is touches
    assert "room for both" not in says


@pytest.mark.parametrize(
    ("low", "high", "told", "never"),
    [(0.6, 1.1, "that much, or less", "80% or more"), (1.17, 1.36, "80% or more", "or less"),
     (0.85, 1.4, "80% or more", "or less")],
)  # fmt: skip
def test_a_share_that_is_surely_most_is_not_told_as_far_from_it(
    made: SimpleNamespace, low: float, high: float, told: str, never: str
) -> None:
    """104 to 140% done by a checkpoint: it was over by then, whatever came back afterwards."""
    study = made.study([made.claim("break-in", "it")])
    verdict = made.verdict(study, "it", "cannot-tell")
    verdict = numbered(verdict, (low + high) / 2, low, high, share_low90=low, share_high90=high)
    teller = Teller(load_phrases(study.workspace.template_folders), study.id, "viewer")
    says = claim_words(teller, made.judgement(study, (verdict,)), verdict).says
    assert told in says and never not in says


@pytest.mark.parametrize("kind", ["change", "difference"])
@pytest.mark.parametrize("code", ["leans", "cannot-tell"])
def test_a_claim_of_a_size_is_not_told_as_one_of_something_or_nothing(
    made: SimpleNamespace, kind: str, code: str
) -> None:
    """A range of 8 to 27 against a claim of at least 10 leaves no room for none at all."""
    zero = ("so does none", "no gap at all", "either way round", "cannot separate", "takes in zero",
            "nothing at all", "the rest did not")  # fmt: skip
    way = {"change": "up", "difference": "higher"}[kind]
    for name in ("a", "b", "c", "d", "e", "f"):  # every variant speaks for one of these ids
        study = made.study([made.claim(kind, name, test={"at_least": 10.0, "direction": way})])
        verdict = made.verdict(study, name, code)
        moved = {"n_up": 8, "n_down": 0} if kind == "change" else {}
        verdict = numbered(verdict, 17.0, 8.0, 27.0, at_least=10.0, **moved)
        teller = Teller(load_phrases(study.workspace.template_folders), study.id, "viewer")
        says = claim_words(teller, made.judgement(study, (verdict,)), verdict).says
        assert not [z for z in zero if z in says], says
        assert "10 microinches" in says or "claimed" in says


@pytest.mark.parametrize(
    ("change_a", "change_b", "gap", "told"),
    [(-20.0, -10.0, -10.0, "Plover went 10 microinches (0.25 µm) further towards smoother"),
     (-10.0, -20.0, 10.0, "Teasel went 10 microinches (0.25 µm) further towards smoother"),
     (5.0, -5.0, 10.0, "Plover went 10 microinches (0.25 µm) further towards rougher")],
)  # fmt: skip
def test_further_is_said_of_the_side_that_went_there(
    made: SimpleNamespace, change_a: float, change_b: float, gap: float, told: str
) -> None:
    """Where both go smooth and a by less, nobody went further towards rougher: b went further."""
    test = {"direction": "lower" if gap < 0 else "higher"}
    for name in ("a", "b", "c", "d"):  # both variants speak for one of these ids
        study = made.study([made.claim("difference-in-change", name, test=test)])
        verdict = made.verdict(study, name, "backed")
        verdict = numbered(verdict, gap, gap - 4, gap + 4, change_a=change_a, change_b=change_b)
        teller = Teller(load_phrases(study.workspace.template_folders), study.id, "viewer")
        assert told in claim_words(teller, made.judgement(study, (verdict,)), verdict).says


@pytest.mark.parametrize(("between", "inside", "told"), [
    (-28.0, -50.0, "the slope is 28 boards down for every microinch, and inside one ball it is 50 "
                   "down."),
    (28.0, -50.0, "is 28 boards up for every microinch, and inside one ball it is 50 down."),
])  # fmt: skip
def test_two_slopes_are_told_with_their_ways(
    made: SimpleNamespace, between: float, inside: float, told: str
) -> None:
    study = made.study([made.claim("tracks-within", "the-claim")])
    verdict = made.verdict(study, "the-claim", "cannot-tell", ("levels-disagree",))
    detail = replace(verdict.detail, slope_between=between, slope_within=inside,
                     slope_within_low=None, slope_within_high=None, slopes_differ="differ")
    verdict = replace(verdict, detail=detail)
    teller = Teller(load_phrases(study.workspace.template_folders), study.id, "viewer")
    (said,) = claim_words(teller, made.judgement(study, (verdict,)), verdict).because
    assert said.endswith(told), said
