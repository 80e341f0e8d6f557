"""Studies of people: nobody is named, nobody fails, and groups made by scores are cautioned about.

Everybody here is made up.
"""

from __future__ import annotations

import json
import random
import re
import shutil
import zlib
from pathlib import Path

import pandas as pd
import pytest

from explainer.claims.judge import judge
from explainer.errors import StudyError
from explainer.proof.read import proofread
from explainer.publish.build import build_study
from explainer.publish.data import data_files
from explainer.publish.site import publish
from explainer.study.load import load_study, open_workspace
from explainer.study.people import short_names
from explainer.study.persons import is_person
from explainer.words.phrases.somebody import of_somebody

NAMES = (
    "Abelard Brightwater", "Cordelia Dunmore", "Edwina Fairlop", "Gwendolen Hartsease",
    "Ignatius Jessamy", "Kasimir Lumley", "Matilda Nettlecombe", "Oswald Pemberley",
    "Quentin Rushbrook", "Sybil Thistlewood", "Ursula Vantongeren", "Zoltan Quickfoot",
)  # fmt: skip
SHORT = ("AB", "CD", "EF", "GH", "IJ", "KL", "MN", "OP", "QR", "ST", "UV", "ZQ")
STUDY = """
title: Does coaching help?
question: Do the low averages gain more from coaching?
invented: yes
tested: {each: bowler, group: level, count: 12, not_in_downloads: [Zoltan Quickfoot]}
use: {column: week, term: weeks of the season, unit: count}
measures:
  score: {term: score, unit: pin, matters_from: 5, repeatability_sd: 12, more_is: higher, less_is: lower}
tables:
  scores: {file: scores.csv, source: score sheets}
figures:
  - {id: over, kind: over-use, table: scores, y: score, say: Abelard Brightwater kept calm.}
  - {id: there, kind: limit, table: scores, y: score, at_least: 160, at: 8, say: Who got there.}
claims:
  - id: up
    report_says: Scores rose, most of all for Cordelia Dunmore.
    plainly: Scores rose.
    test: {kind: change, measure: score, from: 1, to: 8, direction: up}
  - id: low
    report_says: The low averages gained more.
    plainly: The low averages gained more.
    test: {kind: difference-in-change, measure: score, from: 1, to: 8, by: level, a: low, b: high, direction: higher}
  - id: all-there
    report_says: Everyone reached 160.
    plainly: Everyone reached 160.
    test: {kind: limit, measure: score, at_least: 160, at: 8}
  - id: every
    report_says: Everyone gained.
    plainly: Everyone gained.
    test: {kind: share-of-items, measure: score, from: 1, to: 8, direction: up, share: every}
  - id: one
    report_says: One of them rose.
    plainly: Cordelia Dunmore rose.
    test: {kind: change, measure: score, from: 1, to: 8, direction: up, only: {bowler: Cordelia Dunmore}}
"""  # noqa: E501


def sheet() -> str:
    """Twelve bowlers, three weeks; the groups are those who scored low and high at first."""
    chance = random.Random(3)
    usual = {name: chance.gauss(160, 20) for name in NAMES}
    first = {name: usual[name] + chance.gauss(0, 12) for name in NAMES}
    low = sorted(NAMES, key=first.__getitem__)[:6]
    rows = ["bowler,level,week,score,email"]
    for name in NAMES:
        for week in (1, 4, 8):
            score = first[name] if week == 1 else usual[name] + 3 + chance.gauss(0, 12)
            level = "low" if name in low else "high"
            rows.append(f"{name},{level},{week},{score:.0f},{name.split()[0]}@league.example")
    return "\n".join(rows) + "\n"


def workspace(root: Path, study: str = STUDY, data: str | None = None):
    folder = root / "studies" / "season"
    folder.mkdir(parents=True)
    (folder / "study.yaml").write_text(study, "utf-8")
    (folder / "scores.csv").write_text(data or sheet(), "utf-8")
    return open_workspace(root), folder


