"""Workbooks: every sheet as its program shows it, and nothing that a stranger put into one."""

from __future__ import annotations

import datetime
import io
import re
import zipfile

import openpyxl
import openpyxl.chart
import pytest

from explainer.confined import SilentError, answer_of
from explainer.draft import workbook
from explainer.draft.draft import GivenFile, draft_from
from explainer.draft.opened import sheets_of_workbook
from explainer.draft.sheets import decode
from explainer.draft.shown import NO_SIGN, NOTHING, OTHER, TOO_LONG, shown_beside, shown_value
from explainer.draft.workbook import MAX_UNPACKED, sheets_in
from explainer.errors import UsageError

MANIFEST = "application/vnd.oasis.opendocument.spreadsheet"
ODS = (
    '<?xml version="1.0"?>{doctype}<o:document-content '
    'xmlns:o="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
    'xmlns:t="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
    'xmlns:p="urn:oasis:names:tc:opendocument:xmlns:text:1.0">'
    "<o:body><o:spreadsheet>{tables}</o:spreadsheet></o:body></o:document-content>"
)


def packed(**parts: str) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in parts.items():
            archive.writestr(name.replace("__", "/").replace("_xml", ".xml"), text)
    return out.getvalue()


def ods(tables: str, doctype: str = "") -> bytes:
    return packed(mimetype=MANIFEST, content_xml=ODS.format(tables=tables, doctype=doctype))


def saved(book: openpyxl.Workbook) -> bytes:
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def book_of(*rows: list[object], formats: dict[str, str] | None = None) -> bytes:
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    for cell, code in (formats or {}).items():
        book.active[cell].number_format = code
    return saved(book)


def said(data: bytes, name: str = "a.xlsx") -> str:
    draft = draft_from("x", [GivenFile(name, data, b"")], lambda _: None)
    return "\n".join(map(str, draft.guesses))


@pytest.mark.parametrize(
    ("value", "code", "shown"),
    [
        (71.43852, "0.0", "71.4"),
        (71.43852, "General", "71.43852"),
        (0.1 + 0.2, "General", "0.3"),
        (1234.5, "#,##0.00", "1234.50"),  # marks between thousands are no digits
        (12.5, '0.0" in"', "12.5 in"),
        (0.314, "0.0%", "31.4%"),
        (-3.25, "0.0;[Red]-0.0", "-3.2"),
        (5.0, "0.##", "5"),
        (5.25, "0.##", "5.25"),
        (3.25, "# ?/?", "3.25"),
        (7, "000", "7"),
        (True, "General", "TRUE"),
        (datetime.datetime(2026, 10, 5), "d mmm yyyy", "2026-10-05"),
        (datetime.datetime(2026, 10, 5, 18, 30), "General", "2026-10-05 18:30"),
        ("vacant", "@", "vacant"),
    ],
)
def test_a_value_is_read_as_it_is_shown(value, code, shown):
    assert shown_value(value, code) == (shown, "")


@pytest.mark.parametrize(
    ("value", "code", "shown", "odd"),
    [
        (5, '"12"0', "125", OTHER), (7, '0"5"', "75", OTHER), (7, r"\80", "87", OTHER),
        (5, 'General"5"', "55", OTHER), (7, '"P1"0', "P17", OTHER), (5, '"-"0', "-5", OTHER),
        (12345, "0.0,", "12.3", OTHER), (12345, '0,"k"', "12 k", OTHER),
        (150, '[>100]"high";0', "high", OTHER), (50, '[>100]"high";0', "50", ""),
        (7, ";;;", "", NOTHING), (0, "0;-0;;@", "", NOTHING), (-5, "0;", "", NOTHING),
        (-3.25, "0.0;[Red]0.0", "-3.2", NO_SIGN), (-3.25, "0.0;(0.0)", "-3.2", ""),
        (12345.678, "0.00E+00", "12300", ""), (5, '0.00" kg/m3"', "5.00 kg/m3", ""),
        (0, r'_(* #,##0.00_);_(* \(#,##0.00\);_(* "-"??_);_(@_)', "0", ""),
        (-3.25, r'_(* #,##0.00_);_(* \(#,##0.00\);_(* "-"??_);_(@_)', "-3.25", ""),
    ],
)  # fmt: skip
def test_a_format_that_changes_the_digits_is_taken_as_it_shows_them(value, code, shown, odd):
    assert shown_value(value, code) == (shown, odd)


