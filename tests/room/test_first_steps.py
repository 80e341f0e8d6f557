"""Where people who never saw the program were stopped or misled in the workroom."""

from __future__ import annotations

import hashlib
import re
import shutil

import pytest

from explainer.room.edit import CannotEdit, StudyText, users_of
from explainer.room.fields import groups, known
from explainer.room.forms import Asking
from explainer.room.questions import asked, noticed
from explainer.room.server import _add, _remove
from explainer.room.typed import edited
from explainer.study.load import UNQUOTED

TEXT = """\
# What to look at, what most hangs on it first:
# - sheet Oil: row 14 left out as a summary (AVERAGE)

title: Oil
use: {column: games, unit: game}
measures:
  hook:
    term: hook
  strike:
    term: strike
    unit: count
    # resolution: 1      smallest step
  angle:
    term: angle
tables:
  oil: {file: oil.csv}
  sanding:
    file: sanding.csv
figures:
  - id: over
    kind: over-use
    table: oil
    y: hook
claims:
  - id: differs
    report_says: It hooks less on more oil.
    test: {kind: difference, table: oil, measure: hook, by: volume, a: "18", b: "25"}
"""
CSV = "ball,volume,cover,hook\n" + "".join(
    f"P{n},{volume},{'pearl' if n % 2 else 'solid'},{10 + n * 1.3 - volume / 10:.2f}\n"
    for n in range(20) for volume in (18, 25)
)


def add(source: StudyText, kind: str) -> dict:
    asking = {"what": "claims", "kind": kind, "says": "Balls that hook more leave steeper."}
    made, _ = _add(source, Asking(asking))
    return made.at(("claims",))[-1]["test"]


@pytest.mark.parametrize("kind", ["association", "tracks-within"])
def test_a_new_claim_about_two_measures_names_neither_by_itself(kind):
    assert {add(StudyText(TEXT), kind)[axis] for axis in "xy"} == {"…"}
    assert add(StudyText(TEXT), "change")["measure"] == "hook"


def test_what_is_open_stands_empty_in_its_field_and_stays_when_the_rest_is_saved(tmp_path):
    source, _ = _add(StudyText(TEXT), Asking({"what": "claims", "kind": "association",
                                              "says": "More hook, more angle."}))  # fmt: skip
    fields = {f.name: f for f in groups(source, tmp_path)["claims"][-1].fields}
    assert fields["claims/1/test/x"].value == ""
    assert "angle" in fields["claims/1/test/x"].suggest
    saved = edited(source, {"claims/1/test/x": "hook", "claims/1/test/y": ""})
    assert saved.at(("claims", 1, "test", "x")) == "hook"
    assert saved.at(("claims", 1, "test", "y")) == "…"


def test_columns_and_the_values_of_the_column_chosen_are_listed(tmp_path):
    (tmp_path / "oil.csv").write_text(CSV)
    fields = {f.name: f for f in groups(StudyText(TEXT), tmp_path)["claims"][0].fields}
    assert set(fields["claims/0/test/by"].suggest) == {"ball", "volume", "cover", "hook"}
    assert fields["claims/0/test/a"].suggest == ("18", "25")
    other = edited(StudyText(TEXT), {"claims/0/test/by": "cover"})
    fields = {f.name: f for f in groups(other, tmp_path)["claims"][0].fields}
    assert set(fields["claims/0/test/b"].suggest) == {"solid", "pearl"}


def test_a_measure_goes_with_its_comments_unless_something_names_it():
    made, said = _remove(StudyText(TEXT), Asking({"path": "measures/strike"}))
    assert list(made.at(("measures",))) == ["hook", "angle"]
    assert "resolution" not in made.text
    assert "strike" in said
    assert users_of(made, "hook") == ("figures › over", "claims › differs")
    with pytest.raises(CannotEdit, match=r"is used by figures › over, claims › differs"):
        _remove(StudyText(TEXT), Asking({"path": "measures/hook"}))


