"""From a report in another look to a draft that needs few words more, and on to its correction."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest
from second_report import FINDINGS, GAMES, balls, second_report
from test_from_report_to_page import loaded, rows_of, run

from explainer.lift.sentences import claim_like
from explainer.lift.written import EarlierPart, LiftedPart, moved
from explainer.study.lifted import lifted_of, origin_text


@pytest.fixture(scope="module")
def drafted(tmp_path_factory) -> Path:
    root = tmp_path_factory.mktemp("workspace")
    (root / "studies").mkdir()
    (root / "surfaces.pdf").write_bytes(second_report())
    status, out, err = run("--workspace", root, "draft", "surfaces", "--from",
                           root / "surfaces.pdf")  # fmt: skip
    assert status == 0, out + err
    return root / "studies" / "surfaces"


def test_a_head_in_two_rows_becomes_a_row_per_reading(drafted) -> None:
    """Every number in its own measure and at its own games, and each ball's finish beside it."""
    head, *rows = rows_of(drafted / "table-2-page-3.csv")
    assert head[:4] == ["ball", "game", "roughness", "hook"] and head[4:] == ["model", "finish"]
    truth = [[ball, str(g), f"{r:.1f}", f"{h:.2f}", model, finish]
             for ball, model, finish, rough, hook in balls()
             for g, r, h in zip(GAMES, rough, hook, strict=True)]  # fmt: skip
    assert rows == truth
    added = "with model and finish from Table 1, page 2"
    table = loaded(drafted).tables["table-2-page-3"]
    assert table.source == f"Table 2, page 3, {added}" and not table.edited
    assert table.lifted is not None and table.lifted.notes == (added,)


def test_ends_of_error_bars_are_no_measures(drafted) -> None:
    study = loaded(drafted)
    assert not [m for m in study.description.measures if m.endswith(("low", "high"))]
    (path,) = drafted.glob("*page-4.csv")
    head = rows_of(path)[0]
    assert head[-2].endswith("_low") and head[-1].endswith("_high")


def stubs(drafted: Path) -> dict[str, str]:
    """The test of each sentence that is offered as a claim."""
    text = (drafted / "study.yaml").read_text("utf-8")
    stub = r'#     report_says: "(.*?)"\n(?:#.*\n)*?#     test: \{(.*?)\}  # CONFIRM'
    return dict(re.findall(stub, text))


def test_sentences_are_offered_in_the_names_of_the_draft(drafted) -> None:
    found = stubs(drafted)
    assert list(found) == list(FINDINGS)
    table = "table: table-2-page-3"
    assert list(found.values()) == [
        f"kind: change, {table}, measure: roughness, from: 1, to: 160, direction: down, "
        "only: {finish: Sanded}",
        f"kind: no-change, {table}, measure: roughness, from: 1, to: 160, "
        "only: {finish: Polished}",
        f"kind: difference, {table}, measure: hook, by: finish, a: Sanded, b: Polished, "
        "direction: higher, at: 1",
        f"kind: no-association, {table}, x: hook, y: roughness, margin: 0.5, at: 160",
        f"kind: limit, {table}, measure: roughness, at_least: 40, at: 40",
    ]


def test_findings_are_told_as_key(drafted) -> None:
    text = (drafted / "study.yaml").read_text("utf-8")
    assert text.count("key: yes  # CONFIRM: it stands among the key findings") == len(FINDINGS)


def woken(drafted: Path, into: Path) -> Path:
    """A copy of the study with the report's sentences awake, and what matters said."""
    import shutil

    copy = into / "studies" / "surfaces"
    shutil.copytree(drafted, copy)
    text = (copy / "study.yaml").read_text("utf-8")
    head, rest = text.split("\nclaims:\n", 1)
    asleep = rest.split("# The report's sentences", 1)[1].split("# Also possible", 1)[0]
    claims = "\n".join(line[2:] for line in asleep.splitlines()[3:] if line.startswith("# "))
    claims = claims.replace("IN EVERYDAY WORDS", "Said plainly.")
    for name, size in (("roughness", 6), ("hook", 1)):
        head = re.sub(rf"(?m)^  {name}:  #.*$", f"  {name}:\n    matters_from: {size}", head)
    (copy / "study.yaml").write_text(f"{head}\nclaims:\n{claims}\n", "utf-8")
    return copy


