"""CSV files as spreadsheets write them, and what must not be lost on the way in."""

from __future__ import annotations

import numpy as np
import pytest

from explainer.study.csvfile import read_cells, scan


def cells(data, text=("ball",), numbers=("hook",), missing=(), names=None):
    scanned, problems = scan(data, "x.csv")
    assert not problems, [str(p) for p in problems]
    got, problems = read_cells(scanned, "x.csv", names or {}, text, numbers, missing)
    return got, [str(p) for p in problems]


def refused(data):
    scanned, problems = scan(data, "x.csv")
    assert scanned is None
    return [str(p) for p in problems]


def test_item_names_stay_as_written():
    got, _ = cells(b"ball,hook\n1,2\n1.0,2\n007,3\n7,4\n")
    assert got.frame["ball"].tolist() == ["1", "1.0", "007", "7"]
    assert len(set(got.codes["ball"].tolist())) == 4


def test_yes_and_no_as_item_names():
    got, _ = cells(b"ball,hook\nTrue,2\nFalse,3\nnan,4\nNULL,5\n")
    assert got.frame["ball"].tolist() == ["True", "False", "nan", "NULL"]


def test_outer_blanks_do_not_make_another_ball():
    got, _ = cells(b"ball,hook\nA,1\n A ,2\nA\t,3\nB,4\n")
    assert got.frame["ball"].tolist() == ["A", "A", "A", "B"]
    codes = got.codes["ball"].tolist()
    assert codes[0] == codes[1] == codes[2] != codes[3]


def test_blanks_around_numbers():
    got, _ = cells(b"ball,hook\nA, 5 \nB,6 \n")
    assert got.frame["hook"].tolist() == [5.0, 6.0]


@pytest.mark.parametrize(
    "data",
    [b"\xef\xbb\xbfball,hook\nA,1\nB,2\n", b"ball,hook\r\nA,1\r\nB,2\r\n", b"ball,hook\rA,1\rB,2\r",
     b"ball,hook\nA,1\nB,2", b'"ball","hook"\n"A","1"\n"B","2"\n', b"ball , hook\nA,1\nB,2\n"],
    ids=["bom", "windows", "old-mac", "no-last-line-end", "quotes", "blanks-in-header"],
)  # fmt: skip
def test_the_same_table_in_other_clothes(data):
    got, problems = cells(data)
    assert not problems
    assert got.frame["ball"].tolist() == ["A", "B"]
    assert got.frame["hook"].tolist() == [1.0, 2.0]
    assert got.frame.index.tolist() == [2, 3]


@pytest.mark.parametrize("quote", [b"", b'"'])
def test_empty_rows_keep_the_numbers_of_those_below(quote):
    data = b"ball,hook\nA,1\n\n,\nB,2\n , \n\n".replace(b"A", quote + b"A" + quote)
    got, problems = cells(data)
    assert not problems
    assert got.frame.index.tolist() == [2, 5]


def test_a_cell_may_hold_commas_and_line_ends():
    got, _ = cells(b'ball,hook\n"A, the\nfirst",1\nB,2\n')
    assert got.frame["ball"].tolist() == ["A, the\nfirst", "B"]
    assert got.frame.index.tolist() == [2, 3]


def test_missing_marks_and_empty_cells():
    got, problems = cells(b"ball,hook\nA,n/a\nB,\nC, - \nD,4\n", missing=("n/a", "-"))
    assert not problems
    assert np.isnan(got.frame["hook"].to_numpy()).tolist() == [True, True, True, False]
    assert got.marks == {(2, "hook"): "n/a", (4, "hook"): "-"}


def test_a_number_may_mean_missing():
    got, _ = cells(b"ball,hook\nA,-999\nB,2\n", missing=("-999",))
    assert np.isnan(got.frame.loc[2, "hook"])
    assert got.marks == {(2, "hook"): "-999"}


def test_a_column_of_nothing_is_a_column_of_missing_readings():
    got, problems = cells(b"ball,hook\nA,\nB,\n")
    assert not problems
    assert got.frame["hook"].isna().all()


@pytest.mark.parametrize(
    ("cell", "says"),
    [
        (b'"1,234.5"', "`1,234.5`, expected a number (leave out the commas between thousands"),
        (b'"7,5"', "`7,5`, expected a number (a decimal comma: write a point)"),
        (b"5 in", "`5 in`, expected a number (the unit belongs in study.yaml)"),
        (b"0x1F", "`0x1F`, expected a number"),
        (b"1_000", "`1_000`, expected a number"),
        (b"NaN", "`NaN`, expected a number (if it means no reading, list it: `missing: ['NaN']`)"),
        (b"Infinity", "`Infinity`, expected a number with an end"),
        (b"-inf", "`-inf`, expected a number with an end"),
        (b"TRUE", "`TRUE`, expected a number"),
    ],
)
def test_no_number(cell, says):
    got, (problem,) = cells(b"ball,hook\nA,1\nB," + cell + b"\n")
    assert got is None
    assert problem.startswith(f"x.csv: row 3, column hook: found {says}")