@pytest.mark.parametrize(
    ("number", "beside", "shown", "odd"),
    [
        (12.3, "45.6", "45.6", OTHER), (5, "125", "125", OTHER), (5, "high", "high", OTHER),
        (5, "-5", "-5", OTHER), (12345, "12", "12", OTHER),
        (12.3, "", "", NOTHING), (12.3, None, "12.3", ""),
        (0.125, "0.13", "0.13", ""), (0.125, "0.12", "0.12", ""), (0.0, "0,00", "0.00", ""),
        (1234.5, "1.234,50", "1234.50", ""), (1234567.0, "1'234'567", "1234567", ""),
        (12.0, "USD 12.00", "12.00", ""), (12.5, "12,5 in", "12.5 in", ""),
        (-3.25, "3.2", "-3.2", NO_SIGN), (-3.25, "(3.2)", "-3.2", ""),
        (-3.25, "-3,25", "-3.25", ""),
        (12345.0, "1.23E+04", "12300", ""), (-12345.0, "-1,23E+04", "-12300", ""),
        (3.25, "3 1/4", "3.25", ""), (3.25, "3 3/4", "3 3/4", OTHER),
    ],
)  # fmt: skip
def test_an_open_document_is_read_by_the_text_in_its_cells(number, beside, shown, odd):
    assert shown_beside(number, False, beside) == (shown, odd)


@pytest.mark.parametrize("name", ["a.xlsx", "a.ods"])
def test_a_cell_that_shows_another_number_is_asked_about_at_the_head_of_the_draft(name):
    text = '<t:table-cell o:value-type="string"><p:p>{}</p:p></t:table-cell>'
    kept = '<t:table-cell o:value-type="float" o:value="{}"><p:p>{}</p:p></t:table-cell>'
    rows = "".join(
        f"<t:table-row>{''.join(cells)}</t:table-row>" for cells in (
            (text.format("Ball"), text.format("Hook")),
            *((text.format(f"P{n}"), kept.format(n, f"12{n}")) for n in (1, 2, 3)),
        )
    )  # fmt: skip
    data = ods(f'<t:table t:name="S">{rows}</t:table>') if name == "a.ods" else book_of(
        ["Ball", "Hook"], *([f"P{n}", n] for n in (1, 2, 3)),
        formats={f"B{n}": '"12"0' for n in (2, 3, 4)},
    )  # fmt: skip
    draft = draft_from("x", [GivenFile(name, data, b"")], lambda _: None)
    assert draft.files["a.csv"].decode().splitlines()[1:] == ["P1,121", "P2,122", "P3,123"]
    [asked] = [g for g in draft.questions if "another number shown than kept" in g.what]
    assert "in 3 cells" in asked.what and "(121; kept: 1" in asked.what
    head = draft.files["study.yaml"].decode().split("title:")[0]
    assert "another number shown than kept" in head and "CONFIRM" in head


def test_what_a_format_rounds_is_told():
    data = book_of(["Ball", "Hook (boards)"], ["P1", 12.3456], ["P2", 13.5], formats={"B2": "0.0"})
    told = said(data)
    assert "numbers taken as shown, not with all their digits: B2" in told
    assert "B3" not in told


def test_a_formula_that_was_never_worked_out_is_asked_about_and_never_run():
    told = said(book_of(["Ball", "Hook", "Twice"], ["P1", 12, "=B2*2"], ["P2", 13, "=B3*2"]))
    assert "formulas without a kept value: C2, C3" in told


def test_hidden_sheets_are_named_and_hidden_rows_are_read():
    book = openpyxl.Workbook()
    book.active.title = "Shown"
    for row in (["Ball", "Hook"], ["P1", 12], ["P2", 13]):
        book.active.append(row)
    book.active.row_dimensions[3].hidden = True
    book.create_sheet("Secret").append(["Ball", "Hook"])
    book["Secret"].sheet_state = "hidden"
    draft = draft_from("x", [GivenFile("a.xlsx", saved(book), b"")], lambda _: None)
    told = "\n".join(map(str, draft.guesses))
    assert "the hidden sheet Secret left out" in told
    assert "1 hidden row read with the others" in told
    assert draft.files["a.csv"] == b"ball,hook\nP1,12\nP2,13\n"