@pytest.fixture(scope="module")
def site(tmp_path_factory) -> Path:
    root = tmp_path_factory.mktemp("people")
    space, folder = workspace(root)
    outcome = publish(space, {"season": folder}, root / "site")
    assert not outcome.failed
    return root / "site"


def everything(site: Path) -> dict[str, str]:
    """Every file that is published, as text; PDFs with their streams opened."""
    found = {}
    for path in site.rglob("*"):
        if path.is_file():
            data = path.read_bytes()
            if path.suffix == ".pdf":
                for stream in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", data, re.DOTALL):
                    try:
                        data += zlib.decompress(stream)
                    except zlib.error:
                        continue
            found[path.relative_to(site).as_posix()] = data.decode("utf-8", "replace")
    return found


def test_nobody_is_named_in_anything_that_is_published(site):
    parts = [part for name in NAMES for part in name.split()]
    files = everything(site)
    assert {
        "season/results.json", "season/data/scores.csv", "season/handout.pdf",
        "season/script/captions.vtt", "season/data/figure-over.csv",
    } <= files.keys()  # fmt: skip
    for path, text in files.items():
        assert [part for part in parts if part.casefold() in text.casefold()] == [], path
    assert "league.example" not in "".join(files.values())
    page = files["season/index.html"]
    assert "AB kept calm" in page
    assert "most of all for CD" in page
    assert "CD rose" in page


def test_whoever_asked_stays_out_of_the_downloads_and_counts_all_the_same(site):
    files = everything(site)
    for path in ("season/data/scores.csv", "season/data/figure-over.csv"):
        shorts = {row.split(",")[0] for row in files[path].splitlines()[1:]}
        assert shorts == set(SHORT) - {"ZQ"}, path
    results = json.loads(files["season/results.json"])
    assert results["claims"][0]["n_items"] == 12
    assert (
        "The rows of 1 bowler are not in the downloads, nor are rows of averages and totals."
        in files["season/index.html"]
    )


RATES = """\
  - {id: hit, kind: rates, table: shots, successes: strikes, attempts: frames, by: oil}
  - {id: each, kind: rates, table: shots, successes: strikes, attempts: frames, by: oil, within: bowler}
"""  # noqa: E501


def test_no_download_has_a_sum_from_which_somebody_left_out_can_be_worked_out(tmp_path):
    """Eleven rows beside an average of twelve are twelve rows."""
    study = STUDY.replace("tables:\n", "tables:\n  shots: {file: shots.csv}\n", 1)
    study = study.replace("claims:\n", f"{RATES}claims:\n", 1)
    rows = ["bowler,oil,strikes,frames,team total"]
    rows += [f"{n},{oil},{3 + i % 4 + j},10,{70 + j}" for i, n in enumerate(NAMES)
             for j, oil in enumerate(("fresh", "worn"))]  # fmt: skip
    study = study.replace("shots.csv}", "shots.csv, columns: {team total: team total}}")
    space, folder = workspace(tmp_path, study)
    (folder / "shots.csv").write_text("\n".join(rows) + "\n", "utf-8")

    def files_of(text):
        (folder / "study.yaml").write_text(text, "utf-8")
        judged = judge(load_study(folder, space))
        made = data_files(judged.study, judged.figures)
        return {path: data.decode().splitlines() for path, data in made.items()}

    files = files_of(study)
    assert files["data/shots.csv"][0] == "bowler,oil,strikes,frames"
    others = set(SHORT) - {"ZQ"}
    for path in ("shots", "scores", "figure-over", "figure-hit", "figure-each"):
        first = {row.split(",")[0] for row in files[f"data/{path}.csv"][1:]}
        assert first == others, path
    everybody = files_of(study.replace(", not_in_downloads: [Zoltan Quickfoot]", ""))
    assert everybody["data/shots.csv"][0] == "bowler,oil,strikes,frames,team total"
    assert everybody["data/figure-over.csv"][-1].startswith("mean,")
    assert "all" in {row.split(",")[0] for row in everybody["data/figure-hit.csv"][1:]}


