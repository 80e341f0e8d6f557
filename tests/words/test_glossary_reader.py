"""Reading glossary folders: overriding, names, and every complaint with its place."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from explainer.errors import WorkspaceError
from explainer.study.load import load_study, open_workspace
from explainer.words.glossary.entries import Glossary, load_glossary
from explainer.words.glossary.of_study import glossary_for, glossary_of

SHIPPED = Path(__file__).parents[2] / "glossary"

OURS = """\
- term: skid
  also: [slide phase]
  plainly: first part of the trip
  explained: The ball slides on the oil.
  like: A car on ice.
  see: [friction]
- term: friction
  plainly: grip
  explained: What holds it back.
"""


def write(folder: Path, text: str, name: str = "motion.yaml") -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    (folder / name).write_text(text, encoding="utf-8")
    return folder


def complaints(*folders: Path) -> list[str]:
    with pytest.raises(WorkspaceError) as caught:
        load_glossary(folders)
    return [str(problem) for problem in caught.value.problems]


@pytest.fixture
def ours(tmp_path: Path) -> Path:
    return write(tmp_path / "ours", OURS)


@pytest.fixture
def theirs(tmp_path: Path) -> Path:
    return tmp_path / "theirs"


def test_entries_are_found_by_any_of_their_names(ours: Path) -> None:
    words = load_glossary((ours,))
    skid = words.find("skid")
    assert skid is not None
    assert [words.find(n) for n in ("SKIDS", "slide-phase", "Slide  phases")] == [skid] * 3
    assert words.find("slide") is None
    assert [e.term for e in words.entries] == ["friction", "skid"]
    assert (skid.topic, skid.slug, skid.see) == ("motion", "skid", ("friction",))


def test_a_workspace_gives_only_what_it_says_differently(ours: Path, theirs: Path) -> None:
    write(theirs, "- term: skid\n  like: Me, leaving the dance floor.\n", "jokes.yaml")
    skid = load_glossary((theirs, ours)).find("skid")
    assert skid is not None
    assert skid.like == "Me, leaving the dance floor."
    assert skid.explained == "The ball slides on the oil."
    assert skid.topic == "motion"


def test_another_name_overrides_the_same_entry(ours: Path, theirs: Path) -> None:
    write(theirs, "- term: Slide-Phase\n  careful: Not a dance.\n")
    words = load_glossary((theirs, ours))
    skid = words.find("skid")
    assert skid is not None
    assert (skid.term, skid.careful, len(words.entries)) == ("skid", "Not a dance.", 2)


def test_a_workspace_adds_entries(ours: Path, theirs: Path) -> None:
    write(
        theirs, "- {term: yips, plainly: cold hands, explained: Nerves., see: [skid]}\n", "own.yaml"
    )
    words = load_glossary((theirs, ours))
    yips = words.find("yips")
    assert yips is not None
    assert (yips.topic, yips.source.kind, len(words.entries)) == ("own", "memory", 3)


def test_the_first_of_three_folders_wins(ours: Path, theirs: Path, tmp_path: Path) -> None:
    write(theirs, "- {term: skid, like: second, careful: second}\n")
    first = write(tmp_path / "first", "- {term: skid, like: first}\n")
    skid = load_glossary((first, theirs, ours)).find("skid")
    assert skid is not None
    assert (skid.like, skid.careful) == ("first", "second")


def test_folders_that_are_missing_or_empty_hold_nothing(ours: Path, theirs: Path) -> None:
    assert len(load_glossary((theirs, ours)).entries) == 2
    assert load_glossary(()).entries == ()


def test_a_number_is_text_and_folded_lines_are_one(theirs: Path) -> None:
    text = "- term: lane\n  plainly: >-\n    long\n    strip\n  explained: Long.\n  typical: 60\n"
    (lane,) = load_glossary((write(theirs, text),)).entries
    assert (lane.plainly, lane.typical) == ("long strip", "60")


BAD = {
    "an unknown key": (
        "- {term: a, plainly: b, explained: c}\n"
        "- term: d\n  plainly: e\n  explained: f\n  liek: g\n",
        "theirs/motion.yaml:5:",
        ["liek", "like"],
    ),
    "no explanation": (
        "- term: d\n  plainly: e\n",
        "theirs/motion.yaml:1:",
        ["d without explained"],
    ),
    "not a list of entries": ("term: d\n", "theirs/motion.yaml:1:1:", ["a list of entries"]),
    "an entry without a term": ("- plainly: e\n", "theirs/motion.yaml:1:3:", ["with a term"]),
    "an entry that is a word": ("- skid\n", "theirs/motion.yaml:1:3:", ["skid", "with a term"]),
    "an empty text": (
        "- term: d\n  plainly:\n  explained: f\n",
        "theirs/motion.yaml:2:",
        ["plainly: nothing", "some text"],
    ),
    "a word where a list should be": (
        "- {term: d, plainly: e, explained: f}\n"
        "- term: g\n  plainly: h\n  explained: i\n  see: d\n",
        "theirs/motion.yaml:5:",
        ["see: d", "a list"],
    ),
    "an unknown kind of source": (
        "- term: d\n  plainly: e\n  explained: f\n  source: {kind: rumor, name: x}\n",
        "theirs/motion.yaml:4:",
        ["rumor", "common-practice"],
    ),
    "a comma in a source that is not quoted": (
        "- term: d\n  plainly: e\n  explained: f\n"
        "  source: {kind: book, name: x, second edition}\n",
        "theirs/motion.yaml:4:",
        ["in quotes"],
    ),
    "the same term twice": (
        "- {term: d, plainly: e, explained: f}\n- {term: D, plainly: e, explained: f}\n",
        "theirs/motion.yaml:2:",
        ["D twice", "motion.yaml:1"],
    ),
    "a name of two entries": (
        "- {term: d, plainly: e, explained: f}\n"
        "- term: g\n  also: [h, D]\n  plainly: e\n  explained: f\n",
        "theirs/motion.yaml:3:13:",
        ["the name D", "also of d"],
    ),
    "see also that leads nowhere": (
        "- term: skid\n  plainly: e\n  explained: f\n  see: [skidd]\n",
        "theirs/motion.yaml:4:9:",
        ["skidd", "such as skid"],
    ),
    "broken YAML": ("- term: [d\n", "theirs/motion.yaml:", ["not closed"]),
    "a key twice": (
        "- term: d\n  term: e\n  plainly: e\n  explained: f\n",
        "theirs/motion.yaml:2:3:",
        ["term"],
    ),
    "an alias": ("- &a {term: d}\n- *a\n", "theirs/motion.yaml:1:", ["anchor"]),
}


@pytest.mark.parametrize(("text", "place", "words"), BAD.values(), ids=BAD)
def test_every_complaint_has_its_place(
    theirs: Path, text: str, place: str, words: list[str]
) -> None:
    found = complaints(write(theirs, text))
    assert len(found) == 1, found
    assert found[0].startswith(place)
    assert "\n" not in found[0]
    for word in words:
        assert word in found[0]


def test_all_faults_are_told_at_once(theirs: Path) -> None:
    write(theirs, "- term: d\n  plainly: 1\n  liek: x\n  see: y\n", "a.yaml")
    write(theirs, "- [\n", "b.yaml")
    assert len(complaints(theirs)) == 3


def test_a_clash_with_our_entry_is_told_at_theirs(ours: Path, theirs: Path) -> None:
    write(theirs, "- {term: glide, also: [friction], plainly: x, explained: y}\n")
    (found,) = complaints(theirs, ours)
    assert found.startswith("theirs/motion.yaml:1:")
    assert "friction" in found


def test_nearest_knows_spelling_and_words() -> None:
    words = load_glossary((SHIPPED,))

    def nearest(text: str) -> list[str]:
        return [e.term for e in words.nearest(text)]

    assert nearest("durometre")[0] == "durometer"
    assert nearest("likly range")[0] == "likely range"
    assert "guard band" in nearest("band")
    assert nearest("xyzzyqqq") == []
    assert len(words.nearest("ball", n=3)) == 3


def test_nothing_heavy_is_imported_to_define_a_word() -> None:
    code = (
        "import sys, explainer.words.glossary.entries, explainer.words.glossary.entries\n"
        "heavy = 'pandas matplotlib scipy weasyprint pint pydantic numpy statsmodels markdown_it'\n"
        "print(*(m for m in heavy.split() if m in sys.modules))"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.split() == []


def test_an_empty_glossary_answers() -> None:
    assert Glossary(()).find("skid") is None
    assert Glossary(()).nearest("skid") == ()


def test_what_a_study_read_comes_before_what_is_typical() -> None:
    home = Path(__file__).parents[2]
    study = load_study(home / "studies" / "cover-texture", open_workspace(home))
    own = glossary_for(study)
    shared = glossary_of(study.workspace)
    for term in ("total hook", "hardness"):
        usual, found = shared.find(term), own.find(term)
        assert usual is not None
        assert found is not None
        assert usual.typical
        assert (found.typical, found.is_own) == ("", False)
    assert own.find("entry angle") is shared.find("entry angle")
    assert {"hook", "microinch", "shore"} <= own.context
    assert len(own.entries) == len(shared.entries)
