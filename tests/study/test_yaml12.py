"""YAML 1.2 as its specification has it, and nothing that could harm the reader."""

from __future__ import annotations

import math
import time

import pytest

from explainer.errors import DescriptionError
from explainer.study.yaml12 import MAX_DEPTH, MAX_NODES, read, scalar


def value(text: str) -> object:
    return read(text.encode(), "study.yaml").value


# YAML 1.2.2, section 10.3.2 (core schema) and example 10.9.
@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("null", None), ("~", None), ("Null", None), ("NULL", None), ("", None),
        ("true", True), ("False", False), ("TRUE", True),
        ("0", 0), ("-19", -19), ("0o7", 7), ("0x3A", 58), ("+12", 12),
        ("0.", 0.0), ("-0.0", -0.0), (".5", 0.5), ("+12e03", 12000.0), ("-2E+05", -200000.0),
        (".inf", math.inf), ("-.Inf", -math.inf), ("+.INF", math.inf),
        # Words in 1.2 that were something else in 1.1 (section 1.2 of the 1.1 type repository).
        ("no", "no"), ("yes", "yes"), ("on", "on"), ("Off", "Off"), ("y", "y"),
        ("190:20:30", "190:20:30"), ("2026-02-11", "2026-02-11"), ("1_000", "1_000"),
        ("0b1", "0b1"), ("0x", "0x"), ("1e", "1e"), ("+", "+"), (".", "."), ("nul", "nul"),
    ],
)  # fmt: skip
def test_core_schema(text, meant):
    got = scalar(text)
    assert got == meant
    assert type(got) is type(meant)


def test_not_a_number_is_one():
    assert all(math.isnan(scalar(text)) for text in (".nan", ".NaN", ".NAN"))
    assert scalar("nan") == "nan"


def test_quotes_make_text():
    assert value("{a: '1', b: \"true\", c: !x}".replace("!x", "'null'")) == {
        "a": "1", "b": "true", "c": "null",
    }  # fmt: skip


def test_keys_are_text_whatever_they_look_like():
    assert value("{1: a, true: b, null: c, 2026-02-11: d}") == {
        "1": "a", "true": "b", "null": "c", "2026-02-11": "d",
    }  # fmt: skip


def test_places_and_raw_text():
    document = read(b"top:\n  - {a: 71.40, b: x}\n  - two\n", "study.yaml")
    assert document.places[("top",)] == (2, 3)
    assert document.keys[("top",)] == (1, 1)
    assert document.places[("top", 0, "a")] == (2, 9)
    assert document.keys[("top", 0, "b")] == (2, 16)
    assert document.places[("top", 1)] == (3, 5)
    assert document.raw[("top", 0, "a")] == "71.40"


def test_block_text_folds_as_the_specification_says():
    # YAML 1.2.2, example 2.15.
    folded = (
        ">\n Sammy Sosa completed another\n fine season with great stats.\n\n"
        "   63 Home Runs\n   0.288 Batting Average\n\n What a year!\n"
    )
    assert value(folded) == (
        "Sammy Sosa completed another fine season with great stats.\n\n"
        "  63 Home Runs\n  0.288 Batting Average\n\nWhat a year!\n"
    )


def test_byte_order_mark_is_no_part_of_the_text():
    assert read(b"\xef\xbb\xbfa: 1\n", "study.yaml").value == {"a": 1}


def test_windows_line_ends():
    document = read(b"a: 1\r\nb:\r\n  c: 2\r\n", "study.yaml")
    assert document.value == {"a": 1, "b": {"c": 2}}
    assert document.places[("b", "c")] == (3, 6)


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"a: &x [1]\nb: *x\n", "1:4: found an anchor (`&x`)"),
        (b"b: *x\n", "1:4: found an alias (`*x`)"),
        (b"<<: {a: 1}\n", "1:1: found a merge key"),
        (b"a: !!python/name:os.system\n", "1:4: found a tag (`!!python/name:os.system`)"),
        (b"!x a: 1\n", "1:1: found a tag (`!x`)"),
        (b"a: 1\n...\n---\nb: 1\n", "3:1: found a second document"),
        (b"%TAG ! tag:x,2000:\n---\na: 1\n", "2:1: found a tag directive"),
        (b"a: 1\nb: 2\na: 3\n", "3:1: found the key `a` again, expected each key once"),
        (b"{a: 1, a: 2}\n", "1:8: found the key `a` again"),
        (b"? {a: 1}\n: b\n", "1:3: found a list or block as a key"),
        (b"a: 1\nb: \xff\n", "2:4: found the byte 0xff, which is not UTF-8"),
        ("a: 1".encode("utf-16"), "1:1: found a file in UTF-16"),
        (b"a: \x00\n", "1:4: found a NUL character"),
        (b"a: \x1b[31m\n", "1:4: found the control character U+001B"),
        (b"a: 1\n\tb: 2\n", "2:1: found a tab at the start of a line"),
        (b"a: 'x\n", "2:1: found a quotation that is not closed"),
        (b"a: [1, 2\nb: 3\n", "2:2: found a list that is not closed"),
        (b"a: b: c\n", "1:5: found a `:` where a value should be"),
        (b"a: @b\n", "1:4: found a character that cannot begin a value"),
        (b'a: "\\q"\n', "1:6: found a backslash in double quotes"),
        (b"a\nb: 1\n", "2:2: found a `:` where a value should be"),
        (b"}\n", "1:1: found text that is not YAML"),
        (b"x" * 1_000_001, "1:1: found 1,000,001 bytes, expected at most 1,000,000"),
        (b"a: " + b"x" * 100_001, "1:1: found a line of 100,004 characters"),
    ],
)  # fmt: skip
def test_refused_with_its_place(data, says):
    with pytest.raises(DescriptionError) as raised:
        read(data, "study.yaml")
    (line,) = str(raised.value).splitlines()
    assert line.startswith(f"study.yaml:{says}")
    assert line.endswith("; nothing in the file was read")


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"[" * 90_000, f"found blocks {MAX_DEPTH + 1} deep"),
        (b"{a: " * 20_000, f"found blocks {MAX_DEPTH + 1} deep"),
        (b"- " * 45_000, f"found blocks {MAX_DEPTH + 1} deep"),
        (b"".join(b" " * i + b"a:\n" for i in range(1_000)), f"blocks {MAX_DEPTH + 1} deep"),
        (b"a:\n" + b"- [1, 2, 3, 4, 5]\n" * 10_000, f"more than {MAX_NODES:,} values"),
        (b"!" * 90_000, "found a tag"),
        (b"a: [" + b"*a," * 30_000, "found an alias"),
        (b"'a\n" * 200_000, "found text that is not YAML"),
    ],
)  # fmt: skip
def test_bombs_end_quickly(data, says):
    start = time.process_time()
    with pytest.raises(DescriptionError, match=says):
        read(data, "study.yaml")
    assert time.process_time() - start < 5


def test_the_deepest_allowed_is_allowed():
    assert value("[" * MAX_DEPTH + "]" * MAX_DEPTH)
    with pytest.raises(DescriptionError, match="deep"):
        value("[" * (MAX_DEPTH + 1) + "]" * (MAX_DEPTH + 1))


@pytest.mark.parametrize("text", ['a: "\\UFFFFFFFF"', 'a: "\\U7FFFFFFF"'])
def test_a_letter_that_no_alphabet_has_is_refused(text: str) -> None:
    with pytest.raises(DescriptionError, match="not YAML"):
        value(text)