def test_the_use_of_one_sheet_has_fields_of_its_own(tmp_path):
    fields = {f.name: f for f in groups(StudyText(TEXT), tmp_path)["tables"][1].fields}
    assert fields["tables/sanding/use/column"].label == "use in this table: column"
    made = edited(StudyText(TEXT), {"tables/sanding/use/column": "volume",
                                    "tables/sanding/use/unit": "mL"})  # fmt: skip
    assert made.at(("tables", "sanding", "use")) == {"column": "volume", "unit": "mL"}
    made = edited(made, {"tables/sanding/use/term": "oil"})
    assert made.at(("tables", "sanding", "use", "term")) == "oil"


def test_words_in_place_of_a_block_are_refused_and_can_be_mended_in_its_fields():
    with pytest.raises(CannotEdit, match=r"expected keys and values like \{column: games"):
        edited(StudyText(TEXT), {"use": "one sheet is games, the other is mL"})
    broken = StudyText(TEXT.replace("{column: games, unit: game}", "games in one, mL in one"))
    made = edited(broken, {"use/column": "games"})
    assert made.at(("use",)) == {"column": "games"}


def test_the_checkpoints_there_are_stand_beside_from_and_to(tmp_path):
    (tmp_path / "oil.csv").write_text("ball,games,hook\nA,0,9\nA,10,8\nB,0,9\nB,10,7\n")
    source, _ = _add(StudyText(TEXT), Asking({"what": "claims", "kind": "change",
                                              "says": "Hook fell."}))  # fmt: skip
    fields = {f.name: f for f in groups(source, tmp_path)["claims"][-1].fields}
    assert fields["claims/1/test/to"].suggest == ("0", "10")


def test_no_unit_is_written_as_people_say_it():
    for said in ("none", "No unit", "-"):
        made = edited(StudyText(TEXT), {"measures/angle/unit": said})
        assert made.at(("measures", "angle", "unit")) == "count"


def test_what_was_left_out_of_the_sheets_is_listed():
    assert noticed(TEXT) == ("sheet Oil: row 14 left out as a summary (AVERAGE)",)


def test_a_study_is_left_out_of_what_is_published_and_comes_back(room):
    from tests.room.test_who_may_ask import ask, begin, fields

    kind = {"Content_Type": "application/x-www-form-urlencoded"}
    begin(room, "true-one")
    begin(room, "false-one")
    study = room.root / "studies" / "false-one"
    before = {p.name: hashlib.sha256(p.read_bytes()).digest()
              for p in study.rglob("*") if p.is_file()}  # fmt: skip
    answer, text = ask(room, "POST", f"/{room.secret}/aside/false-one", b"", **kind)
    assert answer.status == 422
    assert "nothing was moved" in text
    assert study.is_dir()
    answer, _ = ask(room, "POST", f"/{room.secret}/aside/false-one", fields(sure="yes"), **kind)
    assert answer.status == 303
    assert sorted(p.name for p in (room.root / "studies").iterdir() if p.is_dir()) == ["true-one"]
    _, text = ask(room, "GET", f"/{room.secret}/")
    assert "Bring it back" in text
    for bad in ("..", "../studies", "true-one"):
        answer, _ = ask(room, "POST", f"/{room.secret}/back/{bad}", b"", **kind)
        assert answer.status == 422
    answer, _ = ask(room, "POST", f"/{room.secret}/back/false-one", b"", **kind)
    assert answer.status == 303
    after = {p.name: hashlib.sha256(p.read_bytes()).digest()
             for p in study.rglob("*") if p.is_file()}  # fmt: skip
    assert after == before


