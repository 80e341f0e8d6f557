"""Cautions: what fires them, what does not, and that every edition tells them in full."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from explainer.claims.judge import judge
from explainer.claims.verdict import Judgement
from explainer.study.description.rule import Advice
from explainer.study.load import load_study, open_workspace
from explainer.words.glossary.entries import Glossary
from explainer.words.grade import grade
from explainer.words.page.cautions import HAZARDS, Cautions, cautions, hazards, hazards_in, texts_of
from explainer.words.phrases.book import book_of, teller_for
from explainer.words.say import say
from explainer.words.script.talk_of_study import say_script
from explainer.words.sheets.handout import say_handout
from explainer.words.sheets.rule_card import say_rule

HOME = Path(__file__).parents[2]
EMPTY = Glossary(())

FIRES = [
    ("dust", "Sanded balls go smooth."), ("dust", "Sand your ball before league."),
    ("dust", "Scuff it with a pad."), ("dust", "Have the cover resurfaced."),
    ("dust", "A surface adjustment at 2000 grit helps."),
    ("dust", "Hit the ball with a 500-grit pad."),
    ("dust", "Wet-sand it by hand."), ("dust", "An abrasive takes the shine off."),
    ("liquid", "Wipe it with rubbing alcohol."), ("liquid", "Acetone takes the marks off."),
    ("liquid", "Use a ball cleaner after each set."),
    ("liquid", "Work some compound into the cover."),
    ("liquid", "Polish the ball once a month."), ("liquid", "Soak the ball overnight."),
    ("liquid", "Keep solvents away."), ("liquid", "De-oiling it brings the hook back."),
    ("heat", "Bake the ball at low heat."), ("heat", "Put your ball in the oven."),
    ("heat", "A hot-water bath draws the oil out."), ("heat", "De-oil it now and then."),
    ("heat", "Warm up the cover with a hair dryer."), ("heat", "Oil extraction costs a little."),
    ("machine", "Put it on a ball spinner."), ("machine", "Resurface it every sixty games."),
    ("machine", "Hold the pad to the ball on the spinner."),
    ("drill", "Have new holes drilled."), ("drill", "Drill the ball with the pin up."),
    ("drill", "Plug the thumb hole."), ("drill", "A plugged ball reads harder."),
    ("lift", "Lift the ball off the return."), ("lift", "A heavier ball carries better."),
    ("lift", "Carry two balls at once."),
    # advice calls the ball it
    ("dust", "Sand it to 2000."), ("dust", "Have it lightly sanded."),
    ("dust", "Go over it with a pad."), ("dust", "Hit it with a 2000 pad."),
    ("dust", "Roughen the cover."), ("dust", "Freshen the surface now and then."),
    ("dust", "Knock the shine off."), ("dust", "Touch up the cover."),
    ("liquid", "Polish it."), ("liquid", "Have it polished."),
    ("liquid", "Work in some compound."), ("liquid", "Paint thinner takes it off."),
    ("heat", "Put it in the oven."), ("heat", "Heat it gently."),
    ("heat", "Draw the old oil out."), ("heat", "Get the oil out at a shop."),
    ("machine", "Spin it on a spinner."), ("machine", "Put it on the spinner."),
    ("drill", "Have it drilled."), ("drill", "Plug it and drill it again."),
    ("drill", "Take a drill to it."), ("drill", "File the thumb hole wider."),
    ("drill", "Bevel the holes."),
    ("lift", "Pick up the ball with both hands."), ("lift", "Pick the ball up."),
    ("lift", "Move up to a 16-pound ball."), ("lift", "Go up to a heavier one."),
]  # fmt: skip

SILENT = [
    ("dust", "Sand on the beach is coarse."), ("dust", "She has grit, and the board agrees."),
    ("dust", "The lane surface was new."), ("dust", "A thousand bowlers stand here."),
    ("liquid", "It polished off the argument."), ("liquid", "The Polish team won."),
    ("liquid", "Interest compounds over the years."), ("liquid", "He soaked up the applause."),
    ("heat", "It was a heated meeting."), ("heat", "The bakery is next door."),
    ("heat", "The balls were read. Then the oven at the grill broke."),
    ("machine", "The spinner of the board game broke."),
    ("machine", "A throwing machine threw them."),
    ("drill", "We had a fire drill at noon."), ("drill", "Plug the cable in."),
    ("lift", "The win lifted their average."), ("lift", "Pins carry better with this ball."),
    ("lift", "The lift to the second floor is slow."),
    ("dust", "Between the sand and it lies the road."), ("dust", "She wrote it with a note pad."),
    ("dust", "They went through a rough patch."), ("liquid", "It shone with polish and it won."),
    ("liquid", "It works for a compound bow."),
    ("heat", "The heat made it hard to bowl."), ("heat", "Get out of the heat and it gets better."),
    ("heat", "The pizza came out of the oven."), ("machine", "A spinner throws it with tilt."),
    ("drill", "They have it covered."), ("drill", "The file holds all readings."),
    ("lift", "Pick the ball that suits you."), ("lift", "They moved up to third place."),
]  # fmt: skip


@pytest.mark.parametrize(("hazard", "text"), FIRES)
def test_what_fires(hazard: str, text: str) -> None:
    assert hazard in hazards_in([text])


@pytest.mark.parametrize(("hazard", "text"), SILENT)
def test_what_does_not(hazard: str, text: str) -> None:
    assert hazard not in hazards_in([text])


def test_every_hazard_is_tried_both_ways() -> None:
    for cases in (FIRES, SILENT):
        assert {hazard for hazard, _ in cases} == set(HAZARDS)


@pytest.fixture(scope="module")
def plain() -> Judgement:
    """The example with a rule, with every word about treating or drilling a ball taken out."""
    study = load_study(HOME / "studies" / "gauge-check", open_workspace(HOME))
    made = judge(study)
    assert [name for name in hazards(made) if name != "lift"] == [], list(texts_of(made))
    return made


def advising(judgement: Judgement, text: str) -> Judgement:
    """The study with one more piece of advice.  Nothing is judged by it."""
    said = judgement.study.description
    changed = said.model_copy(update={"advice": (*said.advice, Advice(do=text))})
    return replace(judgement, study=replace(judgement.study, description=changed))


ACTS = {
    "dust": "Sand your ball by hand.", "liquid": "Wipe the ball with acetone.",
    "heat": "Bake the ball.", "machine": "Put the ball on a spinner.",
    "drill": "Drill the holes anew.", "lift": "Lift the ball yourself.",
}  # fmt: skip


@pytest.mark.parametrize(("hazard", "text"), ACTS.items())
def test_every_edition_tells_it_in_full(plain: Judgement, hazard: str, text: str) -> None:
    """Page, sheet, card and script; and the same study without the act tells nothing."""
    made = advising(plain, text)
    full = phrase(made, f"caution.{hazard}")
    words = say(made, "viewer")
    told = cautions(made, teller_for(made, "viewer"))
    assert told is not None
    sheet, card = say_handout(made, EMPTY), say_rule(made)
    assert card is not None
    for warned in (told, sheet.caution, card.cautions):
        assert isinstance(warned, Cautions)
        assert full in warned.told
        assert phrase(made, f"caution.{hazard}.brief") in warned.brief
    assert full in spoken(made, words)
    silent = say_rule(plain)
    assert silent is not None
    assert (say_handout(plain, EMPTY).caution, silent.cautions) == (None, None)
    assert cautions(plain, teller_for(plain, "viewer")) is None
    assert full not in spoken(plain, say(plain, "viewer"))


def spoken(judgement: Judgement, words: object) -> str:
    talk = say_script(judgement, words)  # type: ignore[arg-type]
    return " ".join(n.text for p in talk.parts for s in p.shots for n in s.lines)


def phrase(judgement: Judgement, name: str) -> str:
    return next(iter(book_of(judgement.study)[name])).text


@pytest.mark.parametrize("hazard", HAZARDS)
def test_what_each_caution_must_say(plain: Judgement, hazard: str) -> None:
    must = {
        "dust": ("mask", "glasses", "air", "approach", "dry"),
        "liquid": ("gloves", "glasses", "fresh air", "flame", "rags", "label"),
        "heat": ("oven", "water", "trained shop"),
        "machine": ("trained", "glasses", "jewelry", "grips"),
        "drill": ("trained shop", "licensed", "license exists"),
        "lift": ("both hands", "bent knees", "hurts"),
    }
    for form in ("", ".brief"):
        text = phrase(plain, f"caution.{hazard}{form}")
        assert [w for w in must[hazard] if w not in text.replace("it hurts", "hurts")] == [], form
        assert grade(text) <= 8


def test_a_change_of_the_surface_may_be_forbidden_and_who_decides_is_said(plain: Judgement) -> None:
    for hazard, text in ACTS.items():
        warned = cautions(advising(plain, text), teller_for(plain, "viewer"))
        assert warned is not None
        said = " ".join(warned.told)
        assert ("local rules and licensed practice decide" in said) is (hazard != "lift")
        assert ("forbid" in said) is (hazard != "lift")


@pytest.mark.parametrize(
    "change",
    [
        {"intro": "They sanded it."}, {"question": "Does a sanded cover last?"},
        {"title": "Resurfacing"}, {"data_source": "Readings of sanded balls"},
    ],
    ids=lambda change: next(iter(change)),
)  # fmt: skip
def test_every_text_of_a_study_is_looked_at(plain: Judgement, change: dict[str, str]) -> None:
    said = plain.study.description.model_copy(update=change)
    made = replace(plain, study=replace(plain.study, description=said))
    assert "dust" in hazards(made)


def test_captions_questions_and_the_report_s_own_words_count_too(plain: Judgement) -> None:
    said = plain.study.description
    figure = said.figures[0].model_copy(update={"say": "Here they sanded it."})
    asked = said.questions[0].model_copy(update={"settled_by": "sanded balls"})
    claim = said.claims[0].model_copy(update={"report_says": "Resurfacing helps."})
    for changed in (
        {"figures": (figure, *said.figures[1:])}, {"questions": (asked,)},
        {"claims": (claim, *said.claims[1:])},
    ):  # fmt: skip
        other = said.model_copy(update=changed)
        made = replace(plain, study=replace(plain.study, description=other))
        assert "dust" in hazards(made)
