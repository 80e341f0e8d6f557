"""The sheets of paper: two sides, 11 points, valid, grey-safe, and no word more than the page."""

from __future__ import annotations

import io
import math
import re
from base64 import b64decode
from dataclasses import replace
from pathlib import Path

import numpy as np
import page as pdf_validation  # the distribution page-validation
import pikepdf
import pypdfium2
import pytest
import zxingcpp

from explainer.charts.style import SERIES, colour
from explainer.claims.judge import judge
from explainer.editions import handout as handouts
from explainer.editions import rule_card as cards
from explainer.editions.fit import SIZES, Draft, clipped, drafts, fitted
from explainer.editions.handout import render_handout
from explainer.editions.rule_card import render_rule_card
from explainer.study.load import load_study
from explainer.study.workspace import open_workspace
from explainer.words.glossary.of_study import glossary_of
from explainer.words.grade import grade
from explainer.words.say import say
from explainer.words.sheets.handout import QUESTIONS, best_figure, say_handout, told_claims
from explainer.words.sheets.rule_card import say_rule

HOME = Path(__file__).resolve().parents[2]
ADDRESS = "https://example.org/bowling"
POINT = 11.0
STUDIES = (("example", "letter"), ("example", "a4"), ("stuffed", "letter"))
LETTER, A4 = (612, 792), (595.276, 841.89)


def judged(paper="letter", base=None, invented=True, **said):
    """The example, with its settings or its description changed."""
    space = open_workspace(HOME)
    settings = space.settings.model_copy(update={"paper": paper, "base_address": base})
    study = load_study(HOME / "studies" / "cover-texture", replace(space, settings=settings))
    description = study.description.model_copy(update={"invented": invented, **said})
    return judge(replace(study, description=description))


def stuffed(judgement):
    """Ten times as much to say as two sides hold."""
    said = judgement.study.description
    rule = said.rule
    long = "Sand it, and then sand it some more, with a finer pad each time. "
    changes = {
        "title": "Does a sanded cover keep its bite, and if so, for how long? " * 6,
        "question": said.question + " " + long * 30,
        "questions": tuple(
            said.questions[0].model_copy(update={"ask": f"Question {i}: {long * 9}?"})
            for i in range(40)
        ),
        "advice": tuple(
            said.advice[0].model_copy(update={"do": f"Advice {i}: {long * (i + 1)}"})
            for i in range(30)
        ),
        "rule": rule.model_copy(update={
            "change": rule.change + " " + long * 20, "affects": long * 20,
            "reading": long * 40, "reasons": rule.reasons * 9,
        }),
    }  # fmt: skip
    return judge(replace(judgement.study, description=said.model_copy(update=changes)))


@pytest.fixture(scope="module")
def example():
    return judged(base=ADDRESS)


@pytest.fixture(scope="module")
def glossary(example):
    return glossary_of(example.study.workspace)


@pytest.fixture(scope="module")
def sheets(example, glossary):
    """Every sheet the tests look at: (edition, study, paper) to what was made."""
    there = {}
    for name, paper in STUDIES:
        judgement = judged(paper, ADDRESS)
        judgement = stuffed(judgement) if name == "stuffed" else judgement
        there["handout", name, paper] = render_handout(judgement, glossary)
        there["rule card", name, paper] = render_rule_card(judgement)
    return there


EVERY = pytest.mark.parametrize(
    "which", [(e, *s) for s in STUDIES for e in ("handout", "rule card")], ids="-".join
)


def texts(pdf: bytes) -> list[str]:
    with pypdfium2.PdfDocument(pdf) as doc:
        return [" ".join(p.get_textpage().get_text_range().split()) for p in doc]


def pictures(pdf: bytes, dpi=100, grey=False) -> list[np.ndarray]:
    with pypdfium2.PdfDocument(pdf) as doc:
        return [
            p.render(scale=dpi / 72, grayscale=grey).to_numpy().astype(int).squeeze() for p in doc
        ]


def sizes_in(stream, resources, matrix, found):
    """Every size at which text is shown, in points on the paper, form XObjects included."""
    stack, text, size = [], pikepdf.Matrix(), 0.0
    for operands, operator in pikepdf.parse_content_stream(stream):
        op = str(operator)
        if op == "q":
            stack.append((matrix, size))
        elif op == "Q":
            matrix, size = stack.pop()
        elif op == "cm":
            matrix = pikepdf.Matrix(*map(float, operands)) @ matrix
        elif op == "Tf":
            size = float(operands[1])
        elif op == "Tm":
            text = pikepdf.Matrix(*map(float, operands))
        elif op in ("TJ", "Tj"):
            whole = text @ matrix
            found.append(size * math.hypot(whole.c, whole.d))
        elif op == "Do":
            form = resources.XObject[str(operands[0])]
            if form.get("/Subtype") == "/Form":
                inner = pikepdf.Matrix(*map(float, form.get("/Matrix", (1, 0, 0, 1, 0, 0))))
                sizes_in(form, form.get("/Resources", resources), inner @ matrix, found)


