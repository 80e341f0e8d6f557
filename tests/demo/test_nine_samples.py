"""Nine samples of three models: nobody's average of three, every voice told as what it is."""

from __future__ import annotations

import lxml.html
import pytest

from explainer.charts.axis import Axis
from explainer.charts.over_use import _scale
from explainer.claims.figure_data import ItemLine
from explainer.claims.figures.pair import pair
from explainer.claims.figures.stories import _journey
from explainer.claims.results import results
from explainer.editions.compose import compose
from explainer.editions.page import render_page
from explainer.words.glossary.of_study import glossary_for
from explainer.words.page.figures import walk_facts
from explainer.words.phrases.book import defects_of
from explainer.words.sheets.handout import say_handout
from explainer.words.sheets.rule_card import say_rule

VOICES = {"texture-falls": "report", "most-in-one-night": "report", "hardness-holds": "report",
          "covers-soften": "rule", "second-wren": "author", "plover-keeps": "lanes",
          "hard-is-rough": "viewers", "glass-by-spring": "other"}  # fmt: skip


@pytest.fixture
def maker(script):
    return script("nine_samples")


@pytest.fixture
def judged(example):
    return example("nine-samples")


@pytest.fixture
def article(judged):
    if "article of the test" not in judged.memo:
        judged.memo["article of the test"] = compose(judged)
    return judged.memo["article of the test"]


@pytest.fixture
def page(judged, article):
    folders = judged.study.workspace.template_folders
    if "page of the test" not in judged.memo:
        html = render_page(article, glossary_for(judged.study), folders)
        judged.memo["page of the test"] = html
    return lxml.html.fromstring(judged.memo["page of the test"])


def test_the_published_data_is_what_the_script_makes(maker, written):
    assert written(maker.make(), "nine-samples", "samples.csv")


def test_nine_samples_count_and_not_three_models(judged, maker):
    falls = judged.verdict("texture-falls")
    assert (falls.n_items, falls.code) == (9, "backed")
    truth = maker.FIRST_NIGHT + 2 * (8 * maker.LATER + maker.SLOW_LATER) / 9
    assert falls.low < truth < falls.high
    assert judged.verdict("second-wren").n_items == 1


def test_only_the_reports_claims_count_for_how_it_holds_up(judged, article):
    own = [v.code for v in judged.verdicts if v.claim.of_report]
    assert sum(count for _, _, count in article.tally) == len(own) == 3
    found = results(judged)
    assert {code: n for code, n in found["holds_up"].items() if n} == {
        code: own.count(code) for code in set(own)
    }
    said = {c["id"]: c["said_by"] for c in found["claims"]}
    assert said == {**VOICES, "glass-by-spring": {"other": "a note on the notice board"}}


def test_each_voice_stands_in_a_group_of_its_own_on_the_page(page):
    headings = page.xpath("//section[@id='claims']/h3[@class='voice']")
    assert [h.text_content() for h in headings] == [
        "What the report says", "What the rule’s makers say", "What I would have said",
        "What people say at the lanes", "What viewers say", "Said by a note on the notice board",
    ]  # fmt: skip
    claims = page.xpath("//section[@data-claim]")
    assert {s.get("data-claim"): s.get("data-said-by") for s in claims} == VOICES
    tally = page.xpath("//ul[@class='tally']")[0]
    assert tally.get("aria-label") == "Verdicts on 3 claims of the report"


def test_the_chain_says_whose_step_each_is(page, judged):
    links = [li.text_content() for li in page.xpath("//section[@id='reasons']//ol/li")]
    assert "A step taken by the rule’s makers." in links[0]
    assert "A step taken by people at the lanes." in links[1]
    whose = "Claimed by the rule’s makers, and held here against the numbers of the report"
    assert whose in links[2]
    steps = [link["step_by"] for link in results(judged)["chain"]["links"]]
    assert steps == ["rule", "lanes", None]


def test_sheet_and_card_say_who_says_it(judged):
    sheet = say_handout(judged, glossary_for(judged.study))
    assert sum(count.n for count in sheet.poster.counts) == 3
    spoken = {row.claim: row.saying for row in sheet.poster.rows}
    assert spoken["texture-falls"] == "" and spoken["covers-soften"] == "The rule’s makers say"
    assert "Five more claims are not the report’s" in sheet.voices
    card = say_rule(judged)
    assert [link.saying for link in card.links] == [
        "The report says", "The report says", "The rule’s makers say",
    ]  # fmt: skip
    assert card.links[1].step_by == "A step taken by people at the lanes."