def test_a_row_of_averages_goes_out_with_whoever_stays_out(tmp_path):
    data = sheet() + "League average,high,1,160,\nLeague average,high,8,165,\n"
    things = STUDY.replace("bowler, group", "bowler, people: no, group").replace("12,", "13,", 1)
    space, folder = workspace(tmp_path, things, data)
    text = data_files(load_study(folder, space))["data/scores.csv"].decode()
    assert "Sybil Thistlewood" in text and "Zoltan" not in text and "average" not in text


def test_no_gauge_nobody_misses_and_no_list_of_who_fell(site):
    files = everything(site)
    for path in ("season/index.html", "season/script/script.md", "season/script/captions.vtt"):
        text = re.sub(r"<(style|script|svg)\b.*?</\1>|<[^>]*>", " ", files[path], flags=re.DOTALL)
        assert re.findall(r"(?i)\b(?:gauges?|miss(?:es|ed)?|fail(?:s|ed|ure)?)\b", text) == [], path
    claims = json.loads(files["season/results.json"])["claims"]
    calls = next(c for c in claims if c["id"] == "all-there")["extra"]["items"]
    assert [call["item"] for call in calls] == [f"rank {n + 1}" for n in range(12)]
    assert [c["value"] for c in calls] == sorted(c["value"] for c in calls)
    assert {"fail", "too-close"} <= {call["call"] for call in calls}
    page = files["season/index.html"]
    section = re.search(r'data-claim="all-there".*?</section>', page, re.DOTALL)[0]
    assert not [short for short in SHORT if re.search(rf"\b{short}\b", section)]


def test_a_group_made_by_its_own_first_score_is_cautioned_about(site):
    claims = {c["id"]: c for c in json.loads((site / "season/results.json").read_text())["claims"]}
    assert "chosen" in claims["low"]["reasons"]
    assert "a first reading that stands out tends to come back by itself" in (
        (site / "season/index.html").read_text("utf-8")
    )


@pytest.mark.parametrize("group", ["hand", "team", "night_league"])
def test_a_group_nobody_is_put_into_for_a_score_is_not(group, tmp_path):
    study = STUDY.replace("level", group)
    space, folder = workspace(tmp_path, study, sheet().replace("level", group, 1))
    verdicts = {v.claim.id: v for v in judge(load_study(folder, space)).verdicts}
    assert "chosen" not in verdicts["low"].reasons


def test_names_are_shown_on_purpose_only_and_proof_says_so(tmp_path):
    shown = STUDY.replace("count: 12,", "count: 12, names: shown,")
    space, folder = workspace(tmp_path, shown)
    assert "Abelard Brightwater" in load_study(folder, space).tables["scores"].items
    [said] = [p for p in proofread(folder, space) if p.code == "names-shown"]
    assert "12 bowlers" in said.found
    assert said.severity == "warning"


def test_numbers_in_place_of_initials(tmp_path):
    space, folder = workspace(tmp_path, STUDY.replace("count: 12,", "count: 12, names: numbers,"))
    study = load_study(folder, space)
    assert study.tables["scores"].items == tuple(str(n + 1) for n in range(12))
    assert study.unlisted == {"12"}


def test_a_first_name_in_the_authors_words_is_pointed_at(tmp_path):
    text = STUDY.replace("One of them rose.", "It was Cordelia who rose. Will she do it again?")
    space, folder = workspace(tmp_path, text)
    [said] = [p for p in proofread(folder, space) if p.code == "name-in-text"]
    assert "Cordelia" in said.found
    assert text.splitlines()[said.line - 1].startswith("    report_says: It was Cordelia")


