"""Items that it takes several columns to name: every sample of every model counts once."""

from __future__ import annotations

import pytest

from explainer.claims.judge import judge
from explainer.errors import DescriptionError, TableError
from explainer.study.load import load_study, open_workspace

STUDY = """\
title: Do covers go smooth?
question: Do covers go smooth as they are bowled?
invented: yes
tested: {each: [model, sample], count: 6}
use: {column: games, term: games rolled, unit: game}
measures:
  texture: {term: cover roughness, unit: microinch, matters_from: 6}
  hook: {term: total hook, unit: board, matters_from: 1}
tables:
  covers: {file: covers.csv, source: "Table 1"}
  hooks: {file: hooks.csv, source: "Table 2"}
claims:
  - id: falls
    report_says: It fell.
    test: {kind: change, measure: texture, from: 0, to: 60, direction: down}
  - id: linked
    report_says: Rough covers hook more.
    test: {kind: association, x: texture, y: hook}
  - id: one
    report_says: The second Plover fell.
    test: {kind: change, measure: texture, from: 0, to: 60, only: {model: Plover, sample: 2}}
"""
COVERS = "model,sample,games,texture\n" + "".join(
    f"{model},{sample},{games},{start + 3 * sample - games * 0.3}\n"
    for model, start in (("Plover", 80), ("Teasel", 60))
    for sample in (1, 2, 3)
    for games in (0, 60)
)
HOOKS = "model,sample,hook\n" + "".join(
    f"{model},{sample},{hook + 0.4 * sample}\n"
    for model, hook in (("Plover", 14), ("Teasel", 9))
    for sample in (1, 2, 3)
)


@pytest.fixture
def loaded(tmp_path):
    folder = tmp_path / "studies" / "nested"
    folder.mkdir(parents=True)

    def load(text: str = STUDY, covers: str = COVERS):
        (folder / "study.yaml").write_text(text)
        (folder / "covers.csv").write_text(covers)
        (folder / "hooks.csv").write_text(HOOKS)
        return load_study(folder, open_workspace(tmp_path))

    return load


def test_every_sample_of_every_model_is_an_item_of_its_own(loaded):
    table = loaded().tables["covers"]
    assert table.items == ("Plover 1", "Plover 2", "Plover 3", "Teasel 1", "Teasel 2", "Teasel 3")
    assert (table.item, table.group) == ("sample", "model")
    # Each has its own start: averaged over models there would be three of them.
    start = table.frame[table.frame["games"] == 0].set_index("sample")["texture"]
    assert start["Plover 1"] == 83 and start["Teasel 1"] == 63


def test_claims_count_samples_and_join_two_tables_by_whole_names(loaded):
    judgement = judge(loaded())
    assert judgement.verdict("falls").n_items == 6
    assert judgement.verdict("linked").n_items == 6


def test_one_sample_is_picked_by_its_own_number_and_its_model(loaded):
    assert judge(loaded()).verdict("one").n_items == 1
    whole = STUDY.replace("{model: Plover, sample: 2}", "{sample: Plover 2}")
    assert judge(loaded(whole)).verdict("one").n_items == 1


def test_a_number_alone_is_no_sample(loaded):
    with pytest.raises(DescriptionError) as caught:
        loaded(STUDY.replace("{model: Plover, sample: 2}", "{sample: 2}"))
    assert "Plover 2" in str(caught.value) and "never holds" in str(caught.value)


def test_a_name_that_begins_with_its_model_is_left_alone(loaded):
    named = COVERS.replace("Plover,1,", "Plover,Plover 1,")
    assert loaded(covers=named).tables["covers"].items[0] == "Plover 1"


def test_two_items_of_one_short_name_get_their_whole_names(loaded):
    same = COVERS.replace("Plover,1,", "P,P 1,").replace("Teasel,1,", "P 1,P 1,")
    text = STUDY.split("  - id: linked")[0].replace(", count: 6", "")
    items = loaded(text, same).tables["covers"].items
    assert len(items) == 6 and {"P P 1", "P 1 P 1"} <= set(items)


def test_a_gap_in_either_column_is_found_with_its_row(loaded):
    for gone, column in (("Plover,1,0,", "model"), ("Plover,1,0,", "sample")):
        kept = ",1,0," if column == "model" else "Plover,,0,"
        with pytest.raises(TableError) as caught:
            loaded(covers=COVERS.replace(gone, kept, 1))
        assert any(p.row == 2 and p.cell == column for p in caught.value.problems)


def test_a_row_that_stands_twice_is_one_sample_twice_and_not_two_models(loaded):
    numbered = STUDY.replace('"Table 1"}', '"Table 1", order: shot}')
    rows = ["model,sample,games,shot,texture", *(
        f"{model},{sample},{games},{shot},{70 - games * 0.3}"
        for model in ("Plover", "Teasel") for sample in (1, 2, 3)
        for games in (0, 60) for shot in (1, 2)
    )]  # fmt: skip
    assert len(loaded(numbered, "\n".join(rows) + "\n").tables["covers"].items) == 6
    with pytest.raises(TableError) as caught:
        loaded(numbered, "\n".join([*rows, rows[1]]) + "\n")
    assert "the same" in str(caught.value)


def test_a_column_of_the_nest_that_is_not_there_is_named(loaded):
    with pytest.raises(DescriptionError) as caught:
        loaded(STUDY.replace("[model, sample]", "[modle, sample]"))
    assert "no column `modle`" in str(caught.value)
    with pytest.raises(DescriptionError):
        loaded(STUDY.replace("[model, sample]", "[sample, sample]"))
