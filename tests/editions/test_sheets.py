"""The sheets of paper: one side or two, 11 points (18 in large print), valid, grey-safe, true."""

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
from PIL import Image, ImageFilter

from explainer.charts.style import SERIES, colour
from explainer.claims.judge import judge
from explainer.editions import handout, handout as handouts, rule_card as cards
from explainer.editions.fit import SIZES, Draft, clipped, drafts, fitted
from explainer.editions.handout import answer_set, render_handout
from explainer.editions.rule_card import render_rule_card
from explainer.editions.templates import environment
from explainer.study.load import load_study, open_workspace
from explainer.words.glossary.of_study import glossary_of
from explainer.words.grade import grade
from explainer.words.say import say
from explainer.words.sheets.handout import QUESTIONS, best_figure, say_handout, told_claims
from explainer.words.sheets.rule_card import say_rule

HOME = Path(__file__).resolve().parents[2]
ADDRESS = "https://example.org/bowling"
POINT, LARGE_POINT = 11.0, 18.0
#: (study, paper, how it is printed)
STUDIES = (
    ("example", "letter", "one"), ("example", "a4", "one"), ("example", "letter", "two"),
    ("example", "a4", "large"), ("stuffed", "letter", "one"), ("stuffed", "a4", "two"),
    ("stuffed", "letter", "large"),
)  # fmt: skip
PRINTED = {"one": {}, "two": {"sheet_sides": 2}, "large": {"large_print": True}}
LETTER, A4 = (612, 792), (595.276, 841.89)


def judged(paper="letter", base=None, invented=True, settings=None, **said):
    """The example, with its settings or its description changed."""
    space = open_workspace(HOME)
    changed = {"paper": paper, "base_address": base, **(settings or {})}
    settings = space.settings.model_copy(update=changed)
    study = load_study(HOME / "studies" / "cover-texture", replace(space, settings=settings))
    rule = study.description.rule
    fifty = rule.model_copy(update={
        "change": "Covers must read at least 50 microinches before league play.",
        "limit": rule.limit.model_copy(update={"at_least": 50.0}),
    })  # fmt: skip
    changed = {"invented": invented, "rule": fifty, **said}
    description = study.description.model_copy(update=changed)
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
    """Every sheet the tests look at, made once: (edition, study, paper, how) to what was made."""

    class Sheets(dict):
        def __missing__(self, which):
            edition, name, paper, how = which
            judgement = judged(paper, ADDRESS, settings=PRINTED[how])
            judgement = stuffed(judgement) if name == "stuffed" else judgement
            card = edition == "rule card"
            made = render_rule_card(judgement) if card else render_handout(judgement, glossary)
            return self.setdefault(which, made)

    return Sheets()