def test_a_merged_name_holds_for_every_row_it_covers_and_a_title_for_none():
    book = openpyxl.Workbook()
    for row in (["Autumn"], ["Team", "Bowler", "Score"], ["Reds", "Ana", 150], [None, "Bo", 160],
                ["Blues", "Cleo", 170], [None, "Dov", 155]):  # fmt: skip
        book.active.append(row)
    book.active.merge_cells("A1:C1")
    book.active.merge_cells("A3:A4")
    draft = draft_from("x", [GivenFile("a.xlsx", saved(book), b"")], lambda _: None)
    # the second team was not merged: its second row is a gap, and is left one
    assert draft.files["a.csv"].decode().splitlines()[1:] == [
        "Reds,Ana,150", "Reds,Bo,160", "Blues,Cleo,170", ",Dov,155",
    ]  # fmt: skip


def test_open_documents_repeat_cells_and_rows():
    cell = '<t:table-cell o:value-type="string"{more}><p:p>{text}</p:p></t:table-cell>'
    number = cell.replace('string"', 'float" o:value="12.3456"').replace("{text}", "12,3")
    rows = "".join(
        f"<t:table-row>{c}</t:table-row>" for c in (
            cell.format(more="", text="Ball") + cell.format(more="", text="Hook"),
            cell.format(more="", text="P1") + number.format(more=""),
            cell.format(more="", text="P2") + number.format(more=' t:number-columns-repeated="2"'),
        )
    )  # fmt: skip
    tail = '<t:table-row t:number-rows-repeated="1048000"><t:table-cell/></t:table-row>'
    [sheet] = sheets_in(ods(f'<t:table t:name="S">{rows}{tail}</t:table>'), "a.ods")
    assert sheet.name == "S"
    assert [cells for _, cells in sheet.rows] == [
        ["Ball", "Hook", ""], ["P1", "12.3", ""], ["P2", "12.3", "12.3"],
    ]  # fmt: skip


BOMB = '<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'
OUTSIDE = '<!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/hostname">]>'
MANY = '<t:table><t:table-row t:number-rows-repeated="99999999">' + (
    '<t:table-cell o:value-type="string"><p:p>x</p:p></t:table-cell></t:table-row></t:table>'
)


@pytest.mark.parametrize(
    ("name", "data", "why"),
    [
        ("a.ods", ods("<t:table/>", BOMB), "found entities, which no"),
        ("a.ods", ods("<t:table/>", OUTSIDE), "found entities, which no"),
        ("a.ods", ods(MANY), "over 1,500,000 cells"),
        ("a.ods", ods(""), "found no sheet"),
        ("a.ods", ods("<t:table/>"), "found no filled cell on ``, expected"),
        ("a.zip", packed(readme_xml="x"), "found an archive that is no workbook"),
        ("a.xlsx", packed(xl__workbook_xml="<nonsense>"), "found a part that is damaged"),
        ("a.xlsx", b"PK\x03\x04 and then nothing", "found a damaged workbook"),
    ],
)
def test_what_a_stranger_packs_is_refused_in_one_line(name, data, why):
    with pytest.raises(UsageError, match=why) as caught:
        sheets_in(data, name)
    assert "\n" not in str(caught.value)


