"""An author's prose: references become values, and typed numbers are held against them."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from explainer.claims.verdict import Judgement
from explainer.errors import DescriptionError
from explainer.proof.typed import typed_numbers
from explainer.words.glossary.entries import Entry, Glossary
from explainer.words.page.prose import fill, in_plain_words


@pytest.fixture
def judgement(made: SimpleNamespace) -> Judgement:
    claims = [
        made.claim("change", "texture-falls"), made.claim("break-in", "early"),
        made.claim("not-testable", "fairer"),
    ]  # fmt: skip
    study = made.study(claims, intro="Down by {texture-fall.estimate}, they say.")
    codes = {"texture-falls": "backed", "early": "backed", "fairer": "not-tested"}
    verdicts = tuple(made.verdict(study, id, code) for id, code in codes.items())
    return made.judgement(study, verdicts)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("{texture-falls.estimate}", "−21 microinches"),
        ("It fell by {texture-falls.size}.", "It fell by 21 microinches."),
        ("{texture-falls.low} to {texture-falls.high}", "−25 microinches to −18 microinches"),
        ("{texture-falls.range}", "−25 to −18 microinches"),
        ("From {texture-falls.from} to {texture-falls.to} games", "From 0 to 60 games"),
        ("{texture-falls.mean_to}", "50.1 microinches"),
        ("{texture-falls.n} balls, {texture-falls.p}", "8 balls, p = 0.012"),
        ("{early.estimate} by game {early.by}", "93% by game 10"),
        ("{texture.matters_from} of {texture.term}", "6 microinches of cover roughness"),
        ("{study.n} balls", "8 balls"),
        ("Braces {like this} and {these: two} stay.", "Braces {like this} and {these: two} stay."),
    ],
)
def test_references_become_values(judgement: Judgement, text: str, expected: str) -> None:
    assert fill(text, judgement) == expected


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("{texture-fall.estimate}", ("{texture-fall.estimate}", "did you mean texture-falls?")),
        ("{texture-falls.estimat}", ("one of", "did you mean estimate?")),
        ("{fairer.estimate}", ("{fairer.estimate}", "the sentence cannot be written")),
    ],
)
def test_a_reference_to_nothing_is_one_line(
    judgement: Judgement, text: str, parts: tuple[str, ...]
) -> None:
    with pytest.raises(DescriptionError) as caught:
        fill(text, judgement)
    message = str(caught.value)
    assert message.startswith("study.yaml:")
    assert "\n" not in message
    for part in parts:
        assert part in message


@pytest.mark.parametrize(
    ("text", "unexplained"),
    [
        ("It fell by 21 microinches over 60 games.", []),
        ("It fell by 21.4, from 71.4 to 50.1.", []),
        ("It fell by 23 microinches.", ["23"]),
        ("All 8 of them fell by 8 microinches.", ["8"]),
        ("That is about 0.54 µm, on 39 boards and 60 feet.", []),
        ("By 93% or so; the 95% range.", []),
        ("Ball T3 in 2026, on the 3rd day, at https://example.org/99.", []),
        ("`code 77` and {texture-falls.n} and [a link](page-88).", []),
        ("1. first\n2. second with 777 shots", ["777"]),
        ("It cost 1,234 dollars.", ["1,234"]),
    ],
)
def test_typed_numbers(judgement: Judgement, text: str, unexplained: list[str]) -> None:
    found = typed_numbers(text, judgement)
    assert [n.text for n in found] == unexplained
    assert all(text[n.start :].startswith(n.text) for n in found)


def test_the_nearest_computed_value_is_offered(judgement: Judgement) -> None:
    (found,) = typed_numbers("It fell by 22.3 microinches.", judgement)
    assert found.nearest == "21.4"


def test_trade_words_get_their_plain_phrase_beside_them() -> None:
    glossary = Glossary((
        Entry("entry angle", "angle at which the ball meets the pins", "How it comes in."),
        Entry("hardness", "how hard the cover is to dent", "How hard."),
        Entry("degree", "small unit of angle", "An angle."),
    ))  # fmt: skip
    text, marks = in_plain_words("Hardness did not move the entry angle by two degrees.", glossary)
    assert text == (
        "Hardness (how hard the cover is to dent) did not move the entry angle "
        "(angle at which the ball meets the pins) by two degrees."
    )
    assert [text[a:b] for a, b in marks] == [
        "(how hard the cover is to dent)", "(angle at which the ball meets the pins)",
    ]  # fmt: skip