EVERY = pytest.mark.parametrize(
    "which", [(e, *s) for e in ("handout", "rule card") for s in STUDIES], ids="-".join
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
def test_as_many_sides_as_were_asked_for_on_the_paper_that_was_asked_for(sheets, which):
    with pikepdf.open(io.BytesIO(sheets[which].pdf)) as doc:
        if which[0] == "handout":
            assert len(doc.pages) == (2 if which[3] == "two" else 1)
        most = 6 if which[3] == "large" else 2
        assert len(doc.pages) <= most
        if which[:2] == ("rule card", "stuffed"):  # and no fewer, where there is more to say
            assert len(doc.pages) == most
        for page in doc.pages:
            box = [float(x) for x in page.mediabox]
            assert box[2:] == pytest.approx(LETTER if which[2] == "letter" else A4, abs=0.1)


@EVERY
def test_no_letter_below_eleven_points(sheets, which):
    found: list[float] = []
    with pikepdf.open(io.BytesIO(sheets[which].pdf)) as doc:
        for page in doc.pages:
            sizes_in(page, page.Resources, pikepdf.Matrix(), found)
    assert len(found) > 20
    assert min(found) >= (LARGE_POINT if which[3] == "large" else POINT) - 0.01


def test_small_letters_inside_a_picture_would_be_noticed(sheets):
    # The figure is drawn as wide as makes its small type, 8.5 points, stand at 11.05 on the sheet.
    found: list[float] = []
    with pikepdf.open(io.BytesIO(sheets["handout", "example", "a4", "one"].pdf)) as doc:
        sizes_in(doc.pages[0], doc.pages[0].Resources, pikepdf.Matrix(), found)
    assert any(size == pytest.approx(11.05, abs=0.02) for size in found)


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


def tilted(picture: np.ndarray, how: str) -> np.ndarray:
    """A grey print as a phone sees it: pale, from the side, turned, small and blurred."""
    image = Image.fromarray(picture.astype(np.uint8))
    wide, high = image.size
    if how == "pale":  # contrast 40%: black ink at 55% grey on paper at 92%
        pale = 140 + picture / 255 * (235 - 140)
        assert (pale.max() - pale.min()) / pale.max() == pytest.approx(0.4, abs=0.01)
        return pale.astype(np.uint8)
    if how == "from the side":  # the far edge three quarters as high as the near one
        corners = (0, 0, 0, high, wide, high * 1.17, wide, -high * 0.17)
        return np.asarray(image.transform((wide, high), Image.Transform.QUAD, corners,
                                          Image.Resampling.BICUBIC, fillcolor=255))  # fmt: skip
    if how == "tilted by 30 degrees, and pale":
        return tilted(_leaning(picture, 30.0, 2.0), "pale")
    if how == "turned":
        return np.asarray(image.rotate(23, Image.Resampling.BICUBIC, expand=True, fillcolor=255))
    small = image.resize((wide // 2, high // 2), Image.Resampling.LANCZOS)
    return np.asarray(small.filter(ImageFilter.GaussianBlur(0.8)))


def _leaning(picture: np.ndarray, degrees: float, away: float) -> np.ndarray:
    """A sheet turned about its upright axis, seen from ``away`` times its height: each corner at
    x, y goes to x cos / (1 + x sin / away) and y / (1 + x sin / away)."""
    high, wide = picture.shape
    turn = math.radians(degrees)
    half = wide / high / 2

    def seen(x: float, y: float) -> tuple[float, float]:
        far = 1 + x * math.sin(turn) / away
        return (x * math.cos(turn) / far + half) * high, (y / far + 0.5) * high

    flat = [(x, y) for x in (-half, half) for y in (-0.5, 0.5)]
    rows, known = [], []
    for x, y in flat:  # from where it is seen back to the sheet, as PIL asks for it
        u, v = seen(x, y)
        across, down = (x + half) * high, (y + 0.5) * high
        rows += [[u, v, 1, 0, 0, 0, -u * across, -v * across],
                 [0, 0, 0, u, v, 1, -u * down, -v * down]]  # fmt: skip
        known += [across, down]
    back = np.linalg.solve(np.array(rows), np.array(known))
    image = Image.fromarray(picture.astype(np.uint8))
    return np.asarray(image.transform(
        (wide, high), Image.Transform.PERSPECTIVE, tuple(back), Image.Resampling.BICUBIC,
        fillcolor=255,
    )).astype(int)  # fmt: skip


@pytest.mark.parametrize(
    "how",
    ["as it is", "pale", "from the side", "turned", "small", "tilted by 30 degrees, and pale"],
)
@pytest.mark.parametrize("edition", ["handout", "rule card"])
def test_a_phone_reads_the_code_off_a_grey_print(sheets, edition, how):
    front = pictures(sheets[edition, "example", "letter", "one"].pdf, dpi=110, grey=True)[0]
    seen = front.astype(np.uint8) if how == "as it is" else tilted(front, how)
    [code] = zxingcpp.read_barcodes(np.ascontiguousarray(seen))
    assert code.format == zxingcpp.BarcodeFormat.QRCode
    assert code.text == f"{ADDRESS}/cover-texture/"


@pytest.mark.parametrize(("edition", "side"), [("handout", 40), ("rule card", 26)])
def test_the_code_is_as_large_as_it_is_meant_to_be(sheets, edition, side):
    """The dark square, corner to corner, in millimetres; the quiet zone lies outside it."""
    dpi = 200
    front = pictures(sheets[edition, "example", "letter", "one"].pdf, dpi=dpi, grey=True)[0]
    [code] = zxingcpp.read_barcodes(front.astype(np.uint8))
    corners = code.position
    across = math.dist(
        (corners.top_left.x, corners.top_left.y), (corners.top_right.x, corners.top_right.y)
    )
    assert across / dpi * 25.4 == pytest.approx(side, abs=0.7)


def test_without_a_base_address_there_is_no_code_and_no_link(glossary):
    made = render_handout(judged(), glossary).pdf
    assert zxingcpp.read_barcodes(pictures(made, grey=True)[0].astype(np.uint8)) == []
    assert b"/URI" not in made
    assert "type" not in " ".join(texts(made))


@pytest.mark.parametrize("how", ["one", "two"])
def test_without_a_base_address_no_sentence_points_to_a_page(glossary, how):
    """The report's own page numbers are no page of ours."""
    alone = judged(settings=PRINTED[how])
    for made in (render_handout(alone, glossary), render_rule_card(alone)):
        said = " ".join(texts(made.pdf))
        assert re.findall(r"\b(?:the|this|on the) page\b|\bthe code\b|online", said) == []
    with_page = " ".join(texts(render_handout(judged(base=ADDRESS), glossary).pdf))
    assert "Point a phone at the code" in with_page


@pytest.mark.parametrize("edition", ["handout", "rule card"])
def test_the_same_study_gives_the_same_bytes(sheets, example, glossary, edition):
    again = render_handout(example, glossary) if edition == "handout" else render_rule_card(example)
    assert again.pdf == sheets[edition, "example", "letter", "one"].pdf


@pytest.mark.parametrize("how", ["one", "two", "large"])
def test_an_address_to_type_breaks_behind_a_slash_alone(sheets, how):
    """A hyphen at the end of a line: is it typed, or not?"""
    paper = {"one": "letter", "two": "letter", "large": "a4"}[how]
    with pypdfium2.PdfDocument(sheets["handout", "example", paper, how].pdf) as doc:
        rows = [row.strip() for page in doc
                for row in page.get_textpage().get_text_range().splitlines()]  # fmt: skip
    begins = [i for i, row in enumerate(rows) if row.startswith("https://")]
    assert begins
    for first in begins:
        typed = rows[first]
        while typed != f"{ADDRESS}/cover-texture/":
            assert typed.endswith("/"), typed
            first += 1
            typed += rows[first]


def test_a_number_stays_with_its_unit_and_a_range_in_one_line():
    for text, said in (
        ("−26.2 microinches up to game 20", "−26.2_microinches up to game_20"),
        ("1.1 boards (0.5 to 1.6)", "1.1_boards (0.5_to_1.6)"),
        ("87% done by shots 15 to 20 (90% range 63 to 118)",
         "87%_done by shots 15_to 20 (90%_range_63_to_118)"),
    ):
        html = environment((HOME / "templates",)).from_string("{{ t | unbroken }}").render(t=text)
        assert html.replace("\u00a0", "_").replace("shots_15", "shots 15").replace(
            "game_20", "game 20") == said.replace("game_20", "game 20")  # fmt: skip


def test_the_foot_of_a_side_takes_one_line_and_no_side_of_a_card_holds_the_foot_alone(sheets):
    for which, made in sheets.items():
        with pypdfium2.PdfDocument(made.pdf) as doc:
            for page in list(doc)[1:]:
                text = page.get_textpage()
                foot = text.get_text_bounded(bottom=0, top=15 * 72 / 25.4)
                assert re.fullmatch(r"Made-up data\.\s*(\d of \d)?\s*", foot), (which, foot)
                assert len(text.get_text_range().splitlines()) > 12, which


# Grey -----------------------------------------------------------------------------------------


def test_the_rule_card_uses_no_colour_at_all(sheets):
    for picture in pictures(sheets["rule card", "example", "letter", "one"].pdf):
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


def test_a_poster_names_no_single_ball_but_where_its_back_goes_along_them(example, glossary):
    words = say_handout(example, glossary)
    balls = {line.item for line in example.figure(words.figure).data.lines}

    def named(settings, walk):
        space = replace(example.study.workspace, settings=settings)
        study = replace(example.study, workspace=space)
        figure = replace(words.figure_words, walk=walk)
        said = replace(words, figure_words=figure)
        url = handouts.figure_image(replace(example, study=study), said)
        svg = b64decode(url.split(",")[1]).decode().partition("</desc>")[2]
        assert "mean of 8" in svg
        return balls & set(re.findall(r">([^<>]+)<", svg))

    settings = example.study.workspace.settings
    two = settings.model_copy(update={"sheet_sides": 2})
    assert named(settings, ("P1 fell.",)) == named(two, ()) == set()
    assert named(two, ("P1 fell.",))


def test_in_grey_every_line_and_letter_of_the_figure_is_still_dark_enough(sheets):
    # Enough of the figure's area is darker than 3:1 against white: luminance below 0.3.
    grey = pictures(sheets["handout", "example", "letter", "one"].pdf, dpi=100, grey=True)[0]
    figure = grey[450:760, 60:800] / 255
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


def test_the_poster_holds_all_it_promises(sheets, example, glossary):
    said = plain(texts(sheets["handout", "example", "letter", "one"].pdf))
    words = say_handout(example, glossary)
    front = words.poster
    wanted = [words.title, words.question, front.answers[0], front.scope, words.advice_md[0],
              words.figure_words.title, words.caution.brief, words.edition.line,
              *(r.label for r in front.rows), *(r.plainly for r in front.rows),
              *(c.says for c in front.counts)]  # fmt: skip
    assert [w for w in wanted if plain([w]) not in said] == []
    assert words.source in said
    assert f"{ADDRESS}/cover-texture/" in said.replace(" ", "")


def test_the_second_side_holds_words_open_questions_and_how_it_was_worked_out(
    sheets, example, glossary
):
    front, back = texts(sheets["handout", "example", "letter", "two"].pdf)
    said, words = plain([back]), say_handout(example, glossary)
    assert plain([words.answer]) in said
    for heading in ("What nobody knows yet", "How it was worked out", "The dotted words"):
        assert heading in said and heading not in front
    assert words.questions[0].ask in said
    assert plain([words.worked_out[0]])[:200] in said


def plain(pages) -> str:
    """Text as it was said: straight apostrophes, no break inside a word."""
    return " ".join(pages).replace("’", "'").replace("\ufffe", "").replace("\xad", "")


def test_no_word_is_explained_that_bowlers_use_every_night_and_none_twice(example, glossary):
    words = say_handout(example, glossary)
    terms = [t.term for t in words.terms]
    assert len(terms) == len(set(terms)) > 0
    assert "cover roughness" in terms  # a gauge reads it
    for term in terms:
        topic = glossary.find(term).topic
        assert topic not in ("lane", "motion", "oil-and-surface", "pins-and-scoring"), term
    assert not {"total hook", "ball", "lane", "board"} & set(terms)


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


def test_three_things_are_what_the_question_turns_on_and_then_key_findings(example):
    assert [v.claim.id for v in told_claims(example)] == [
        "texture-falls", "worn-hooks-less", "rough-hooks-more",
    ]  # fmt: skip
    unmarked = tuple(
        c.model_copy(update={"answers_question": False})
        for c in example.study.description.claims
    )
    # Where nothing is marked, the reasons given for the rule.
    assert [v.claim.id for v in told_claims(judged(claims=unmarked))] == [
        "texture-falls", "worn-hooks-less", "lockers-smoother",
    ]  # fmt: skip


# The answer at a metre ------------------------------------------------------------------------

WORDS = {"backed": "yes", "leans": "it looks so, not settled",
         "cannot-tell": "this test can't tell", "against": "no",
         "not-tested": "not tested here"}  # fmt: skip
OPEN = ("leans", "cannot-tell", "not-tested")
"""Asked, and never a name alone before its colon, which reads as a yes."""


def recoded(judgement, **codes):
    """The same study with other verdicts on some claims, named with _ for -."""
    given = {name.replace("_", "-"): code for name, code in codes.items()}
    return replace(judgement, verdicts=tuple(
        replace(v, code=given.get(v.claim.id, v.code)) for v in judgement.verdicts))  # fmt: skip


def test_the_answer_speaks_of_what_the_question_turns_on(example, glossary):
    words = say_handout(example, glossary).poster
    assert words.answers[0] == "Smoother: yes. Hooks less? This test can't tell."
    assert [r.claim for r in words.rows[:2]] == ["texture-falls", "worn-hooks-less"]
    assert words.asked == 2
    assert words.scope == "Going by 8 balls. Yours may differ."


@pytest.mark.parametrize("code", WORDS)
def test_each_verdict_has_its_word_and_no_other(example, glossary, code):
    other = recoded(example, texture_falls=code, worn_hooks_less="backed")
    answer = say_handout(other, glossary).poster.answers[0]
    word = WORDS[code]
    told = f"? {word[0].upper()}{word[1:]}" if code in OPEN else f": {word}"
    assert answer == f"Smoother{told}. Hooks less: yes."


@pytest.mark.parametrize("codes", [("cannot-tell", "cannot-tell"), ("not-tested", "cannot-tell")])
def test_what_cannot_be_answered_is_not_answered_with_other_findings(example, glossary, codes):
    other = recoded(example, texture_falls=codes[0], worn_hooks_less=codes[1])
    words = say_handout(other, glossary).poster
    assert words.answers == (
        "Smoother? Hooks less? This study can't answer that.",
        "This study can't answer that.", "It can't tell.",
    )  # fmt: skip
    # rough-hooks-more is backed, and a key finding: it is in the rows, and not in the answer.
    assert any(r.claim == "rough-hooks-more" and r.code == "backed" for r in words.rows)


@pytest.mark.parametrize("question", ["Is it the ball, or the oil?", "Does it hook less or not?",
                                      "Does it fall by 6 or more?", "Does it hook less?"])
@pytest.mark.parametrize(("estimate", "told"), [(4.0, "The other way"), (-1.0, "Not so")])
def test_how_verdicts_are_counted_depends_on_them_and_not_on_the_question(
    example, glossary, question, estimate, told
):
    asks = example.study.description.model_copy(update={"question": question})
    other = recoded(example, texture_falls="against", worn_hooks_less="backed")
    moved = tuple(
        replace(v, estimate=estimate, strip=replace(v.strip, value=estimate))
        if v.code == "against" else v for v in other.verdicts
    )  # fmt: skip
    other = replace(other, verdicts=moved, study=replace(example.study, description=asks))
    answer = say_handout(other, glossary).poster.answers[-1]
    assert answer == f"Backed: 1 of 2. {told}: 1 of 2."


def test_every_claim_is_counted_by_its_verdict(example, glossary):
    words = say_handout(example, glossary).poster
    codes = [v.code for v in example.verdicts]
    assert {c.code: c.n for c in words.counts} == {c: codes.count(c) for c in set(codes)}
    assert all(c.says.startswith(f"{c.n} ") for c in words.counts)


@pytest.mark.parametrize("which", [("handout", *s) for s in STUDIES], ids="-".join)
def test_the_answer_takes_three_lines_of_36_points_at_most(sheets, which, glossary):
    judgement = judged(which[2], ADDRESS, settings=PRINTED[which[3]])
    words = say_handout(judgement, glossary)
    found: list[float] = []
    with pikepdf.open(io.BytesIO(sheets[which].pdf)) as doc:
        sizes_in(doc.pages[0], doc.pages[0].Resources, pikepdf.Matrix(), found)
    assert max(found) >= 36
    with pypdfium2.PdfDocument(sheets[which].pdf) as doc:
        page = doc[0].get_textpage()
        heights = {}
        for i in range(page.count_chars()):
            _, bottom, _, top = page.get_charbox(i, loose=True)
            if top - bottom > 36:
                heights.setdefault(round(bottom), []).append(page.get_text_range(i, 1))
    lines = ["".join(h).strip() for _, h in sorted(heights.items(), reverse=True)]
    assert 1 <= len(lines) <= 3
    assert plain([" ".join(lines)]) in words.poster.answers


@pytest.mark.parametrize(
    ("answers", "text", "size"),
    [
        (("Yes.",), "Yes.", 46.0),
        (("Hooks less: yes. " * 5, "Yes: 5 of 5."), ("Hooks less: yes. " * 5), 42.0),
        (("Hooks less: yes. " * 9, "Yes: 9 of 9."), "Yes: 9 of 9.", 46.0),
        (("No such luck at all. " * 40,), "No such luck at all. " * 40, 36.0),
    ],
)
def test_the_fullest_answer_that_fits_is_set_as_large_as_it_fits(answers, text, size):
    lines, at = answer_set(answers, "letter", True)
    assert (" ".join(lines), at) == (text.strip(), size)
    assert answer_set(answers, "letter", False)[1] == 36.0


@pytest.mark.parametrize(
    ("answer", "roomy", "lines"),
    [
        ("Smoother: yes. Hooks less? This test can't tell.", False,
         ["Smoother: yes.", "Hooks less? This test can’t tell."]),
        # A line more only where nothing has to give way for it.
        ("Hooks more: yes. Most of it by shot 20? This test can't tell.", False,
         ["Hooks more: yes. Most of it by", "shot 20? This test can’t tell."]),
        ("Hooks more: yes. Most of it by shot 20? This test can't tell.", True,
         ["Hooks more: yes.", "Most of it by shot 20?", "This test can’t tell."]),
        ("Used balls softer? It looks so, not settled.", False,
         ["Used balls softer?", "It looks so, not settled."]),
    ],
)
def test_an_answer_of_parts_has_a_line_for_each_where_there_is_room(answer, roomy, lines):
    assert answer_set((answer,), "letter", roomy)[0] == lines


def test_the_answer_is_readable_when_a_page_is_200_pixels_wide(sheets):
    """At that width a small letter must still be some five pixels high: 36 points are."""
    dpi = 200 / (612 / 72)
    made = sheets["handout", "example", "letter", "one"].pdf
    small = pictures(made, dpi=dpi, grey=True)[0]
    assert small.shape[1] == 200
    found: list[float] = []
    with pikepdf.open(io.BytesIO(made)) as doc:
        sizes_in(doc.pages[0], doc.pages[0].Resources, pikepdf.Matrix(), found)
    x_height = 0.49 * max(found) / 612 * 200
    assert x_height >= 5
    # The ink of the answer is as dark as ink can be at that size: nothing grey or thin.
    assert small[20:60].min() < 90


def test_reading_grade_is_at_most_seven(example, glossary):
    words, card = say_handout(example, glossary), say_rule(example)
    sheet = [
        words.question, *words.poster.answers, words.poster.scope, words.answer,
        *(t.plainly for t in words.things), *words.worked_out[:1],
        *(t.says for t in words.things), *words.advice_md, words.caution.brief,
        *(f"{q.ask} {q.settled_by}" for q in words.questions),
        *(t.explained for t in words.terms), words.limits, words.source, words.more,
    ]  # fmt: skip
    cards_ = [
        card.change, card.lead, *(k.you for k in card.links), *(k.says for k in card.links),
        card.weakest, card.follows, card.not_follows, card.speaks_for.says,
        card.speaks_against.says, *card.stands, *card.operators, *card.asks, card.zone_lead,
        *(then for _, then in card.rows), *card.zone_note, *card.reading,
        *card.cautions.told, card.decides, card.source,
    ]  # fmt: skip
    assert grade("\n\n".join(sheet)) <= 7
    assert grade("\n\n".join(cards_)) <= 7


def test_the_card_says_what_would_settle_its_weakest_reason(example):
    card = say_rule(example)
    assert card.weakest_code == "cannot-tell"
    weakest = example.chain.weakest
    page = say(example, "league").claims[weakest]
    assert card.settle == page.settle != ""
    html = handouts.sheet_html("rule-card", example.study, Draft(card, 11.0), sides=2)
    assert card.settle.replace("'", "’") in html.replace("&#39;", "’").replace("'", "’")


def test_plain_words_are_not_set_as_a_quotation(sheets, example):
    """The report said it otherwise: only its own sentence may stand between quotation marks."""
    said = " ".join(texts(sheets["rule card", "example", "letter", "one"].pdf))
    for link in say_rule(example).links:
        assert f"The report says: {link.plainly}" in plain([said])
        assert f"“{link.plainly}" not in plain([said])
        assert example.verdict(link.claim).claim.report_says not in (None, link.plainly)


def test_the_table_of_readings(example):
    card = say_rule(example)
    assert [reading for reading, _ in card.rows] == [
        "51.6 microinches or more", "more than 48.4 but less than 51.6 microinches",
        "48.4 microinches or less",
    ]  # fmt: skip
    assert "JCGM 106:2012" in card.zone_note[0]
    assert "1.5 microinches" in card.zone_note[1]
    assert "average of three readings" in card.zone_note[1]


@pytest.mark.parametrize(
    ("rule", "first", "rows"),
    [
        ({"limit": {"at_most": 60.0, "at_least": None}}, "58.4 microinches or less", 3),
        ({"u": 0.0}, "50 microinches or more", 2),
        ({"u": 12.0}, "70 microinches or more", 3),
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
    assert sheets["handout", "example", paper, "one"].left_out == ()
    assert sheets["rule card", "example", paper, "one"].left_out == ()


@pytest.mark.parametrize("edition", ["handout", "rule card"])
def test_what_is_left_out_is_said_with_its_place(sheets, edition):
    made = sheets[edition, "stuffed", "letter", "one"]
    assert len(made.left_out) > 5
    for problem in made.left_out:
        assert problem.severity == "warning"
        assert re.match(
            rf"study\.yaml:\d+:\d+: warning: found .* the {edition} leaves out ", str(problem)
        )
        assert "\n" not in str(problem)


def test_a_question_named_as_left_out_is_not_on_the_sheet(sheets):
    made = sheets["handout", "stuffed", "a4", "two"]
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
    said = plain(texts(sheets["handout", "stuffed", "letter", "one"].pdf))
    for text in (words.poster.answers[0], words.caution.brief, words.source):
        assert text in said
    card = " ".join(texts(sheets["rule card", "stuffed", "letter", "one"].pdf))
    assert "The weakest link" in card
    assert card.count("the page has them") == 1
    assert "If your ball reads" in card
    assert "Local rules" in card


def test_no_cut_touches_a_sentence_about_a_finding(glossary):
    words = say_handout(stuffed(judged()), glossary)
    allowed = {t.says for t in words.things} | {t.brief for t in words.things}
    for draft in drafts(words, (*handout.FRONT, *handout.BACK)):
        assert draft.content.answer == words.answer
        assert draft.content.poster.answers == words.poster.answers
        assert draft.content.poster.counts == words.poster.counts
        assert {t.says for t in draft.content.things} <= allowed
        assert {r.estimate for r in draft.content.poster.rows} <= {
            r.estimate for r in words.poster.rows
        }
    card = say_rule(stuffed(judged()))
    findings = {k.says for k in card.links} | {k.brief for k in card.links} | {""}
    for draft in drafts(card, cards.CUTS):
        assert {k.says for k in draft.content.links} <= findings
        assert any(k.weakest for k in draft.content.links)
        assert (draft.content.speaks_for, draft.content.speaks_against) == (
            card.speaks_for, card.speaks_against)  # fmt: skip


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


def test_the_back_has_what_the_author_adds_and_goes_along_the_figure():
    """Asides under a name that says that they are no finding; what finds no room is named."""
    space = open_workspace(HOME)
    settings = space.settings.model_copy(update={"sheet_sides": 2})
    study = load_study(HOME / "studies" / "nine-samples", replace(space, settings=settings))
    nine = judge(study)
    glossary = glossary_of(study.workspace)
    words = say_handout(nine, glossary)
    told = len(nine.figure("worn").walk.steps) + 1  # and what it comes to
    assert words.figure == "worn" and len(words.walk) == told
    assert [a.kind for a in words.asides] == ["like", "guess", "opinion", "like"]
    made = render_handout(nine, glossary)
    text = " ".join(pypdfium2.PdfDocument(made.pdf)[1].get_textpage().get_text_range().split())
    out = " ".join(map(str, made.left_out))
    assert "A guess, no finding. I would bet" in text and "Where it stops." in text
    assert ("One by one" in text) is ("the walk along the figure `worn`" not in out)
    for aside in words.asides:
        begins = aside.said_md[:20]
        assert (begins in text) is (f"the {aside.kind} “{begins}" not in out)
