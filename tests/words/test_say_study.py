"""The study's own sentences: answer, short and long version, chain, questions, arithmetic."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise
from types import SimpleNamespace
from typing import Any

import pytest

from explainer.claims.verdict import Chain, ChainLink, Judgement, OpenQuestion, StatedCheck
from explainer.words.grade import grade
from explainer.words.page.claims import claim_facts
from explainer.words.page.headline import _choices, scope_of_page
from explainer.words.page.study import brief
from explainer.words.phrases.book import teller_for
from explainer.words.phrases.renderer import opening
from explainer.words.say import say

AUDIENCES = ("viewer", "league", "coach")
KEYS = ("change", "association", "tracks-within")


def judged(made: SimpleNamespace, codes: dict[str, str], **more: Any) -> Judgement:
    """A study whose key claims are of ``KEYS``, each with its verdict."""
    claims = [made.claim(kind, kind, key=True) for kind in codes]
    extra = {k: more.pop(k) for k in ("stated", "rule") if k in more}
    study = made.study(claims, **extra)
    verdicts = tuple(made.verdict(study, kind, code) for kind, code in codes.items())
    return made.judgement(study, verdicts, **more)


@pytest.mark.parametrize("audience", AUDIENCES)
def test_the_answer_is_one_sentence_at_the_strength_of_its_claims(
    made: SimpleNamespace, audience: str
) -> None:
    def answer(*codes: str) -> str:
        return say(judged(made, dict(zip(KEYS, codes, strict=True))), audience).answer

    mixed = answer("backed", "backed", "cannot-tell")
    assert len(re.findall(r"[.?!](?:\s|$)", mixed)) == 1
    assert "8 balls" in mixed
    assert mixed.index("Cover roughness fell") < mixed.index("whether a ball that gets smoother")
    assert re.search("it stays open whether", mixed)
    assert re.search("looks as if|suggest .*without settling", answer("leans", "leans", "leans"))
    assert re.search("can.t settle whether", answer("cannot-tell", "cannot-tell", "cannot-tell"))
    assert "Contrary to the report" in answer("against", "against", "against")
    assert re.search("not test", answer("not-tested", "not-tested", "not-tested"))
    assert re.search("; .*contrary to the report, ", answer("backed", "against", "backed"))


def test_an_answer_never_calls_an_open_claim_found(made: SimpleNamespace) -> None:
    """What stands before the first "whether", "if" or "contrary to" is backed; nothing else is."""
    for weak in ("leans", "cannot-tell", "against", "not-tested"):
        said = say(judged(made, {"change": weak, "association": "backed"})).answer
        head = re.split(r"\b(?:whether|as if|contrary to|nobody)\b", said)[0]
        assert "cover roughness" not in head.lower(), said


@pytest.mark.parametrize("audience", AUDIENCES)
def test_short_and_long_stand_alone_and_keep_their_length(
    made: SimpleNamespace, audience: str
) -> None:
    codes = dict(zip(KEYS, ("backed", "leans", "cannot-tell"), strict=True))
    words = say(judged(made, codes), audience)
    short, long = " ".join(words.short), " ".join(words.long)
    assert 40 <= len(short.split()) <= 95
    assert 180 <= len(long.split()) <= 400
    for text in (short, long):
        assert re.search(r"\b(8|Eight) balls\b", text)
        assert not re.search(r"\b(it|this claim|the above) below\b", text)
        assert grade(text) <= 8
    assert "what use does to one of them" in long


def test_what_was_tested_counts_balls_not_shots(made: SimpleNamespace) -> None:
    tested = say(judged(made, {"change": "backed"})).tested
    assert "Eight balls" in tested
    assert "4 Plover and 4 Teasel" in tested
    assert "6 checkpoints, from the start to game 60" in tested
    assert "cover roughness, hardness, total hook and diameter" in tested
    assert re.search(r"the number that counts is 8, the balls", tested)


@pytest.mark.parametrize(
    ("code", "expected"),
    [
        ("backed", "each of them is backed"),
        ("leans", "without settling it"),
        ("cannot-tell", "This data can't tell"),
        ("not-tested", "Nothing in this study tests it"),
        ("against", "the data point the other way"),
    ],
)
def test_a_chain_is_told_by_its_weakest_link(
    made: SimpleNamespace, code: str, expected: str
) -> None:
    links = (
        ChainLink("change", "backed", None, code == "backed"),
        ChainLink("association", code, None, code != "backed"),  # type: ignore[arg-type]
    )
    weakest = "change" if code == "backed" else "association"
    chain = Chain(code, weakest, links)  # type: ignore[arg-type]
    rule = {"change": "Sand it.", "reasons": ["change", "association"]}
    words = say(judged(made, {"change": "backed", "association": code}, chain=chain, rule=rule))
    assert expected in words.chain
    assert words.chain.startswith("Two reasons")
    if code != "backed":
        assert "the second one" in words.chain
        assert "rougher balls tend to hook more" in words.chain


def test_open_questions_say_why_and_what_would_settle_them(made: SimpleNamespace) -> None:
    asked = (
        OpenQuestion("author", "What about 300 games?", "the same balls, out to 300 games"),
        OpenQuestion("cannot-tell", None, None, "tracks-within", 14),
        OpenQuestion("cannot-tell", None, None, "tracks-within", 14),
    )
    words = say(judged(made, {"tracks-within": "cannot-tell"}, questions=asked))
    assert len(words.questions) == 2, "each question once"
    assert words.questions[0] == (
        "What about 300 games?", "", "The same balls, out to 300 games.",
    )  # fmt: skip
    ask, why, settled = words.questions[1]
    assert ask == "Does a ball that gets smoother also end up hooking less?"
    assert "8 balls" in why or "Eight balls" in why
    assert "14 balls" in settled


@pytest.mark.parametrize(("kind", "asked"), [
    ("tracks-within", "Does total hook follow cover roughness in one and the same ball?"),
    ("rate-difference", "Do strikes come more often with one than with the other of Plover and "
                        "Teasel?"),
])  # fmt: skip
def test_a_claim_of_no_way_asks_without_one(made: SimpleNamespace, kind: str, asked: str) -> None:
    study = made.study([made.claim(kind, "it", test={"direction": "any"}, key=True)])
    verdict = made.verdict(study, "it", "cannot-tell")
    question = OpenQuestion("cannot-tell", None, None, "it", 14)
    words = say(made.judgement(study, (verdict,), questions=(question,)))
    assert words.questions[0][0] == asked
    if kind == "tracks-within":
        assert "whether total hook follows cover roughness in one and the same ball" in words.answer


def test_every_source_of_questions_has_words(made: SimpleNamespace) -> None:
    sources = {
        "beyond-data": ("not-tested", ("beyond-data",)), "cannot-tell": ("cannot-tell", ()),
        "fragile": ("leans", ("fragile",)), "one-step": ("leans", ("one-step",)),
        "one-group": ("backed", ("one-group",)), "untested-link": ("not-tested", ()),
        "gauge-too-coarse": ("leans", ("gauge-too-coarse",)),
    }  # fmt: skip
    for kind in made.tests:
        for source, (code, reasons) in sources.items():
            study = made.study([made.claim(kind, "it")])
            verdict = made.verdict(study, "it", code, reasons)
            question = OpenQuestion(source, None, None, "it", 14)
            words = say(made.judgement(study, (verdict,), questions=(question,)))
            ask, why, _ = words.questions[0]
            assert ask.endswith("?"), (kind, source)
            assert why or kind == "not-testable"
            assert "None" not in ask + why


def test_the_reports_arithmetic(made: SimpleNamespace) -> None:
    entries = [
        {"what": "mean texture at game 0", "value": "71.4",
         "compute": {"mean": "texture", "at": 0}},
        {"what": "mean texture at game 60", "value": "50",
         "compute": {"mean": "texture", "at": 60}},
        {"what": "pins per frame", "value": "3.48",
         "possible": {"mean_of": "whole numbers", "n": 20}},
        {"what": "strikes", "value": "33%", "possible": {"percent_of": "strikes", "n": 8}},
    ]  # fmt: skip
    checks = (
        StatedCheck("mean texture at game 0", "Table 2", "71.4", 71.4, True, None, "microinch"),
        StatedCheck("mean texture at game 60", "", "50", 52.2, False, None, "microinch"),
        StatedCheck("pins per frame", "page 7", "3.48", None, None, False),
        StatedCheck("strikes", "", "33%", None, None, False),
    )
    judgement = replace(judged(made, {"change": "backed"}, stated=entries), stated=checks)
    said = say(judgement).stated
    assert "That agrees" in said[0]
    assert "(Table 2)" in said[0]
    assert "do not agree" in said[1]
    assert "52.2 microinches" in said[1]
    assert "No 20 whole numbers average to that" in said[2]
    assert "No whole number out of 8" in said[3]
    assert "; 3 would make 38." in said[3]  # 3/8 is 37.5, 2/8 is 25
    assert not re.search("wrong|fake|lie|error", " ".join(said)), "a mismatch accuses nobody"


def test_claims_tested_together_are_counted(made: SimpleNamespace) -> None:
    codes = dict(zip(KEYS, ("backed", "backed", "cannot-tell"), strict=True))
    judgement = judged(made, codes)
    third = replace(judgement.verdicts[2], p_holm=0.6)
    words = say(replace(judgement, verdicts=(*judgement.verdicts[:2], third)))
    assert words.several.startswith("Three claims")
    assert "Two clear that bar" in words.several
    assert "other troubles" not in words.several
    assert "number 3 has other troubles" in say(judgement).several
    assert say(judged(made, {"change": "backed"})).several == ""


def test_a_claim_that_says_two_things(made: SimpleNamespace) -> None:
    study = made.study([made.claim("change", "a"), made.claim("no-change", "b")])
    first, second = made.verdict(study, "a", "backed"), made.verdict(study, "b", "cannot-tell")
    both = replace(second, parts=(first, replace(second, claim=first.claim)), claim=first.claim)
    said = say(made.judgement(study, (both,)))
    assert said.claims["a"].says.startswith("The claim says two things.")
    assert "cover roughness" in said.claims["a"].says.lower()
    for text in (said.claims["a"].says, said.answer, " ".join(said.short)):
        assert "hardness" in text.lower(), text
    assert "cover roughness" not in said.answer.lower()  # that part is settled, and not called open


def test_made_up_data_is_said_to_be_made_up(made: SimpleNamespace) -> None:
    assert "Made-up data" in say(judged(made, {"change": "backed"})).disclaimer
    study = made.study([made.claim("change", "it")], invented=False)
    real = say(made.judgement(study, (made.verdict(study, "it", "backed"),)))
    assert real.disclaimer == ""


def test_claims_in_a_row_do_not_open_alike(made: SimpleNamespace) -> None:
    """All kinds of claims with all codes, as a page would list them."""
    for code in ("backed", "leans", "cannot-tell", "against"):
        kinds = [k for k in made.tests if k != "not-testable"]
        claims = [made.claim(kind, f"c-{kind}") for kind in kinds]
        study = made.study(claims)
        verdicts = tuple(made.verdict(study, f"c-{kind}", code) for kind in kinds)
        for audience in AUDIENCES:
            words = say(made.judgement(study, verdicts), audience)
            said = [opening(c.says) for c in words.claims.values()]
            assert all(a != b for a, b in pairwise(said)), said


def test_an_unknown_audience_is_refused(made: SimpleNamespace) -> None:
    with pytest.raises(ValueError, match="one of viewer, league, coach"):
        say(judged(made, {"change": "backed"}), "everybody")


def test_where_another_claim_says_the_contrary_it_is_told_once(made: SimpleNamespace) -> None:
    """A report that says both, Plover ahead and Teasel ahead: the answer is what the data back."""
    other = {"a": "Teasel", "b": "Plover"}
    claims = [made.claim("rate-difference", "plover", key=True),
              made.claim("rate-difference", "teasel", test=other)]  # fmt: skip
    study = made.study(claims)
    verdicts = (made.verdict(study, "plover", "against"), made.verdict(study, "teasel", "backed"))
    words = say(made.judgement(study, verdicts))
    ahead = "strikes came more often, bowler by bowler, with Teasel than with Plover"
    assert words.answer.casefold().count(ahead.casefold()) == 1 and "contrary" not in words.answer
    assert " ".join(words.short).casefold().count(ahead.casefold()) == 1


def test_what_is_so_instead_is_said_and_not_only_that_the_claim_fails(
    made: SimpleNamespace,
) -> None:
    words = say(judged(made, {"change": "against", "association": "against"}))
    assert "cover roughness rose" in words.answer
    assert "rougher balls tend to have less hook" in words.answer or "hook less" in words.answer
    assert "Contrary to the report, cover roughness rose" in " ".join(words.short)


def test_an_author_may_put_a_claim_into_a_clause(made: SimpleNamespace) -> None:
    """Their words at the strength of the verdict, and what the data say against it in ours."""
    own = "sanded balls end up smooth"
    claims = [made.claim("change", "worn", key=True, as_clause=own)]
    study = made.study(claims)

    def answer(code: str) -> str:
        return say(made.judgement(study, (made.verdict(study, "worn", code),))).answer

    assert answer("backed") == f"{own.capitalize()}, going by 8 balls."
    assert f"It looks as if {own}, going by 8 balls, but" in answer("leans")
    assert f"whether {own}" in answer("cannot-tell")
    assert own not in answer("against") and "cover roughness rose" in answer("against")


@pytest.mark.parametrize(("described", "invented", "said"), [
    ("Made up.", True, ""), ("All of the numbers are invented", True, ""),
    ("Made up.", False, "The data for this is made up, as the study says."),
    ("Six made-up balls", True, "Read for this: Six made-up balls."),
    ("The data of all of it", True, "Read for this: The data of all of it."),
])  # fmt: skip
def test_what_was_read_is_not_that_it_was_made_up(
    made: SimpleNamespace, described: str, invented: bool, said: str
) -> None:
    tables = {"checkpoints": {"file": "c.csv", "tested": {"each": "ball", "described": described}}}
    study = made.study([made.claim("change", "it")], invented=invented, tables=tables)
    judgement = made.judgement(study, (made.verdict(study, "it", "backed"),))
    assert say(judgement).claims["it"].which == said


@pytest.mark.parametrize(("marked", "codes", "hidden"), [
    ("", ("not-tested", "against", "cannot-tell"), False),
    ("", ("not-tested", "backed", "cannot-tell"), False),
    ("change", ("not-tested", "against", "cannot-tell"), True),  # it is not what was asked
])  # fmt: skip
def test_what_was_found_is_not_hidden_behind_a_first_claim_that_is_open(
    made: SimpleNamespace, monkeypatch: pytest.MonkeyPatch, marked: str,
    codes: tuple[str, ...], hidden: bool,
) -> None:  # fmt: skip
    """"Nobody tested whether …; something else is answered" sends a reader to look for it."""
    monkeypatch.setattr("explainer.words.page.headline.MOST_WORDS", 14)  # no room for two
    claims = [made.claim(kind, kind, key=True, answers_question=kind == marked) for kind in KEYS]
    study = made.study(claims)
    verdicts = tuple(made.verdict(study, *both) for both in zip(KEYS, codes, strict=True))
    said = say(made.judgement(study, verdicts)).headline
    assert ("tend to hook" in said) is not hidden, said
    assert bool(re.search(r"claims? stays? open\.$", said)) is not hidden, said


def test_what_fails_is_not_the_whole_answer_where_something_is_backed() -> None:
    backed, against = SimpleNamespace(code="backed"), SimpleNamespace(code="against")
    assert (against,) not in list(_choices([backed, against]))
    assert (against,) in list(_choices([against, SimpleNamespace(code="leans")]))


def test_so_many_are_those_of_a_claim_where_claims_rest_on_different_ones(
    made: SimpleNamespace,
) -> None:
    """And what is found goes by its own, not by those of every claim."""
    judgement = judged(made, {"change": "backed", "association": "cannot-tell"})
    first, second = judgement.verdicts
    uneven = replace(judgement, verdicts=(first, replace(second, n_items=5)))
    assert "going by 8 balls;" in say(uneven).answer
    teller = teller_for(uneven, "viewer")
    assert "Going by 5 to 8 balls a claim" in scope_of_page(teller, uneven, ())
    assert "a claim" not in scope_of_page(teller, judgement, ())


def test_a_claim_that_was_not_tested_goes_by_nobody(made: SimpleNamespace) -> None:
    claims = [made.claim(kind, kind) for kind in ("change", "association")]
    study = made.study(claims)
    judgement = made.judgement(study, (
        made.verdict(study, "change", "backed"),
        replace(made.verdict(study, "association", "not-tested"), n_items=3)))  # fmt: skip
    said = scope_of_page(teller_for(judgement, "viewer"), judgement, ())
    assert "Going by 8 balls" in said and "a claim" not in said


def test_a_limit_that_nobody_surely_misses_is_not_told_as_signs_that_all_meet_it(
    made: SimpleNamespace,
) -> None:
    judgement = judged(made, {"change": "backed", "limit": "leans"})
    teller, limit = teller_for(judgement, "viewer"), judgement.verdicts[1]
    told = brief(teller, limit, claim_facts(teller, judgement, limit), "long")
    assert told.startswith("No ball misses the limit of") and "too close to call" in told