def test_many_faulty_cells_are_counted():
    got, problems = cells(b"ball,hook\n" + b"A,x\n" * 50)
    assert got is None
    assert len(problems) == 21
    assert problems[-1].startswith("x.csv: row 22, column hook: found 30 more cells like these")


def test_many_ragged_rows_are_counted():
    problems = refused(b"ball,hook\n" + b"A\n" * 50)
    assert len(problems) == 21
    assert problems[-1].startswith("x.csv: row 22: found 30 more rows like these")


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "row 1: found an empty file"),
        (b" \n \n", "row 1: found an empty file"),
        (b"ball,hook", "row 1: found a header and no rows"),
        (b"ball,hook\n", "row 1: found a header and no rows"),
        (b"ball\thook\nA\t1\n", "row 1: found cells separated by tabs, expected commas"),
        (b"ball,hook\nA,1\nB,2\x00\n", "row 3: found a NUL byte"),
        ("ball,hook\nA,1\n".encode("utf-16"), "row 1: found text in UTF-16, expected UTF-8"),
        (b"ball,hook\nA,1\n\xc4,2\n", "row 3: found text that looks like Windows-1252"),
        (b"PK\x03\x04rest", "row 1: found a workbook, expected a CSV file"),
        (b",".join(b"c%d" % i for i in range(1001)) + b"\n1\n", "row 1: found 1,001 columns"),
        (b'ball,hook\nA,1\n"B,2\nC,3\n', "row 3: found a quotation that is not closed"),
        (b'ball,hook\nA,1\n"' + b"B" * 140_000 + b'",2\n',
         "row 3: found a cell of more than 131,072 characters, expected at most 131,072"),
        (b"ball,hook\nA,1\n" + b"B" * 140_000 + b",2\nC\xe2\x80\x8b,3\n",
         "row 3: found a cell of more than 131,072 characters, expected at most 131,072"),
        (b"b" * 140_000 + b",hook\nA,1\n", "row 1: found a cell of more than 131,072 characters"),
        (b'ball,hook\nA,1\n"B"x,2\n', "row 3: found more text behind a closing quote"),
        (b'"ball,hook\nA,1\n', "row 1: found a quotation that is not closed"),
    ],
)
def test_refused_as_a_whole(data, says):
    (problem,) = refused(data)
    assert problem.startswith(f"x.csv: {says}")


def test_renamed_columns():
    got, _ = cells(b"Ball no.,boards\nA,1\n", names={"Ball no.": "ball", "boards": "hook"})
    assert got.frame.to_dict("list") == {"ball": ["A"], "hook": [1.0]}


def test_names_stay_as_written_however_long_the_file():
    # pandas reads a long file in blocks and decides for each what its texts are.
    first = [b"%s,1" % name for name in (b"007", b"7", b"1.0", b"nan", b"inf") * 12_000]
    rows = b"\n".join([b"ball,hook", *first, b"A,2", b"true,3"])
    got, problems = cells(rows + b"\n")
    assert not problems
    assert got.frame["ball"].iloc[:5].tolist() == ["007", "7", "1.0", "nan", "inf"]
    assert got.frame["ball"].iloc[-2:].tolist() == ["A", "true"]
    assert set(got.words["ball"]) == {"007", "7", "1.0", "nan", "inf", "A", "true"}


def test_one_word_at_the_end_of_a_long_column_of_numbers():
    rows = b"ball,hook\n" + b"A,1\n" * 200_000 + b"A,smooth\n"
    got, problems = cells(rows)
    assert got is None
    assert problems[0].startswith("x.csv: row 200002, column hook: found `smooth`")


@pytest.mark.parametrize(
    ("cells", "hint"),
    [
        (["X", "9/", "-", "7"], "if this is a strike or a spare"),
        (["X", "8", "X", "7"], "if this is a strike or a spare"),
        (["x", "8", "9", "7"], "if it means no reading, list it"),
        (["-", "8", "-", "7"], "if it means no reading, list it"),
    ],
)
def test_marks_of_a_score_sheet_are_never_offered_as_gaps(cells, hint):
    text = "ball,first\n" + "".join(f"B{n},{cell}\n" for n, cell in enumerate(cells))
    scanned, _ = scan(text.encode(), "shots.csv")
    _, problems = read_cells(scanned, "shots.csv", {}, ("ball",), ("first",), ())
    assert problems
    assert all(hint in str(problem) for problem in problems)