def test_each_name_is_pointed_at_in_the_reason_for_leaving_a_reading_out_too(tmp_path):
    text = STUDY + 'excluded:\n  - {table: scores, row: 3, why: "Sybil and Oswald, then Sybil"}\n'
    space, folder = workspace(tmp_path, text)
    said = [p for p in proofread(folder, space) if p.code == "name-in-text"]
    assert [p.found.split("`")[1] for p in said] == ["Sybil", "Oswald"]
    assert {p.line for p in said} == {len(text.splitlines())}


@pytest.mark.parametrize(("word", "asked"), [("keiler", True), ("ball", False), ("car", True)])
def test_items_called_like_people_are_asked_about(word, asked, tmp_path):
    text = STUDY.replace("bowler", word)
    space, folder = workspace(tmp_path / "open", text, sheet().replace("bowler", word, 1))
    codes = [p.code for p in load_study(folder, space).warnings]
    assert ("people-asked" in codes) is asked
    said = text.replace(f"each: {word}", f"each: {word}, people: no")
    space, folder = workspace(tmp_path / "said", said, sheet().replace("bowler", word, 1))
    assert "people-asked" not in [p.code for p in load_study(folder, space).warnings]


def test_balls_keep_their_names_and_a_word_can_be_overruled(tmp_path):
    as_balls = STUDY.replace("each: bowler", "each: bowler, people: no")
    space, folder = workspace(tmp_path / "things", as_balls)
    assert load_study(folder, space).tables["scores"].people is False
    other = STUDY.replace("bowler", "regular")
    other = other.replace("each: regular", "each: regular, people: yes")
    space, folder = workspace(tmp_path / "people", other, sheet().replace("bowler", "regular", 1))
    assert load_study(folder, space).tables["scores"].items == SHORT


def test_a_wish_of_somebody_unknown_is_a_problem_with_its_place(tmp_path):
    space, folder = workspace(tmp_path, STUDY.replace("[Zoltan", "[Zoltann"))
    with pytest.raises(StudyError) as fault:
        load_study(folder, space)
    [problem] = fault.value.problems
    assert problem.code == "no-item"
    assert "did you mean `Zoltan Quickfoot`?" in str(problem)
    shutil.rmtree(folder)


@pytest.mark.parametrize(
    ("name", "short"),
    [
        ("Jane Doe", "JD"), ("Doe, Jane", "JD"), ("Jane Doe (L)", "JD"), ("jane doe", "JD"),
        ("Jane", "J"), ("BOB", "B"), ("Anne-Marie van Doe", "AMV"), ("Élodie Ørsted", "ÉØ"),
        ("P07", "P07"), ("12", "12"), ("B", "B"), ("JD", "JD"), ("J. D.", "J. D."),
        ("Bowler 3", "Bowler 3"), ("Player B", "Player B"), ("0123456789", "1"),
        ("李 四", "1"), ("李四", "1"), ("王 小 明", "1"), ("김 철수", "1"), ("李", "1"),
        ("山田 太郎", "山"), ("محمد", "1"), ("J D", "J"), ("Ö Å", "Ö"),
    ],
)  # fmt: skip
def test_what_somebody_is_called_in_public(name, short):
    assert short_names([name], "initials") == {name: short}


def test_no_two_people_are_called_alike():
    names = ["Jane Doe", "John Dunn", "JD", "Joan Dent", "Jane Doe"]
    assert short_names(names, "initials") == {
        "Jane Doe": "JD2", "John Dunn": "JD3", "JD": "JD", "Joan Dent": "JD4",
    }  # fmt: skip


@pytest.mark.parametrize("word", ["bowler", "league bowler", "bowler_id", "Players", "patient"])
def test_words_for_somebody(word):
    assert is_person(word)


@pytest.mark.parametrize("word", ["ball", "lane", "team", "desk", "name", "ball_id", "model"])
def test_words_for_something(word):
    assert not is_person(word)