def test_a_corrected_report_moves_the_verdicts_of_a_woken_draft(drafted, tmp_path) -> None:
    """The sanded balls' last readings were too low: they lost little after all."""
    study = woken(drafted, tmp_path)
    new = tmp_path / "surfaces.pdf"
    new.write_bytes(second_report(shift=58.0))
    before = {p: p.read_bytes() for p in study.rglob("*") if p.is_file()}
    status, out, err = run("--workspace", tmp_path, "lift", new, "--against", study)
    assert status == 0, err
    assert "table-1-page-2.csv: Table 1 is as it was" in out
    moved = sum(a != b for old, new in zip(balls(), balls(58.0), strict=True)
                for i in (3, 4) for a, b in zip(old[i], new[i], strict=True))  # fmt: skip
    assert f"table-2-page-3.csv: Table 2: {moved} moved" in out
    assert re.search(r"page-5-1: (\S+) then, (\S+) now", out), out
    assert "edited since it was lifted" not in out
    assert {p: p.read_bytes() for p in study.rglob("*") if p.is_file()} == before


def test_an_edited_copy_is_not_compared(drafted, tmp_path) -> None:
    study = woken(drafted, tmp_path)
    path = study / "table-2-page-3.csv"
    rows = rows_of(path)
    rows[1][2] = "1.0"
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows(rows)
    new = tmp_path / "surfaces.pdf"
    new.write_bytes(second_report(shift=58.0))
    _, out, _ = run("--workspace", tmp_path, "lift", new, "--against", study)
    assert "table-2-page-3.csv: edited since it was lifted; its verdicts are not compared" in out


def part_of(rows: list[list[str]], **more: object) -> tuple[EarlierPart, LiftedPart]:
    """The same table as lifted before and as lifted now."""
    data = "".join(",".join(row) + "\n" for row in rows).encode()
    record = {"file": "t.csv", "report": {"file": "r.pdf", "sha256": "0" * 64}, "page": 3,
              "what": "Table 2", "method": "table", "read": "2026-01-31", **more}  # fmt: skip
    origin = origin_text(record)
    earlier = EarlierPart("t.csv", lifted_of("t.csv", origin), data)
    return earlier, LiftedPart("t.csv", data, origin, "")


HEADED = [["", "Roughness", "", "Hook", ""], ["Ball", "1 game", "40 games", "1 game", "40 games"],
          ["A1", "70", "60", "12", "11"], ["A2", "71", "61", "13", "12"],
          ["A3", "72", "62", "14", "13"]]  # fmt: skip


def test_what_moved_is_named_by_both_rows_of_its_head() -> None:
    changed = [list(row) for row in HEADED]
    changed[3][4] = "9"
    (found,) = moved([part_of(HEADED)[0]], [part_of(changed)[1]])
    assert found.moves == ("row 4, Hook 40 games: 12 then, 9 now",)


def test_a_row_that_came_in_between_moves_no_other() -> None:
    changed = [*HEADED[:3], ["A9", "1", "2", "3", "4"], *HEADED[3:]]
    (found,) = moved([part_of(HEADED)[0]], [part_of(changed)[1]])
    assert found.moves == ("4 rows then, 5 now", "row 4, A9, 1, 2: new")
    (back,) = moved([part_of(changed)[0]], [part_of(HEADED)[1]])
    assert back.moves == ("5 rows then, 4 now", "row 4, A9, 1, 2: no longer there")


def test_a_mark_read_within_both_readings_errors_has_not_moved() -> None:
    """The corrected chart's axis is longer, and so its marks are read less finely."""
    rows = [["games", "hook"], ["10", "26.2924"], ["20", "27.1047"]]
    less = [["games", "hook"], ["10", "26.29"], ["20", "27.4"]]
    earlier = part_of(rows, method="drawing", reading_error={"hook": 0.001})[0]
    now = part_of(less, method="drawing", reading_error={"hook": 0.01})[1]
    (found,) = moved([earlier], [now])
    assert found.moves == ("row 3, hook: 27.1047 then, 27.4 now",)