def test_a_study_that_a_link_takes_from_elsewhere_is_neither_read_nor_written(room, tmp_path):
    """`proof` and `publish` refuse it; whoever sends a workspace shall not have our hand in it."""
    from tests.room.test_who_may_ask import ask, begin, fields

    begin(room, "one")
    outside = tmp_path.parent / f"{tmp_path.name}-outside"
    shutil.copytree(room.root / "studies" / "one", outside / "secret")
    text = (outside / "secret" / "study.yaml").read_bytes()
    (room.root / "studies" / "taken").symlink_to(outside / "secret")
    (outside / "secret" / "study.yaml").write_bytes(text.replace(b"title:", b"title: Secret", 1))
    text = (outside / "secret" / "study.yaml").read_bytes()
    _, page = ask(room, "GET", f"/{room.secret}/")
    assert "Secret" not in page
    _, page = ask(room, "GET", f"/{room.secret}/study/taken/")
    assert "Secret" not in page
    seen = hashlib.sha256(text).hexdigest()
    typed = fields(seen=seen, **{"f-title": "HACKED"})
    kind = {"Content_Type": "application/x-www-form-urlencoded"}
    answer, page = ask(room, "POST", f"/{room.secret}/edit/taken", typed, **kind)
    assert answer.status in (404, 422) and "a link out of the workspace" in page
    assert (outside / "secret" / "study.yaml").read_bytes() == text


@pytest.mark.parametrize(
    ("place", "typed", "status"),
    [
        ("publish", {"study": "nope", "into": "out", "unconfirmed": "yes"}, 422),
        ("publish", {"study": "../..", "into": "out", "unconfirmed": "yes"}, 422),
        ("publish", {"as": "tar", "into": "out", "unconfirmed": "yes"}, 422),
        ("edit/one", {f"f-extra/{n}": "x" for n in range(4_000)}, 413),
        ("edit/one", {"seen": "x", "f-claims/²/say": "x"}, 422),
        ("remove/one", {"seen": "x", "path": "claims/70"}, 422),
        ("answer/one", {"seen": "x", "right-²": "yes"}, 422),
    ],
)
def test_what_no_page_of_ours_would_send_does_nothing(room, place, typed, status):
    from tests.room.test_who_may_ask import ask, begin, fields

    begin(room, "one")
    file = room.root / "studies" / "one" / "study.yaml"
    before = file.read_bytes()
    if typed.get("seen"):
        typed = {**typed, "seen": hashlib.sha256(before).hexdigest()}
    kind = {"Content_Type": "application/x-www-form-urlencoded"}
    answer, _ = ask(room, "POST", f"/{room.secret}/{place}", fields(**typed), **kind)
    assert answer.status in (status, 303 if "right-²" in typed else status)
    assert file.read_bytes() == before and not (room.root / "out").exists()


def test_what_only_looks_set_aside_is_not_brought_back(room, tmp_path):
    """A link there may lead anywhere; and where there is a file, nothing can be set aside."""
    from tests.room.test_who_may_ask import ask, fields

    outside, kind = tmp_path / "outside", {"Content_Type": "application/x-www-form-urlencoded"}
    outside.mkdir()
    (outside / "study.yaml").write_text("title: Not ours\n", "utf-8")
    (room.root / "studies" / "one").mkdir(parents=True)
    (room.root / "studies" / "one" / "study.yaml").write_text("title: Ours\n", "utf-8")
    place = room.root / "set aside"
    place.mkdir()
    (place / "two").symlink_to(outside)
    answer, text = ask(room, "POST", f"/{room.secret}/back/two", fields(sure="yes"), **kind)
    assert answer.status == 422 and (place / "two").is_symlink()
    assert not (room.root / "studies" / "two").exists()
    (place / "two").unlink()
    place.rmdir()
    place.write_text("a note", "utf-8")
    answer, text = ask(room, "POST", f"/{room.secret}/aside/one", fields(sure="yes"), **kind)
    assert answer.status == 422 and "is no folder; call it something else" in text
    assert (room.root / "studies" / "one").is_dir() and place.is_file()


@pytest.mark.parametrize("way", ["aside", "back"])
def test_nothing_is_moved_through_a_link(room, tmp_path, way):
    from tests.room.test_who_may_ask import ask, begin, fields

    begin(room, "one")
    outside = tmp_path.parent / f"{tmp_path.name}-{way}"
    shutil.copytree(room.root / "studies" / "one", outside / "two")
    (room.root / "set aside").symlink_to(outside)
    kind = {"Content_Type": "application/x-www-form-urlencoded"}
    name = "one" if way == "aside" else "two"
    answer, _ = ask(room, "POST", f"/{room.secret}/{way}/{name}", fields(sure="yes"), **kind)
    assert answer.status == 422
    assert (room.root / "studies" / "one").is_dir()
    assert [p.name for p in outside.iterdir()] == ["two"]


