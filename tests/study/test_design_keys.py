"""What a study says of its design: who says a claim, which rows, chance, choice, shared errors."""

from __future__ import annotations

import pytest

from explainer.claims.evidence import only_rows
from explainer.study.load import load_study, open_workspace

TESTED = "tested: {each: ball, group: model, count: 4,"


def loaded(bench, *changes):
    path = bench / "study.yaml"
    text = path.read_text("utf-8")
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    path.write_text(text, "utf-8")
    return load_study(bench, open_workspace(bench.parent.parent))


def test_without_any_of_it_nothing_is_known(bench):
    table = loaded(bench).tables["checkpoints"]
    assert table.randomised is None
    assert table.chosen_by is None
    assert table.reference is None
    assert dict(table.shared_sd) == {}


def test_a_table_says_for_itself_what_the_study_says_of_the_rest(bench):
    study = loaded(
        bench,
        (TESTED, f"{TESTED} randomised: no, chosen_by: texture, shared_sd: 2, reference: B2,"),
        ('file: checkpoints.csv,',
         'file: checkpoints.csv, randomised: yes, shared_sd: {texture: 3},'),
    )  # fmt: skip
    here, there = study.tables["checkpoints"], study.tables["shots"]
    assert (here.randomised, there.randomised) == (True, False)
    assert here.chosen_by == there.chosen_by == "texture"
    assert dict(here.shared_sd) == {"texture": 3}
    assert set(there.shared_sd.values()) == {2.0}
    assert here.reference == "B2"
    # Another table's own items are not the study's.
    assert study.tables["rates"].reference is None


def test_a_claim_is_the_reports_unless_somebody_else_says_it(bench):
    study = loaded(
        bench,
        ("    report_says: Texture fell with play.\n",
         "    said_by: {other: a reader's letter}\n    says: Texture fell.\n"
         "    answers_question: yes\n"),
    )  # fmt: skip
    first, second = study.description.claims[:2]
    assert not first.of_report
    assert first.sentence == "Texture fell."
    assert first.answers_question is True
    assert second.of_report
    assert second.sentence.startswith("Worn balls")


@pytest.mark.parametrize(
    ("picked", "items", "games"),
    [
        ({"model": "Plover"}, ("A1", "A2"), {0, 10, 30}),
        ({"games": 10}, ("A1", "A2", "B1", "B2"), {10}),
        ({"model": "Teasel", "games": "30"}, ("B1", "B2"), {30}),
    ],
)
def test_only_leaves_those_rows_with_their_items_and_checkpoints(bench, picked, items, games):
    study = loaded(bench)
    table = only_rows(study, picked).tables["checkpoints"]
    assert table.items == items
    assert set(table.checkpoints) == games == set(table.frame["games"])
    assert table.picked
    assert all(note.row in table.frame.index for note in table.notes)
    # A table without the column stays whole, and so does the study that was read.
    assert only_rows(study, picked).tables["rates"] is study.tables["rates"]
    assert len(study.tables["checkpoints"].frame) > len(table.frame)


def test_items_may_have_been_picked_by_a_column_that_tells_rows_apart(bench):
    """Feet down the lane are a key of the paths' rows and what items were picked by, both."""
    study = loaded(bench, (TESTED, f"{TESTED} chosen_by: feet,"))
    assert study.tables["paths"].chosen_by == "feet"