@EVERY
def test_never_a_third_side_and_on_the_paper_that_was_asked_for(sheets, which):
    with pikepdf.open(io.BytesIO(sheets[which].pdf)) as doc:
        assert len(doc.pages) <= 2
        for page in doc.pages:
            box = [float(x) for x in page.mediabox]
            assert box[2:] == pytest.approx(LETTER if which[2] == "letter" else A4, abs=0.1)


@EVERY
def test_no_letter_below_eleven_points(sheets, which):
    found: list[float] = []
    with pikepdf.open(io.BytesIO(sheets[which].pdf)) as doc:
        for page in doc.pages:
            sizes_in(page, page.Resources, pikepdf.Matrix(), found)
    assert len(found) > 40
    assert min(found) >= POINT - 0.01


def test_small_letters_inside_a_picture_would_be_noticed(sheets):
    # On A4 the figure is set 1.33 times as large as drawn; its small type is 8.5 points there.
    found: list[float] = []
    with pikepdf.open(io.BytesIO(sheets["handout", "example", "a4"].pdf)) as doc:
        sizes_in(doc.pages[0], doc.pages[0].Resources, pikepdf.Matrix(), found)
    assert any(size == pytest.approx(8.5 * 510.2 / 384, abs=0.1) for size in found)


@EVERY
def test_it_is_valid_pdf_ua(sheets, which, tmp_path):
    path = tmp_path / "sheet.pdf"
    path.write_bytes(sheets[which].pdf)
    report = pdf_validation.validate_pdf(
        str(path), profile=pdf_validation.ValidationProfile.PDF_UA_1
    )
    assert [f"{f.rule_id}: {f.message}" for f in report.failures] == []


@EVERY
def test_title_language_one_heading_described_pictures_and_own_type(sheets, which):
    with pikepdf.open(io.BytesIO(sheets[which].pdf)) as doc:
        assert str(doc.Root.Lang) == "en-US"
        assert str(doc.docinfo["/Title"]).startswith("Does a sanded cover keep its bite")
        parts = [o for o in doc.objects if isinstance(o, pikepdf.Dictionary)]
        tags = [o for o in parts if "/P" in o and "/S" in o]
        assert sum(o.S == "/H1" for o in tags) == 1
        figures = [str(o.Alt) for o in tags if o.S == "/Figure"]
        assert any("QR code" in alt and ADDRESS in alt for alt in figures)
        assert all(len(alt) > 15 for alt in figures)
        described = [o for o in parts if o.get("/Type") == "/FontDescriptor"]
        assert described
        assert all("Fieldguide" in str(o.FontName) and "/FontFile2" in o for o in described)


@EVERY
def test_made_up_data_is_said_on_every_side(sheets, which):
    assert all("Made-up data." in text for text in texts(sheets[which].pdf))


def test_real_data_carries_no_such_notice(glossary):
    real = judged(invented=False)
    for made in (render_handout(real, glossary), render_rule_card(real)):
        assert not any("Made-up" in text.replace("8 balls, 48 readings; made-up", "")
                       for text in texts(made.pdf))  # fmt: skip


@pytest.mark.parametrize("edition", ["handout", "rule card"])
def test_a_phone_reads_the_code_off_a_grey_print(sheets, edition):
    front = pictures(sheets[edition, "example", "letter"].pdf, dpi=110, grey=True)[0]
    [code] = zxingcpp.read_barcodes(front.astype(np.uint8))
    assert code.format == zxingcpp.BarcodeFormat.QRCode
    assert code.text == f"{ADDRESS}/cover-texture/"


def test_without_a_base_address_there_is_no_code_and_no_link(glossary):
    made = render_handout(judged(), glossary).pdf
    assert zxingcpp.read_barcodes(pictures(made, grey=True)[0].astype(np.uint8)) == []
    assert b"/URI" not in made
    assert "type:" not in " ".join(texts(made))


@pytest.mark.parametrize("edition", ["handout", "rule card"])
def test_the_same_study_gives_the_same_bytes(sheets, example, glossary, edition):
    again = render_handout(example, glossary) if edition == "handout" else render_rule_card(example)
    assert again.pdf == sheets[edition, "example", "letter"].pdf


# Grey -----------------------------------------------------------------------------------------