def test_the_form_of_what_was_added_or_saved_stands_open(room):
    from tests.room.test_who_may_ask import ask, begin, fields

    kind = {"Content_Type": "application/x-www-form-urlencoded"}
    begin(room, "one")
    file = room.root / "studies" / "one" / "study.yaml"
    place = f"/{room.secret}/study/one/"

    def opened(way: str, **typed: str) -> list[str]:
        seen = hashlib.sha256(file.read_bytes()).hexdigest()
        body = fields(seen=seen, **typed)
        answer, _ = ask(room, "POST", f"/{room.secret}/{way}/one", body, **kind)
        assert answer.status == 303
        _, page = ask(room, "GET", answer.getheader("Location"))
        return re.findall(r'<details class="group" id="g-([^"]*)" open>', page)

    before = len(StudyText(file.read_text("utf-8")).at(("claims",)))
    new = {"what": "claims", "kind": "change", "says": "Hook fell.", "plainly": "Less hook."}
    assert opened("add", **new) == [f"claims/{before}"]
    assert opened("edit", **{"f-claims/0/plainly": "Less of it."}) == ["claims/0"]
    _, page = ask(room, "GET", place)
    assert not re.findall(r'id="g-claims[^"]*" open>', page)


LEAGUE = """\
title: League
tested: {each: bowler, count: 4}
use: {column: week, unit: week}
measures:
  score: {term: score, unit: count}
tables:
  season: {file: season.csv}
figures: []
claims: []
"""
SCORES = "bowler,week,clinic,score\n" + "".join(
    f"{name},{week},{clinic},{150 + 3 * week + len(clinic)}\n"
    for name, clinic in (("Alder", "not clinic"), ("Birch", "clinic"), ("Cedar", "not clinic"),
                         ("Elm", "clinic")) for week in (8, 1, 4)
)  # fmt: skip


def added(tmp_path, kind: str, says: str) -> StudyText:
    (tmp_path / "season.csv").write_text(SCORES)
    source = StudyText(LEAGUE)
    return _add(source, Asking({"what": "claims", "kind": kind, "says": says}),
                known(source, tmp_path))[0]  # fmt: skip


def test_a_new_claim_is_filled_in_from_what_there_is_one_of_and_is_not_broken(tmp_path):
    by = added(tmp_path, "difference", "Coached bowlers average more.").at(("claims", 0, "test"))
    assert {k: by[k] for k in ("measure", "by", "a", "b")} == {
        "measure": "score", "by": "clinic", "a": "clinic", "b": "not clinic"
    }  # fmt: skip
    moved = added(tmp_path, "change", "Scores rose.").at(("claims", 0, "test"))
    assert (moved["from"], moved["to"]) == (1, 8)
    assert "…" not in str(by) + str(moved)


@pytest.mark.parametrize(("says", "held"), [
    ("The league averages 170.", {"value": 170}),
    ("The league averages at least 162.5 pins.", {"at_least": 162.5}),
    ("An average of 140 or less is usual.", {"at_most": 140})])  # fmt: skip
def test_a_claim_about_an_average_takes_its_number_from_the_sentence(tmp_path, says, held):
    test = added(tmp_path, "mean-is", says).at(("claims", 0, "test"))
    assert {k: test[k] for k in ("value", "at_least", "at_most") if k in test} == held


@pytest.mark.parametrize(("says", "found"), [("They average a lot.", "no numbers"),
                                             ("Between 150 and 170.", "2 numbers")])  # fmt: skip
def test_a_claim_about_an_average_without_its_number_is_not_added(tmp_path, says, found):
    with pytest.raises(CannotEdit, match=f"found {found} in the sentence.*nothing was added"):
        added(tmp_path, "mean-is", says)


