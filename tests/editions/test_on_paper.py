"""The page on paper: how long it is, how its pages break, and that it says a thing once."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import lxml.html
import pypdfium2
import pytest

from explainer.claims.judge import judge
from explainer.editions.article import NumberTable
from explainer.editions.compose import compose
from explainer.editions.page import render
from explainer.study.load import find_study, load_study
from explainer.words.glossary.of_study import glossary_for

STUDIES = Path(__file__).parents[2] / "studies"
BODY, ANNEX = 10, 6
#: Points from the lower edge of a page below which only its foot stands.
FOOT = 48
LINE = 12


@pytest.fixture(scope="module")
def grits():
    """The widest example: its article and the same on paper."""
    workspace, folder = find_study(str(STUDIES / "four-grits"), None)
    study = load_study(folder, workspace)
    article = compose(judge(study))
    html = render(article, glossary_for(study), study.workspace.template_folders, "print")
    return article, lxml.html.document_fromstring(html)


def rows(count: int, columns: int = 3) -> NumberTable:
    return NumberTable(
        "Readings", ("ball", "grit", "reading")[:columns],
        tuple(tuple(f"{c}{r}" for c in "abc"[:columns]) for r in range(count)),
        (False, True, True)[:columns],
    )  # fmt: skip


@pytest.mark.parametrize("words", range(7))
def test_numbers_are_set_right_from_a_column_that_the_style_knows(words):
    numeric = (False,) * words + (True,) * (6 - words)
    table = NumberTable("Readings", tuple("abcdef"), (), numeric)
    style = (Path(__file__).parents[2] / "templates" / "site.css").read_text("utf-8")
    known = f".from{words + 1} " in style
    assert table.numeric_from == (words + 1 if known and words < 6 else 0)
    assert known == (words < 4)


@pytest.mark.parametrize("count", [0, 1, 8, 15, 16, 17, 31, 32, 33, 64, 119, 120])
def test_a_long_table_is_set_beside_itself_and_no_cell_is_lost(count):
    table = rows(count)
    wide = table.on_paper
    assert len(wide.columns) == len(wide.numeric) == len(wide.rows[0] if wide.rows else "abc")
    every = wide.stretch or len(wide.columns)
    down = [row[at : at + every] for at in range(0, len(wide.columns), every) for row in wide.rows]
    assert tuple(row for row in down if any(row)) == table.rows
    assert wide.columns == table.columns * (len(wide.columns) // every)
    assert (len(wide.rows) < count) == (count >= 16)


def test_a_short_or_wide_table_stays_as_it_is():
    assert rows(15).on_paper == rows(15)
    wide = replace(rows(40), columns=("ball", "grit", "unbreakable" * 6))
    assert wide.on_paper == wide
    said = replace(rows(40), rows=tuple((f"b{i}", "1", "as it was told: " * 9) for i in range(40)))
    assert said.on_paper == said


def test_a_caution_of_many_claims_is_told_with_the_first(grits):
    article, tree = grits
    told = [said for claim in article.claims for said in claim.words.beside]
    assert len(told) > len(set(told)), "nothing here is told twice"
    text = " ".join(tree.text_content().split())
    for said in set(told):
        assert text.count(" ".join(said.replace("'", "’").split())) == 1, said


def test_the_numbers_of_a_claim_stand_with_how_it_was_worked_out_and_nowhere_else(grits):
    article, tree = grits
    told = [" ".join(p.text_content().split()) for p in tree.xpath("//p[@class='worked-out']")]
    assert len(told) == len(article.claims)
    for claim, said in zip(article.claims, told, strict=True):
        assert claim.words.plainly.replace("'", "’") in said
        for name, value in claim.numbers:
            shown = value.removeprefix("p ").removeprefix("= ")
            assert shown in said and name.removeprefix("Part 1: ").removeprefix("Part 2: ") in said
    assert not tree.xpath("//section[@id='appendix']//h3")


def test_readings_that_a_figure_has_with_their_calls_are_printed_once(grits):
    article, tree = grits
    [held] = [claim for claim in article.claims if claim.readings]
    assert held.readings_in == "shelf-hardness"
    [leads] = tree.xpath("//a[text()='Each reading with its call']/@href")
    assert tree.get_element_by_id(leads[1:]).xpath(".//table")
    calls = [t for t in tree.xpath("//table") if "conforms" in t.text_content()]
    assert len(calls) == 1
    [figure] = [f for f in article.figures if f.id == held.readings_in]
    names = {row[0] for row in held.readings.rows}
    assert names == {row[0] for row in figure.table.rows}


def test_no_chance_is_told_as_certain_and_no_head_as_a_column(grits):
    article, _ = grits
    [figure] = [f for f in article.figures if f.id == "shelf-hardness"]
    at = next(i for i, head in enumerate(figure.table.columns) if head.startswith("chance"))
    assert "more than 99.9" in {row[at] for row in figure.table.rows}
    assert not {"0", "100"} & {row[at] for row in figure.table.rows}
    assert not [head for f in article.figures for head in f.table.columns if "_" in head]


def test_a_screen_shows_the_readings_once_too(grits, glossary, shipped):
    article, _ = grits
    tree = lxml.html.document_fromstring(render(article, glossary, shipped, "screen"))
    assert len([t for t in tree.xpath("//table") if "conforms" in t.text_content()]) == 1
    alone = replace(article, claims=tuple(replace(c, readings_in="") for c in article.claims))
    tree = lxml.html.document_fromstring(render(alone, glossary, shipped, "screen"))
    assert len([t for t in tree.xpath("//table") if "conforms" in t.text_content()]) == 2


def test_whose_claims_do_not_count_is_told_once(glossary, shipped, make_article):
    article = make_article()
    first, second, third = article.claims
    for groups, told in (((), 0), (("Viewers",), 1), (("Viewers", "Lanes"), 1)):
        others = (second, third)
        voiced = tuple(
            replace(claim, group=group, of_report=False)
            for claim, group in zip(others, groups, strict=False)
        )
        said = replace(article, claims=(first, *voiced))
        for medium in ("screen", "print"):
            text = render(said, glossary, shipped, medium)
            assert text.count("not counted for or against it") == told
            assert ("like all that follows" in text) == (len(groups) > 1)


def test_the_range_of_a_gauge_is_not_told_as_that_of_what_it_can_see():
    workspace, folder = find_study(str(STUDIES / "gauge-check"), None)
    claims = {c.id: dict(c.numbers) for c in compose(judge(load_study(folder, workspace))).claims}
    assert claims["gauge-fine"]["Best estimate"] == "29.4%"
    assert "Best estimate" not in claims["sees-half-a-point"]
    assert "95% range of the share of it all" in claims["sees-half-a-point"]
    assert claims["sees-half-a-point"]["Readings this close could be the same"] == "2.052 Shore D"


def test_a_question_that_a_claim_leaves_open_is_not_argued_again(grits):
    article, tree = grits
    [section] = tree.xpath("//section[@id='questions']")
    text = " ".join(section.text_content().split())
    for question in article.questions:
        assert question.ask.replace("'", "’") in text
        assert not (question.claim and question.why) or question.why not in text


def test_a_claims_first_figure_stands_with_it(grits):
    article, tree = grits
    shown = 0
    for claim, figures in article.stories:
        [part] = tree.xpath(f"//section[@data-claim='{claim.id}']")
        for figure in figures:
            assert len(part.xpath(f".//figure[@id='fig-{figure.id}']")) == 1
            assert figure.words.shows[:20] in " ".join(part.text_content().split())
        shown += len(part.xpath(".//div[@class='shown two']"))
    assert shown == 10


# -- as it is set, in every example --------------------------------------------------------------


def lines(page: pypdfium2.PdfPage) -> list[tuple[float, str]]:
    """(height above the lower edge, text) of what stands on a page, its foot left out."""
    text = page.get_textpage()
    found: dict[float, str] = {}
    for i in range(text.count_rects()):
        box = text.get_rect(i)
        if box[1] > FOOT:
            found[round(box[1])] = found.get(round(box[1]), "") + text.get_text_bounded(*box)
    return sorted(found.items(), reverse=True)


@pytest.mark.slow
def test_each_example_is_short_and_no_page_is_left_with_a_line(examples):
    for path in sorted(examples.glob("*/explainer.pdf")):
        document = pypdfium2.PdfDocument(path)
        heads = [
            (mark.get_title(), mark.get_dest().get_index(), mark.get_dest().get_view()[1][1])
            for mark in document.get_toc()
        ]
        [annex] = [page for title, page, _ in heads if title.startswith("Annex: ")]
        begun = annex + 1  # the last page of the body may share a sheet with the annex
        assert begun <= BODY and len(document) - annex <= ANNEX, (path.parent.name, annex)
        for number, page in enumerate(document):
            text = lines(page)
            assert len(text) > 5, (path.parent.name, number + 1, text)
            lowest = text[-1][0]
            for title, at, top in heads:
                assert at != number or lowest < top - 2.5 * LINE, (path.parent.name, title)
        ruled = json.loads((path.parent / "results.json").read_text()).get("rule")
        if ruled:
            [(_, at, _)] = [head for head in heads if head[0].startswith("The rule and")]
            said = " ".join(text for _, text in lines(document[at]))
            assert "These are the reasons given" in said and "weakest link" in said
        document.close()