def test_a_workbook_that_unpacks_to_too_much_is_never_opened():
    out = io.BytesIO()
    with (
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive,
        archive.open("content.xml", "w", force_zip64=True) as part,
    ):
        for _ in range(MAX_UNPACKED // 10**7 + 1):
            part.write(bytes(10**7))
    with pytest.raises(UsageError, match="over 300 megabytes once it is unpacked"):
        sheets_in(out.getvalue(), "a.ods")


def test_an_old_workbook_is_told_what_to_do():
    with pytest.raises(UsageError, match=r"old workbook \(\.xls\).*save it as \.xlsx"):
        decode(b"\xd0\xcf\x11\xe0" + bytes(64), "a.xls")


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
@pytest.mark.parametrize(("refs", "over"), [
    (["A1:XFD1048576"], "200,000 merged cells"), (["A1:ZZ20000"], "200,000 merged cells"),
    ([f"A{row}:A{row}" for row in range(30, 20_031)], "20,000 merges of cells"),
], ids=["whole", "wide", "many"])  # fmt: skip
def test_cells_merged_over_a_whole_sheet_are_refused_before_one_is_made(refs, over, encoding):
    """1.8 kilobytes took ten gigabytes: the library makes an object of every merged cell; and of
    199,000 merges of one cell each it took a minute to note down where they are."""
    sheet = "xl/worksheets/sheet1.xml"
    with zipfile.ZipFile(io.BytesIO(book_of(["ball", "hook"], ["P1", 3.5]))) as whole:
        parts = {name: whole.read(name) for name in whole.namelist()}
    merges = "".join(f'<mergeCell ref="{ref}"/>' for ref in refs)
    merged = f"</sheetData><mergeCells>{merges}</mergeCells>"
    text = parts[sheet].decode().replace("</sheetData>", merged)
    assert merged in text
    parts[sheet] = f'<?xml version="1.0" encoding="{encoding}"?>{text}'.encode(encoding)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, said_there in parts.items():
            archive.writestr(name, said_there)
    with pytest.raises(UsageError, match=rf"a\.xlsx: found over {over}"):
        sheets_in(out.getvalue(), "a.xlsx")


def hollow(sheets: int, sheet_data: str, styles: str = "") -> bytes:
    """A workbook of as many sheets as asked for, all of them the one part with ``sheet_data``."""
    with zipfile.ZipFile(io.BytesIO(book_of(["ball", "hook"], ["P1", 3.5]))) as whole:
        parts = {name: whole.read(name).decode() for name in whole.namelist()}
    page, book = "xl/worksheets/sheet1.xml", "xl/workbook.xml"
    head, _, rest = parts[page].partition("<sheetData>")
    parts[page] = f"{head}<sheetData>{sheet_data}</sheetData>{rest.partition('</sheetData>')[2]}"
    if styles:
        sheet = re.search(r"<styleSheet[^>]*>", parts["xl/styles.xml"]).group()
        parts["xl/styles.xml"] = parts["xl/styles.xml"].replace(sheet, sheet + styles, 1)
    link = re.search(r"<sheet [^>]*/>", parts[book]).group()
    more = (link.replace('"Sheet"', f'"S{i}"').replace('sheetId="1"', f'sheetId="{i + 2}"')
            for i in range(sheets - 1))  # fmt: skip
    parts[book] = parts[book].replace(link, link + "".join(more))
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in parts.items():
            archive.writestr(name, text)
    return out.getvalue()


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (hollow(1, '<row r="1">' + "<c/>" * 600_000 + "</row>"), "over 500,000 cells"),
        (hollow(1, '<row r="1"/>' * 600_000), "over 500,000 cells"),
        (hollow(60, ""), "over 50 sheets"),
        (hollow(2, ""), "sheet S0: found the same part as for the sheet Sheet"),
        (hollow(1, "<a>" * 200_000 + "</a>" * 200_000), r"sheet1\.xml: found over .* marks"),
        (hollow(1, "", f"<numFmts>{'<numFmt/>' * 400_000}</numFmts>"),
         r"styles\.xml: found over 300,000 marks"),
    ],
    ids=["cells", "rows", "sheets", "one part twice", "deep", "styles"],
)
def test_a_small_file_that_unpacks_to_a_large_sheet_is_refused_before_it_is_held(data, says):
    """64 kilobytes of empty rows took minutes, 143 of empty cells three and a half gigabytes."""
    with pytest.raises(UsageError, match=says):
        sheets_in(data, "a.xlsx")


def test_a_chart_on_a_sheet_of_its_own_is_no_second_name_of_a_part():
    book = openpyxl.Workbook()
    book.active.append(["ball", "hook"])
    book.active.append(["P1", 3.5])
    book.create_chartsheet("Chart").add_chart(openpyxl.chart.BarChart())
    assert sheets_in(saved(book), "a.xlsx")[0].name == "Sheet"