def test_the_rule_card_uses_no_colour_at_all(sheets):
    for picture in pictures(sheets["rule card", "example", "letter"].pdf):
        assert np.ptp(picture[..., :3], axis=-1).max() <= 6


def test_models_stay_apart_in_grey_by_their_dashes(example, glossary):
    words = say_handout(example, glossary)
    svg = b64decode(handouts.figure_image(example, words).split(",")[1]).decode()
    dashes = {}
    for series in SERIES[:2]:
        strokes = re.findall(rf'<[^>]*stroke="{colour(series.role)}"[^>]*>', svg)
        dashes[series.role] = set(re.findall(r'stroke-dasharray="([^"]+)"', " ".join(strokes)))
        assert strokes, series
    assert dashes == {"s1": set(), "s2": {"5 2"}}


def test_in_grey_every_line_and_letter_of_the_figure_is_still_dark_enough(sheets):
    # Enough of the figure's area is darker than 3:1 against white: luminance below 0.3.
    grey = pictures(sheets["handout", "example", "letter"].pdf, dpi=100, grey=True)[0]
    figure = grey[330:700, 60:800] / 255
    linear = np.where(figure <= 0.04045, figure / 12.92, ((figure + 0.055) / 1.055) ** 2.4)
    assert 0.02 < (linear < 0.3).mean() < 0.5


# What is said ---------------------------------------------------------------------------------


def test_findings_are_the_page_s_own_sentences(example, glossary):
    page = say(example, "league")
    words, card = say_handout(example, glossary), say_rule(example)
    assert words.answer == page.answer
    assert len(words.things) == 3
    for told in (*words.things, *card.links):
        assert told.says == page.claims[told.claim].says
        assert told.label.rstrip(".") == page.claims[told.claim].label.rstrip(".")


def test_the_sheet_holds_all_it_promises(sheets, example, glossary):
    said = " ".join(texts(sheets["handout", "example", "letter"].pdf)).replace("’", "'")
    words = say_handout(example, glossary)
    wanted = [words.title, words.question, words.answer, words.things_heading, words.source,
              words.tested,
              *(t.says for t in words.things), *(q.ask for q in words.questions),
              *words.advice_md, *(t.explained for t in words.terms)]  # fmt: skip
    assert [w for w in wanted if w.replace("’", "'") not in said] == []
    assert len(words.terms) == 5


def test_the_figure_is_that_of_the_key_claim_known_best(example):
    assert best_figure(example) == "texture-over-play"
    codes = {
        "texture-falls": "cannot-tell",
        "rough-hooks-more": "leans",
        "worn-hooks-less": "against",
    }
    other = replace(example, verdicts=tuple(
        replace(v, code=codes.get(v.claim.id, v.code)) for v in example.verdicts))  # fmt: skip
    assert best_figure(other) == "texture-and-hook-journeys"
    assert best_figure(replace(example, figures=())) == ""


def test_three_things_are_the_key_claims_first(example):
    assert [v.claim.id for v in told_claims(example)] == [
        "texture-falls", "rough-hooks-more", "worn-hooks-less",
    ]  # fmt: skip


def test_reading_grade_is_at_most_seven(example, glossary):
    words, card = say_handout(example, glossary), say_rule(example)
    sheet = [
        words.question, words.answer, words.figure_words.how_to_read,
        words.figure_words.cannot_show, *(t.plainly for t in words.things),
        *(t.says for t in words.things), *words.advice_md, *words.caution.told,
        *(f"{q.ask} {q.settled_by}" for q in words.questions),
        *(t.explained for t in words.terms), words.limits, words.source, words.more,
    ]  # fmt: skip
    cards_ = [
        card.change, card.lead, *(k.says for k in card.links), *card.follows, *card.not_follows,
        card.zone_lead, *(then for _, then in card.rows), *card.zone_note, *card.reading,
        *card.cautions.told, card.decides, card.source,
    ]  # fmt: skip
    assert grade("\n\n".join(sheet)) <= 7
    assert grade("\n\n".join(cards_)) <= 7


def test_the_table_of_readings(example):
    card = say_rule(example)
    assert [reading for reading, _ in card.rows] == [
        "43 microinches or more", "more than 37 but less than 43 microinches",
        "37 microinches or less",
    ]  # fmt: skip
    assert "JCGM 106:2012" in card.zone_note[0]
    assert "2.51 microinches" in card.zone_note[1]


@pytest.mark.parametrize(
    ("rule", "first", "rows"),
    [
        ({"limit": {"at_most": 60.0, "at_least": None}}, "57 microinches or less", 3),
        ({"u": 0.0}, "40 microinches or more", 2),
        ({"u": 12.0}, "60 microinches or more", 3),
    ],
)
def test_other_limits_make_other_tables(example, rule, first, rows):
    said = example.study.description.rule
    if "limit" in rule:
        rule = {"limit": said.limit.model_copy(update=rule["limit"])}
    other = judged(rule=said.model_copy(update=rule))
    card = say_rule(other)
    assert card.rows[0][0] == first
    assert len(card.rows) == rows