def test_asides_are_told_as_no_finding(page):
    told = page.xpath("//aside[@data-aside]")
    assert {aside.get("data-aside") for aside in told} == {"like", "guess", "opinion"}
    assert all("no finding" in aside.get("aria-label") for aside in told)
    likes = [a for a in told if a.get("data-aside") == "like"]
    assert likes and all("Where it stops." in a.text_content() for a in likes)


def test_the_running_question_is_answered_at_the_end_by_its_claim(page, judged, article):
    asked = page.xpath("//section[@id='claims']/p[contains(@class,'running')]")[0].text_content()
    assert asked.startswith(judged.study.description.opening.running_question)
    [end] = page.xpath("//section[@id='author']//div[@data-running-question]")
    assert article.author.answered_by == "most-in-one-night"
    # Three models of three samples, each with its own spread: a share of 89% is open.
    assert "Nobody can say from this" in end.text_content()
    last = page.xpath("//section[@id='author']")[0].text_content()
    assert judged.study.description.ending.request in last


def test_how_far_it_reaches_is_told_in_each_unit(article):
    assert "153 shots. That is nine games and three league nights, and not a whole season." in (
        article.tested
    )
    asked = [q.ask for q in article.questions if q.claim == "glass-by-spring"]
    assert "(nine games and three league nights, not a whole season)" in asked[0]


def test_a_size_is_pictured_in_the_studys_own_terms(judged, article):
    texture = judged.study.measure("texture")
    shown = next(f for f in article.figures if f.id == "worn").words.how_to_read
    assert texture.pictured in shown and "hair" not in shown
    table = judged.study.tables["samples"].frame
    new = table[(table["model"] == "Plover") & (table["shots"] == 0)]["texture"].mean()
    assert abs(new / texture.matters_from - 14) < 0.5


def test_each_sample_is_told_as_the_gauge_allows(judged):
    walk = judged.figure("worn").walk
    assert [s.item for s in walk.steps] == list(judged.study.tables["samples"].items)
    slow = next(s for s in walk.steps if s.item == "Wren 2")
    assert slow.odd and slow.shape == "slide"
    assert {s.shape for s in walk.steps} == {"jump", "slide"}
    assert not [d for d in defects_of(judged) if "walk" in d.found]


@pytest.mark.parametrize(
    ("y", "shape", "turn"),
    [
        ((80, 79, 80, 80), "flat", None), ((80, 60, 61, 60), "jump", 1.0),
        ((80, 72, 66, 60), "slide", None), ((80, 60, 70, 78), "back", 1.0),
        ((60, 68, 66, 75), "slide", None), ((80, 81, 79, 70), "slide", None),
        ((80, 71, 78, 76), "back", 1.0), ((70, 75, 73, 71), "wobble", None),
    ],
)  # fmt: skip
def test_what_an_item_did(y, shape, turn):
    """Held to a gauge that sees 4.5: smaller steps are none."""
    step = _journey(ItemLine("B1", "", (0.0, 1.0, 2.0, 3.0), tuple(map(float, y))), 4.5, False)
    assert (step.shape, step.turn) == (shape, turn)


def test_without_a_gauge_readings_are_told_and_no_step():
    step = _journey(ItemLine("B1", "", (0.0, 1.0), (80.0, 20.0)), None, False)
    assert step.shape == "read"


def test_a_step_is_told_by_numbers_of_its_own(judged):
    walk, table = judged.figure("worn").walk, judged.study.tables["samples"]
    for step in walk.steps:
        facts = walk_facts(walk, step, judged.study, table)
        assert facts["total_value"] == abs(step.end - step.start)
        assert facts["fell"] == ("fell" if step.end < step.start else "rose")


def test_two_figures_side_by_side_say_what_changes(page, judged):
    [side] = page.xpath("//section[@class='pair-of']")
    said = side.text_content()
    roughness = "From cover roughness (“Goes smooth”: backed by this data)"
    assert f"{roughness} to hardness (“Stays hard”: backed by this data)" in said
    assert "Each has a scale of its own" in said
    assert len(side.xpath(".//div[@class='side-by-side']/div")) == 2


def test_the_same_measure_twice_stands_on_one_scale(judged):
    worn = judged.figure("worn")
    other = judged.figure("worn")
    made = pair("worn", worn, other)
    assert made.one_scale and made.differs == "view" and not made.corner
    assert made.first.y_also == made.second.y_also
    axis = _scale(worn.data, (0.0, 100.0))
    assert isinstance(axis, Axis) and axis.low <= 0 and axis.high >= 100
    by_model = pair("worn", worn, judged.figure("hard"))
    assert by_model.differs == "measure" and not by_model.one_scale
