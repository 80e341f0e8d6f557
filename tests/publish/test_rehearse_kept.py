"""A page in rehearsal is built on the last verdicts while only words change, and never else."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from explainer.claims import kept
from explainer.claims.judge import judge, outcomes_of
from explainer.claims.kept import LastFew, judged_again
from explainer.editions import compose
from explainer.study.load import load_study, open_workspace
from explainer.words.glossary.linker import finder_for
from explainer.words.glossary.of_study import glossary_for

ROOT = Path(__file__).parents[2]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "studies" / "gauge-check"
    shutil.copytree(ROOT / "studies" / "gauge-check", made)
    return made


@pytest.fixture
def judged(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The title of every study that was judged from its numbers."""
    found: list[str] = []

    def noted(study, limits):
        found.append(study.description.title)
        return outcomes_of(study, limits)

    monkeypatch.setattr(kept, "outcomes_of", noted)
    monkeypatch.setattr(kept, "_VERDICTS", LastFew())
    monkeypatch.setattr(kept, "_FIGURES", LastFew())
    monkeypatch.setattr(compose, "_DRAWN", LastFew(most=100))
    return found


def edited(folder: Path, change: Callable[[str], str], file: str = "study.yaml"):
    path = folder / file
    before = path.read_text("utf-8")
    path.write_text(change(before), "utf-8")
    assert path.read_text("utf-8") != before
    return load_study(folder, open_workspace(folder.parents[1]))


def test_words_change_and_the_verdicts_stay_in_new_words(folder: Path, judged: list[str]) -> None:
    judged_again(load_study(folder, open_workspace(folder.parents[1])))
    study = edited(folder, lambda t: t.replace("title: ", "title: Again ", 1).replace(
        "plainly: ", "plainly: Now ", 1).replace("say: ", "say: See, ", 1))  # fmt: skip
    again = judged_again(study)
    assert len(judged) == 1
    assert {v.claim for v in again.verdicts} <= set(study.description.claims)
    assert again.verdicts == judge(study).verdicts
    fresh = judge(study)
    assert [(f.figure, f.claims) for f in again.figures] == [
        (f.figure, f.claims) for f in fresh.figures
    ]
    assert glossary_for(study) is glossary_for(edited(folder, lambda t: t.replace("Again ", "A ")))
    assert finder_for(glossary_for(study)) is finder_for(glossary_for(study))


@pytest.mark.parametrize("change", [
    lambda t: t.replace("matters_from: ", "matters_from: 9", 1),
    lambda t: t.replace("each: ", "randomised: yes\n  each: ", 1),
    # What a figure says of how far readings are off decides the claim about them.
    lambda t: t.replace("yardstick: contact-patch", "yardstick: contact-patch\n    u: 4", 1),
])  # fmt: skip
def test_what_is_no_word_is_judged_anew(folder: Path, judged: list[str], change) -> None:
    judged_again(load_study(folder, open_workspace(folder.parents[1])))
    study = edited(folder, change)
    assert judged_again(study).verdicts == judge(study).verdicts
    assert len(judged) == 2


def test_another_number_is_judged_anew(folder: Path, judged: list[str]) -> None:
    first = judged_again(load_study(folder, open_workspace(folder.parents[1])))
    file = next(iter(first.study.tables.values())).file

    def change(text: str) -> str:
        head, _, last = text.rstrip("\n").rpartition("\n")
        return f"{head}\n{last.rpartition(',')[0]},{float(last.rpartition(',')[2]) + 1}\n"

    again = judged_again(edited(folder, change, file))
    assert len(judged) == 2
    assert again.verdicts != first.verdicts


def test_only_the_last_few_are_kept() -> None:
    made: list[int] = []
    store: LastFew[int] = LastFew()
    for n in (*range(kept.MOST + 1), kept.MOST, 0):
        store.of(f"{n}", lambda n=n: made.append(n) or n)
    assert made == [*range(kept.MOST + 1), 0]


@pytest.mark.parametrize("change", [
    lambda t: t.replace("title: ", "title: Again ", 1),
    lambda t: t.replace("term: hardness", "term: stiffness", 1),
    lambda t: t.replace("    figure: three-desks\n", "", 1),
    lambda t: t.replace("say: ", "say: See, ", 1),
])  # fmt: skip
def test_a_figure_that_was_kept_is_the_one_that_would_be_drawn(
    folder: Path, judged: list[str], monkeypatch: pytest.MonkeyPatch, change
) -> None:
    compose.compose(judged_again(load_study(folder, open_workspace(folder.parents[1]))))
    study = edited(folder, change)
    again = compose.compose(judged_again(study)).figures
    monkeypatch.setattr(compose, "_DRAWN", LastFew(most=100))
    assert again == compose.compose(judge(study)).figures


def test_no_figure_is_drawn_anew_for_another_title(
    folder: Path, judged: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    compose.compose(judged_again(load_study(folder, open_workspace(folder.parents[1]))))
    study = edited(folder, lambda t: t.replace("title: ", "title: Again ", 1))
    monkeypatch.setattr(compose, "draw", lambda *args: pytest.fail("drawn anew"))
    assert compose.compose(judged_again(study)).figures