def test_charts_of_one_figure_are_compared_by_their_place_on_the_page() -> None:
    """Of the very same file nothing moves, in whatever order its parts are named."""
    high = [["games", "hook"], ["10", "26"], ["20", "27"]]
    low = [["games", "hook"], ["10", "11"], ["20", "13"], ["30", "12"]]
    parts = [
        part_of(rows, method="drawing", what="Figure 3", place=place)
        for rows, place in ((high, [50, 60, 300, 350]), (low, [50, 400, 300, 690]))
    ]
    for earlier in (parts, parts[::-1]):
        found = moved([then for then, _ in earlier], [now for _, now in parts])
        assert [part.moves for part in found] == [(), ()]
    (only,) = moved([parts[1][0]], [now for _, now in parts])
    assert only.moves == ()


def test_a_part_leaves_to_another_what_that_one_surely_is() -> None:
    """The first of two was left out of the report since; the second is not taken for it."""
    rows = [["games", "hook"], ["10", "26"], ["20", "27"]]
    places = ([50, 60, 300, 350], [50, 400, 300, 690])
    then = [part_of(rows, what="Figure 3", place=place)[0] for place in places]
    gone, kept = moved(then, [part_of(rows, what="Figure 3", place=places[1])[1]])
    assert gone.now is None and kept.now is not None


@pytest.mark.parametrize(
    ("sentence", "kind", "given"),
    [
        ("The lower the average in the first half, the larger the gain in the second.",
         "association", {"direction": "negative"}),
        ("The rougher the cover is, the more it hooks on this oil.", "association",
         {"direction": "positive"}),
        ("After 160 games there was no difference in hook between the two finishes.",
         "no-difference", {}),
        ("Eight of ten balls fell below the limit in that time.", "share-of-items", {}),
        ("Members who practised gained more than those who did not.", "difference-in-change", {}),
        ("Strikes were more common on the fresh pattern than on the old.", "rate-difference", {}),
    ],
)  # fmt: skip
def test_a_sentence_finds_the_kind_its_words_call_for(sentence, kind, given) -> None:
    (found,) = claim_like(sentence, 1)
    assert (found.kind, found.parameters) == (kind, given)


def test_headings_end_what_is_key_and_stay_out_of_sentences() -> None:
    text = (
        "Surfaces under play\n6 What was found\n1. Roughness of sanded cov\u2010\ners decreased "
        "over 60 games.\n7 What remains\nHook fell by 3 boards on the old oil.\n"
    )
    found = [(s.text, s.is_key) for s in claim_like(text, 1)]
    assert found == [("Roughness of sanded covers decreased over 60 games.", True),
                     ("Hook fell by 3 boards on the old oil.", False)]  # fmt: skip


@pytest.mark.parametrize(
    "text",
    ["With six balls of each finish, differences of 2 boards cannot be seen.",
     "Forty members bowled in at least 12 weeks, and only they are counted here.",
     "This report does not say what increased hook is worth."],
)  # fmt: skip
def test_what_a_report_says_of_itself_is_no_claim(text) -> None:
    assert list(claim_like(text, 1)) == []


KEY_PAGE = """\
A season in numbers
Key findings
All nine balls became softer over 72 games.
Baking out the oil restored the hardness.
The third game is the weakest of the night.
The bench thanks whoever asked for this work and has
since read it. Nobody was asked to pay.
What was asked
Owners brought their balls along.
"""


def test_every_finding_of_a_list_is_offered_whatever_its_words() -> None:
    found = [(s.text, s.is_key) for s in claim_like(KEY_PAGE, 1)]
    assert found == [
        ("All nine balls became softer over 72 games.", True),
        ("Baking out the oil restored the hardness.", True),
        ("The third game is the weakest of the night.", True),
    ]


def test_and_not_what_stands_in_a_line_elsewhere() -> None:
    assert not list(claim_like(KEY_PAGE.replace("Key findings", "About"), 1))[1:]