def test_without_a_known_gauge_no_reading_is_called(example):
    measures = dict(example.study.description.measures)
    measures["texture"] = measures["texture"].model_copy(
        update={"resolution": None, "repeatability_sd": None}
    )
    card = say_rule(judged(measures=measures))
    assert card.rows == ()
    assert "no table can be made" in card.zone_lead


def test_a_rule_without_reasons_or_limit_still_makes_a_card(example):
    bare = example.study.description.rule.model_copy(update={"reasons": (), "limit": None})
    made = render_rule_card(judged(rule=bare))
    text = " ".join(texts(made.pdf))
    assert "No reasons are given" in text
    assert "If your ball reads" not in text
    with pikepdf.open(io.BytesIO(made.pdf)) as doc:
        assert len(doc.pages) == 1


def test_without_a_rule_there_is_no_card():
    assert render_rule_card(judged(rule=None)) is None


# What is left out -----------------------------------------------------------------------------


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_example_leaves_nothing_out(sheets, paper):
    assert sheets["handout", "example", paper].left_out == ()
    assert sheets["rule card", "example", paper].left_out == ()


@pytest.mark.parametrize("edition", ["handout", "rule card"])
def test_what_is_left_out_is_said_with_its_place(sheets, edition):
    made = sheets[edition, "stuffed", "letter"]
    assert len(made.left_out) > 5
    for problem in made.left_out:
        assert problem.severity == "warning"
        assert re.match(
            rf"study\.yaml:\d+:\d+: warning: found .* the {edition} leaves out ", str(problem)
        )
        assert "\n" not in str(problem)


def test_a_question_named_as_left_out_is_not_on_the_sheet(sheets):
    made = sheets["handout", "stuffed", "letter"]
    said = " ".join(texts(made.pdf))
    lost = {
        m[1]
        for p in made.left_out
        if (m := re.search(r"leaves out the question “(Question \d+):", p.happens))
    }
    assert lost
    assert all(f"{name}:" not in said for name in lost)
    kept = {f"Question {i}" for i in range(QUESTIONS)} - lost
    assert all(f"{name}:" in said for name in kept)


def test_a_stuffed_sheet_still_says_the_answer_the_cautions_and_the_source(
    sheets, example, glossary
):
    words = say_handout(example, glossary)
    said = " ".join(texts(sheets["handout", "stuffed", "letter"].pdf)).replace("’", "'")
    for text in (words.answer, *words.caution.told, words.source):
        assert text.replace("’", "'") in said
    card = " ".join(texts(sheets["rule card", "stuffed", "letter"].pdf))
    assert "the weakest link" in card
    assert "stand on the page" in card
    assert "If your ball reads" in card
    assert all(told.replace("’", "'") in card.replace("’", "'") for told in words.caution.told)
    assert "Local rules" in card


def test_no_cut_touches_a_sentence_about_a_finding(glossary):
    words = say_handout(stuffed(judged()), glossary)
    allowed = {t.says for t in words.things} | {t.brief for t in words.things}
    for draft in drafts(words, handouts.CUTS):
        assert draft.content.answer == words.answer
        assert {t.says for t in draft.content.things} <= allowed
    card = say_rule(stuffed(judged()))
    findings = {k.says for k in card.links} | {k.brief for k in card.links} | {""}
    for draft in drafts(card, cards.CUTS):
        assert {k.says for k in draft.content.links} <= findings
        assert any(k.weakest for k in draft.content.links)


def test_fitting_takes_the_first_draft_that_fits():
    rows = [Draft(n, 11.0) for n in (400, 300, 200, 100, 40, 10)]
    tried = []

    def html(draft):
        tried.append(draft.content)
        return "<html lang=en><title>t</title><h1>t</h1>" + "<p>line</p>" * draft.content

    draft, _ = fitted(rows, html, 2)
    assert draft.content == 40
    assert len(tried) <= 4
    assert fitted(rows[:1], html, 2) is None
    assert SIZES[-1] == POINT and list(SIZES) == sorted(SIZES, reverse=True)


@pytest.mark.parametrize(
    ("text", "most", "short"),
    [("one two three", 9, "one two…"), ("one", 3, "one"), ("unbreakable", 5, "unbre…"),
     ("one, two", 5, "one…")],
)  # fmt: skip
def test_texts_are_cut_between_words(text, most, short):
    assert clipped(text, most) == short