@pytest.mark.parametrize(
    ("of_things", "of_people"),
    [
        ("Of 12 bowlers, 9 pass the limit of 150, 3 miss it.",
         "Of 12 bowlers, 9 pass the limit of 150, 3 do not meet it."),
        ("one misses 150 even so", "one does not meet 150 even so"),
        ("9 pass, 2 fail and 1 is too close to call.",
         "9 pass, 2 do not meet it and 1 is too close to call."),
        ("Not one of 5 bowlers misses 150 for sure.", "None of 5 bowlers is surely outside 150."),
        ("The gauge's own scatter is 20% as wide.", "The reading's own scatter is 20% as wide."),
        ("Of 20 bowlers, 14 miss the limits of 50 to 57.5%.",
         "Of 20 bowlers, 14 do not meet the limits of 50 to 57.5%."),
        ("3 meet both and 1 misses one of them", "3 meet both and 1 does not meet one of them"),
        ("misses a limit", "does not meet a limit"),
        ("All 5 miss it.", "None of the 5 meets it."),
        ("All 5 bowlers miss the limit of 150", "None of the 5 bowlers meets the limit of 150"),
        ("whether all three new bowlers miss 150 or more",
         "whether none of the three new bowlers meets 150 or more"),
        ("Both bowlers miss it. Both fail.",
         "Neither of the bowlers meets it. Neither meets it."),
        ("All of them miss the limit of 150.", "None of them meets the limit of 150."),
        ("Not all of them miss it: 1 meets the limit.",
         "At least one of them meets it: 1 meets the limit."),
        ("All 5 were read, and 2 miss it.", "All 5 were read, and 2 do not meet it."),
        ("No bowler misses the limit for sure.", "No bowler is surely outside the limit."),
        ("Between the hatched zones passes, above or below both of them fails.",
         "Between the hatched zones both limits are met, above or below both of them one limit "
         "is not."),
        ("A missing reading is a missing reading.", "A missing reading is a missing reading."),
    ],
)  # fmt: skip
def test_the_same_sentence_of_people(of_things, of_people):
    assert of_somebody(of_things) == of_people


@pytest.mark.parametrize(
    ("of_things", "theirs", "of_people"),
    [
        ("“Plain gauge”: the gauge can't say.", (), "“Plain gauge”: the reading can't say."),
        ("Then: A finer gauge shows it. 2 fail.", ("A finer gauge shows it",),
         "Then: A finer gauge shows it. 2 do not meet it."),
        ("Missed spares: 3 missed the limit.", ("missed spares", "spares"),
         "Missed spares: 3 not met the limit."),
        ("The gauge for missed spares cannot see anything smaller than 2. “We failed.”",
         ("missed spares",),
         "Readings of one person differ too much from time to time to show anything smaller than "
         "2. “We failed.”"),
        ("A failing is no fail.", ("fail it",), "A failing is no do not meet it."),
    ],
)  # fmt: skip
def test_what_the_author_wrote_stays_as_it_is(of_things, theirs, of_people):
    assert of_somebody(of_things, theirs) == of_people


def test_what_a_column_that_nothing_reads_holds_is_on_no_page(tmp_path: Path) -> None:
    """A column that parts the readings just as what is compared does is told of, and not its
    cells: they may be anybody's address."""
    home, folder = tmp_path / "home", tmp_path / "home" / "studies" / "league-season"
    shutil.copytree(Path(__file__).parents[2] / "studies" / "league-season", folder)
    path = folder / "scores.csv"
    rows = pd.read_csv(path, dtype=str, keep_default_na=False)
    coached = rows["coaching"] == rows["coaching"].iloc[0]
    rows["house"] = coached.map({True: "zebedee.quixley@example.org", False: "12 Elm Street"})
    rows.to_csv(path, index=False)
    space = open_workspace(home)
    study = load_study(folder, space)
    made = build_study(study, ()).files
    page = made["index.html"].decode()
    assert "House and coaching go together" in page
    assert not [n for n, data in made.items() if b"quixley" in data or b"Elm Street" in data]