def scattered(cells: int, rows: int) -> bytes:
    """So many cells, far apart in a thousand columns and so many rows."""
    book = openpyxl.Workbook()
    for n in range(cells):
        book.active.cell(row=1 + n * 7 % rows, column=1 + n * 11 % 1000, value=n)
    return saved(book)


def test_cells_far_apart_are_told_in_a_line():
    """Every place between them would be looked at, again and again."""
    said = refused(scattered(1_500, 1_500))
    assert "found 1,500 filled cells far apart, over 1,500 rows and 1,000 columns" in said


def test_what_is_read_of_a_sheet_are_the_cells_it_holds(monkeypatch):
    """An object of every place between them took half a minute."""
    made = []
    real = openpyxl.cell.cell.Cell.__init__
    monkeypatch.setattr(
        openpyxl.cell.cell.Cell, "__init__",
        lambda self, *given, **named: made.append(1) or real(self, *given, **named),
    )  # fmt: skip
    data = scattered(2_000, 400)
    made.clear()
    sheets_in(data, "a.xlsx")
    assert len(made) <= 2 * 2_000  # values, and formulas


def test_an_open_document_with_cells_far_apart_is_told_too():
    far = "<t:table-row t:number-rows-repeated='{}'/>"
    filled = ("<t:table-row><t:table-cell t:number-columns-repeated='{}'/>"
              "<t:table-cell><p:p>x</p:p></t:table-cell></t:table-row>")  # fmt: skip
    rows = "".join(far.format(900) + filled.format(n * 150) for n in range(6))
    said = refused(ods(f"<t:table t:name='S'>{rows}</t:table>"), "a.ods")
    assert "found 6 filled cells far apart" in said


@pytest.mark.parametrize(("times", "rows"), [("9" * 14, 0), ("99999999", 0), ("-1", 1), ("x", 1)])
def test_rows_repeated_beyond_any_sheet_are_told_and_nonsense_is_one_row(times, rows):
    cell = "<t:table-cell><p:p>x</p:p></t:table-cell>"
    line = f"<t:table-row t:number-rows-repeated='{times}'>{cell}</t:table-row>"
    data = ods(f"<t:table t:name='S'>{line}</t:table>")
    if rows:
        assert len(sheets_in(data, "a.ods")[0].rows) == rows
    else:
        assert "cells" in refused(data, "a.ods")


def test_a_long_sheet_with_a_note_far_aside_is_read():
    rows: list[list[object]] = [["ball", "hook"], *([f"B{n}", n] for n in range(400))]
    book = openpyxl.load_workbook(io.BytesIO(book_of(*rows)))
    book.active.cell(row=3, column=900, value="a note")
    [sheet] = sheets_in(saved(book), "a.xlsx")
    assert len(sheet.rows) == 401 and len(sheet.rows[0][1]) == 900


def refused(data: bytes, name: str = "a.xlsx") -> str:
    with pytest.raises(UsageError) as caught:
        sheets_in(data, name)
    return str(caught.value)


# -- what is damaged, or was meant to be ----------------------------------------------------------

PAGE, BOOK, LINKS = "xl/worksheets/sheet1.xml", "xl/workbook.xml", "xl/_rels/workbook.xml.rels"
TARGET = 'Target="/xl/worksheets/sheet1.xml"'
MERGED = '</sheetData><mergeCells count="1"><mergeCell {}/></mergeCells>'


def changed(part: str, old: str, new: str, twice: str = "") -> bytes:
    """A sound workbook with another text in one part, or with a part twice."""
    with zipfile.ZipFile(io.BytesIO(book_of(["ball", "hook"], ["P1", 3.5]))) as whole:
        parts = {name: whole.read(name).decode() for name in whole.namelist()}
    assert old in parts[part]
    parts[part] = parts[part].replace(old, new)
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in (*parts, *filter(None, [twice])):
            archive.writestr(name, parts[name])
    return out.getvalue()


