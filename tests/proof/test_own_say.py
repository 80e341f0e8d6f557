"""What the proof says of voices, units and asides: each slip at its place, and nothing else."""

from __future__ import annotations

import pytest

from explainer.proof.read import proofread
from explainer.study.load import open_workspace

STUDY = """\
title: What sixty games do to a cover
question: What do sixty games do to a cover?
invented: yes
tested: {each: ball}
use: {column: games, term: games rolled, unit: game, as: [{term: league night, each: 3}]}
measures:
  texture: {term: cover roughness, unit: microinch, matters_from: 6}
  weight: {term: ball weight, unit: pound, matters_from: 0.5}
tables:
  checks: {file: checks.csv, source: Table 1}
figures:
  - {id: worn, kind: over-use, table: checks, y: texture, say: Look.}
  - {id: heavy, kind: over-use, table: checks, y: weight, say: Look.}
claims:
  - id: falls
    report_says: Texture fell over 60 games.
    plainly: Covers go smooth in twenty league nights.
    briefly: Goes smooth
    figure: worn
    test: {kind: change, measure: texture, from: 0, to: 60, direction: down}
  - id: heavy-stays
    report_says: Weight held.
    briefly: Stays heavy
    figure: heavy
    test: {kind: no-change, measure: weight, from: 0, to: 60}
"""
ROWS = "ball,games,texture,weight\n" + "".join(
    f"B{i},0,{80 + i},15.00\nB{i},60,{58 + i + i % 3},{15 + 0.002 * (i % 3):.3f}\n"
    for i in range(1, 9)
)


@pytest.fixture
def proved(tmp_path):
    folder = tmp_path / "studies" / "said"
    folder.mkdir(parents=True)
    (folder / "checks.csv").write_text(ROWS)

    def prove(*changes: tuple[str, str]):
        text = STUDY
        for old, new in changes:
            assert old in text
            text = text.replace(old, new, 1)
        (folder / "study.yaml").write_text(text)
        return {p.code: p for p in proofread(folder, open_workspace(tmp_path))}

    return prove


def test_nothing_is_said_where_all_is_well(proved):
    assert not set(proved()) & {"other-unit", "no-stops", "guess-settled", "strongest-untold"}


def test_an_amount_past_the_last_reading_is_found_in_the_listeners_units(proved):
    found = proved(("twenty league nights", "200 league nights"))
    assert "`200 league nights`, which is 600 games here" in str(found["other-unit"])
    assert found["other-unit"].line == STUDY.splitlines().index(
        "    plainly: Covers go smooth in twenty league nights."
    ) + 1


def test_the_number_of_a_checkpoint_with_another_unit_behind_it(proved):
    found = proved(("Texture fell over 60 games", "Texture fell over 60 shots"))
    assert "`60 shots`, where use is counted in games" in str(found["other-unit"])
    found = proved(("Texture fell over 60 games", "Texture fell over 60 league nights"))
    assert "which is 180 games here" in str(found["other-unit"])


def test_a_claim_past_the_data_is_told_by_its_verdict_and_not_here(proved):
    found = proved(("60 games.", "90 games."), ("to: 60, direction", "to: 90, direction"))
    assert "other-unit" not in found


def test_a_comparison_says_where_it_stops(proved):
    assert "no-stops" in proved(("say: Look.}", "say: Look., like: A worn tire.}"))
    assert "no-stops" not in proved(
        ("say: Look.}", "say: Look., like: {what: A worn tire., stops: A tire has air.}}")
    )


def test_a_guess_at_what_is_settled_is_none(proved):
    found = proved(("    briefly: Goes smooth", "    briefly: Goes smooth\n    guess: It fell."))
    assert "which is settled" in str(found["guess-settled"])


def test_the_strongest_backed_claim_is_missed_where_another_is_marked(proved):
    marked = ("    briefly: Goes smooth", "    answers_question: yes\n    briefly: Goes smooth")
    found = proved(marked)
    assert "the claim `heavy-stays`, which the data back most clearly" in str(
        found["strongest-untold"]
    )
    meant = ("    briefly: Stays heavy", "    answers_question: no\n    briefly: Stays heavy")
    assert "strongest-untold" not in proved(marked, meant)
    both = ("    briefly: Stays heavy", "    answers_question: yes\n    briefly: Stays heavy")
    assert "strongest-untold" not in proved(marked, both)


def test_an_ending_that_names_no_claim_is_an_error(proved):
    found = proved(("claims:", "ending: {answered_by: fals}\nclaims:"))
    assert "did you mean `falls`" in str(found["no-claim"])


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ("say: Look., pair: [worn, hevy]}", "no figure `hevy`"),
        ("say: Look., pair: [worn, worn]}", "beside itself"),
    ],
)
def test_a_pair_is_two_figures_of_the_study(proved, change, says):
    assert says in str(proved(("say: Look.}", change))["no-figure"])