def test_two_columns_of_two_words_leave_the_choice_to_the_author(tmp_path):
    (tmp_path / "season.csv").write_text("bowler,week,clinic,hand,score\nA,1,yes,L,150\n"
                                         "B,1,no,R,160\nA,2,yes,L,155\nB,2,no,R,166\n")
    source = StudyText(LEAGUE)
    made, _ = _add(source, Asking({"what": "claims", "kind": "difference", "says": "More."}),
                   known(source, tmp_path))  # fmt: skip
    assert made.at(("claims", 0, "test"))["by"] == "…"


def test_what_a_sentence_is_held_against_stands_beside_its_field():
    drafted = TEXT.replace('says: It hooks less on more oil.',
                           'says: "(none yet)"  # CONFIRM: the report\'s own sentence\n'
                           "    plainly: Hook differs between 18 and 25 mL.")  # fmt: skip
    [question] = asked(StudyText(drafted))
    assert question.what == "claims: differs: report says"
    assert question.held == ("Hook differs between 18 and 25 mL. "
                             "(difference: table oil, measure hook, by volume, a 18, b 25)")
    other = drafted.replace("title: Oil", "title: Oil  # CONFIRM: its name")
    assert [bool(q.held) for q in asked(StudyText(other))] == [False, True]


def test_publishing_asks_about_guesses_that_nobody_confirmed(room, tmp_path):
    from tests.room.test_who_may_ask import ask, begin, fields

    kind = {"Content_Type": "application/x-www-form-urlencoded"}
    begin(room, "one")
    file = room.root / "studies" / "one" / "study.yaml"
    count = len(list(asked(StudyText(file.read_text("utf-8")))))
    assert count
    into = str(tmp_path / "out")
    for way in ("folder", "zip"):
        body = fields(study="one", **{"as": way, "into": into})
        answer, page = ask(room, "POST", f"/{room.secret}/publish", body, **kind)
        assert answer.status == 422 and f"one ({count} open)" in page
    assert not (tmp_path / "out").exists()
    _, page = ask(room, "GET", f"/{room.secret}/")
    assert 'name="unconfirmed"' in page
    answered = re.sub(r"  # CONFIRM.*", "", file.read_text("utf-8"))
    for text, open_ones in ((answered, True), (answered.replace(UNQUOTED, "It fell."), False)):
        file.write_text(text, encoding="utf-8")
        _, page = ask(room, "GET", f"/{room.secret}/")
        assert ('name="unconfirmed"' in page) is open_ones


SERIES = """\
title: Series
tested: {each: [team, bowler]}
use: {column: week, unit: week}
measures:
  score: {term: score, unit: pin}
tables:
  t: {file: oil.csv}
figures:
  - {id: f, kind: shot-series, table: t, y: score, first: 3, last: 3}
claims:
  - id: fell
    report_says: They fell.
    test: {kind: change, measure: score, from: [1,4], to: 9}
  - id: early
    report_says: They had fallen by week four.
    test: {kind: break-in, measure: score, from: 1, by: 4, to: 9, only: {hand: left, team: "A"}}
"""


def test_a_window_has_a_field_for_each_end(tmp_path):
    source = StudyText(SERIES)
    fields = {f.name: f for g in groups(source, tmp_path)["claims"] for f in g.fields}
    first = fields["claims/0/test/from"]
    assert (first.kind, first.value, first.last) == ("window", "1", "4")
    assert (fields["claims/0/test/to"].value, fields["claims/0/test/to"].last) == ("9", "")
    assert fields["claims/1/test/by"].kind == "window"
    same = edited(source, {"claims/0/test/from": "1", "claims/0/test/from~last": "4",
                           "claims/0/test/to": "9", "claims/0/test/to~last": ""})  # fmt: skip
    assert same.text == SERIES
    for typed, came in ((("6", "9"), [6, 9]), (("6", ""), 6), (("6, 9", ""), [6, 9])):
        made = edited(source, {"claims/0/test/to": typed[0], "claims/0/test/to~last": typed[1]})
        assert made.at(("claims", 0, "test", "to")) == came
    made = edited(source, {"claims/0/test/from": "2", "claims/0/test/from~last": "",
                           "claims/1/test/by": "4", "claims/1/test/by~last": "6"})  # fmt: skip
    assert made.at(("claims", 0, "test", "from")) == 2
    assert made.at(("claims", 1, "test", "by")) == [4, 6]
    with pytest.raises(CannotEdit, match=r"claims › 0 › test › to: found the end 9 of a window"):
        edited(source, {"claims/0/test/to": "", "claims/0/test/to~last": "9"})
    # A key called `last` is no end of a window.
    assert edited(source, {"figures/0/last": "5"}).at(("figures", 0, "last")) == 5