@pytest.mark.filterwarnings("ignore:Duplicate name")
@pytest.mark.parametrize(
    ("change", "found"),
    [
        ((PAGE, "</sheetData>", MERGED.format('ref="A:B"')),
         f"a.xlsx, {PAGE}: found cells merged over `A:B`, expected a range such as `A1:B2`"),
        ((PAGE, "</sheetData>", MERGED.format("")),
         f"a.xlsx, {PAGE}: found cells merged over ``, expected a range such as `A1:B2`"),
        ((PAGE, "</sheetData>", MERGED.format('ref="B2:A1"')), "a.xlsx: found a part that is dam"),
        ((BOOK, 'state="visible"', 'state="hidden"'),
         "a.xlsx: found no sheet that is shown (hidden: `Sheet`), expected a sheet with a header"),
        ((LINKS, TARGET, 'Target="file:///x.xlsx" TargetMode="External"'),
         "a.xlsx, sheet Sheet: found a link to another file, expected a sheet that lies in this"),
        ((LINKS, TARGET, 'Target="../../xl/worksheets/sheet1.xml"'),
         "a.xlsx, sheet Sheet: found the part `../../xl/worksheets/sheet1.xml`, which is not in"),
        ((LINKS, TARGET, 'Target="worksheets/sheet9.xml"'),
         "a.xlsx, sheet Sheet: found the part `worksheets/sheet9.xml`, which is not in the file"),
        ((BOOK, 'r:id="rId1"', 'r:id="rId9"'), "a.xlsx, sheet Sheet: found no part of the file"),
        ((PAGE, "spreadsheetml/2006/main", "zork"), "a.xlsx: found no filled cell on `Sheet`, exp"),
        ((PAGE, 'r="A1"', 'r="1A"'), "a.xlsx: found a part that is damaged, expected a workbook"),
        ((PAGE, "<v>3.5</v>", "<v>three</v>"), "a.xlsx: found a part that is damaged, expected a"),
        ((PAGE, "ball", "ball", PAGE), f"a.xlsx: found the part `{PAGE}` twice, expected a work"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_workbook_is_told_in_a_line_of_ours(change, found):
    line = refused(changed(*change))
    assert line.startswith(found)
    assert line.endswith("; nothing was drafted")
    assert "\n" not in line


# -- a process of its own ------------------------------------------------------------------------


def test_a_workbook_is_never_read_in_this_process(monkeypatch):
    def never(data: bytes, file: str) -> None:
        raise AssertionError("read here")

    monkeypatch.setattr(workbook, "sheets_in", never)
    [sheet] = sheets_of_workbook(book_of(["Ball", "Hook"], ["P1", 12.5]), "a.xlsx")
    assert sheet.rows == ((1, ["Ball", "Hook"]), (2, ["P1", "12.5"]))
    with pytest.raises(UsageError, match=r"^a\.ods: found no sheet, expected"):
        sheets_of_workbook(ods(""), "a.ods")


def test_a_number_format_without_end_is_none():
    """Taking it apart took a minute and more for each cell."""
    for endless in ("0." * 60_000 + "0" * 60_000, "0" * 300_000, "0." * 150_000):
        assert shown_value(61.24, endless) == ("61.24", TOO_LONG)
    assert shown_value(61.24, '"' + "x" * 253 + '"') != ("61.24", TOO_LONG)



def test_a_workbook_that_takes_too_much_is_refused_in_a_line():
    """Fourteen million elements in 600 kilobytes: no count of cells or sheets finds them."""
    out = io.BytesIO()
    head, tail = ODS.format(doctype="", tables='<t:table t:name="S">HERE</t:table>').split("HERE")
    with (
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive,
        archive.open("content.xml", "w", force_zip64=True) as part,
    ):
        part.write(head.encode())
        for _ in range(20):
            part.write(b'<a b="1">x</a>' * 700_000)
        part.write(tail.encode())
    with pytest.raises(UsageError) as caught:
        sheets_of_workbook(out.getvalue(), "a.ods")
    assert str(caught.value) == (
        "a.ods: found a workbook that takes over 1,000 megabytes or 120 seconds to read, expected "
        "a smaller one (save what you need of it as CSV); nothing was drafted"
    )


def test_a_process_that_never_answers_is_ended():
    asked = b'"a.xlsx"\n' + book_of(["Ball", "Hook"], ["P1", 12.5])
    with pytest.raises(SilentError):
        answer_of("explainer.draft.workbook", asked, 0.01)