@pytest.mark.parametrize(
    ("figure", "says"),
    [
        ("kind: gauge, table: checks, y: texture, operator: ball, repeat: games",
         "`walk` on a figure of kind `gauge`"),
        ("kind: rates, table: checks, successes: games, attempts: games, by: ball",
         "`walk` on rates without `within`"),
        ("kind: scatter, table: checks, x: texture, y: weight", None),
        ("kind: over-use, table: checks, y: texture", None),
    ],
)  # fmt: skip
def test_a_walk_goes_along_single_items(proved, figure, says):
    """Where there are none it is refused in one line, and never left out without a word."""
    also = f"  - {{id: both, {figure}, say: A., walk: yes}}"
    found = proved(("say: Look.}", f"say: Look., walk: yes}}\n{also}"))
    assert ("no-walk" in found) is (says is not None)
    assert says is None or says in str(found["no-walk"])


WAYS = ("unit: microinch, matters_from: 6}",
        "unit: microinch, matters_from: 6, more_is: rougher, less_is: smoother}")  # fmt: skip


@pytest.mark.parametrize(
    ("name", "turned"),
    [("Gets rougher", True), ("Rougher than smoother", False), ("No rougher", False),
     ("Doesn't get rougher", False), ("Smoother", False), ("Goes smooth", False)],
)  # fmt: skip
def test_a_short_name_that_says_the_other_way_is_found(proved, name, turned):
    """The head of the page answers with it: ``Gets rougher: yes`` of covers that went smoother."""
    found = proved(WAYS, ("briefly: Goes smooth", f"briefly: {name}"))
    assert ("briefly-turned" in found) is turned


@pytest.mark.parametrize(
    ("sentence", "turned"),
    [("Texture rose over 60 games.", True), ("The cover gets rougher.", True),
     ("Covers go rough.", True), ("Texture fell.", False), ("Covers never go rough.", False),
     ("What was rough goes smooth.", False), ("Use leaves its mark.", False)],
)  # fmt: skip
def test_a_sentence_that_says_the_other_way_than_its_test_is_found(proved, sentence, turned):
    """Its verdict would stand under it all the same: ``backed`` under "covers go rough"."""
    found = proved(WAYS, ("report_says: Texture fell over 60 games.", f"report_says: {sentence}"))
    assert ("way-turned" in found) is turned


@pytest.mark.parametrize(
    ("sentence", "way"),
    [("Texture went up over 60 games.", "up"), ("Covers get smoother.", "down"),
     ("Texture fell.", "down"), ("Texture did not fall.", ""), ("Texture changed.", ""),
     ("What rose fell again.", "")],
)  # fmt: skip
def test_a_sentence_that_says_a_way_is_not_held_to_any_change(proved, sentence, way):
    """A draft asks whether anything changed at all; a rise would count for "it fell"."""
    found = proved(WAYS, ("report_says: Texture fell over 60 games.", f"report_says: {sentence}"),
                   ("direction: down", "direction: any"))  # fmt: skip
    assert ("way-open" in found) is bool(way)
    assert not way or f"direction: {way}" in str(found["way-open"])


def test_a_change_that_is_counted_backwards_is_said(proved):
    """The smoother cover of game 60 would have "risen" to that of the start."""
    forwards, backwards = "from: 0, to: 60", "from: 60, to: 0"
    assert "backwards" not in proved(WAYS)
    assert "later of the two" in str(proved((forwards, backwards))["backwards"])


LINKED = """\
  - id: linked
    report_says: The smoother covers belonged to the lighter balls.
    plainly: PLAINLY
    briefly: Smooth is light
    figure: worn
    test: {kind: KIND, x: texture, y: weight, direction: positive}
"""
TOGETHER = (
    "As the cover goes smooth, the ball gets lighter.",
    "When a ball loses roughness, its weight goes down.",
    "A ball's weight drops while its roughness falls.",  # the other way round
    "Whenever the cover gets smoother the weight falls a little.",
)
SIDE_BY_SIDE = (
    "The smoother the cover, the lighter the ball.",
    "Smooth covers belong to light balls.",
    "Rough balls are heavier.",
    "As you see, roughness and weight go together from ball to ball.",
)


def linked(proved, plainly, kind="association"):
    claim = LINKED.replace("PLAINLY", f'"{plainly}"').replace("KIND", kind)
    return proved(("  - id: heavy-stays", claim + "  - id: heavy-stays"))


@pytest.mark.parametrize("plainly", TOGETHER)
def test_a_link_between_balls_is_not_told_as_one_inside_a_ball(proved, plainly):
    found = linked(proved, plainly)["too-strong"]
    assert "only different ones were compared" in str(found) and "`tracks-within`" in str(found)


@pytest.mark.parametrize("plainly", SIDE_BY_SIDE)
def test_balls_side_by_side_may_be_told_as_such(proved, plainly):
    assert "too-strong" not in linked(proved, plainly)


def test_one_ball_may_be_followed_where_one_was(proved):
    for plainly in TOGETHER:
        assert "too-strong" not in linked(proved, plainly, "tracks-within")