def test_a_claim_may_be_about_one_group_alone(tmp_path):
    rows = [f"{team},{bowler},{hand},{week},{150 + week}" for team, bowler, hand in
            (("A", "1", "left"), ("A", "2", "right"), ("B", "3", "left")) for week in (1, 9)]
    (tmp_path / "oil.csv").write_text("\n".join(["team,bowler,hand,week,score", *rows]))
    source = StudyText(SERIES)
    fields = {f.name: f for g in groups(source, tmp_path)["claims"] for f in g.fields}
    only = fields["claims/0/test/only"]
    assert (only.kind, only.value) == ("choice", "")
    assert only.choices == ("{hand: left}", "{hand: right}")
    made = edited(source, {only.name: "{hand: left}"})
    assert made.at(("claims", 0, "test", "only")) == {"hand": "left"}
    assert edited(made, {only.name: ""}).text == SERIES
    # What stands there, and is not in the list, stays to be chosen.
    two = fields["claims/1/test/only"]
    assert two.value == two.choices[0] == '{hand: left, team: "A"}'
    (tmp_path / "oil.csv").write_text("team,bowler,week,score\nA,1,1,150\nB,3,9,150\n")
    fields = {f.name: f for g in groups(source, tmp_path)["claims"] for f in g.fields}
    assert "claims/0/test/only" not in fields


@pytest.mark.parametrize(("each", "people"), [
    ("bowler", True), ("ball", False), ("[team, bowler]", True), ("member, people: no", False),
    ("P, people: yes", True),
])  # fmt: skip
def test_what_a_sentence_may_be_like_is_said_of_people_where_they_count(room, each, people):
    from tests.room.test_who_may_ask import ask, begin

    begin(room, "one")
    file = room.root / "studies" / "one" / "study.yaml"
    text = file.read_text("utf-8")
    uncounted = re.sub(r"\n  count:.*", "", text)
    file.write_text(re.sub(r"tested:\n  each: .*", f"tested: {{each: {each}}}", uncounted))
    _, page = ask(room, "GET", f"/{room.secret}/study/one/")
    samples = page[page.index("choose the sentence") :].split("</select>")[0]
    assert ("Averages went up over the season. (change)" in samples) == people
    assert ("Covers got smoother over sixty games. (change)" in samples) == (not people)
    assert ("(same-line)" in samples) == (not people)  # nobody says that of people


@pytest.mark.parametrize("kind", ["no-worse", "spread"])
def test_a_claim_of_two_groups_or_two_checkpoints_begins_with_one_of_them(tmp_path, kind):
    """Without either it cannot be published, and nothing in the form asks for one."""
    grouped = [f"{bowler},{week},150,{hand}" for bowler, hand in ("AL", "BR", "CR")
               for week in (1, 9)]  # fmt: skip
    alone = [row.rpartition(",")[0] for row in grouped]
    two = {"by": "hand", "a": "L", "b": "R"}
    for head, rows, came in (("bowler,week,score,hand", grouped, two),
                             ("bowler,week,score", alone, {"from": 1, "to": 9})):  # fmt: skip
        (tmp_path / "season.csv").write_text("\n".join([head, *rows]))
        source = StudyText(LEAGUE)
        made, _ = _add(source, Asking({"what": "claims", "kind": kind, "says": "As good."}),
                       known(source, tmp_path))  # fmt: skip
        assert came.items() <= made.at(("claims", 0, "test")).items()
