"""What a draft makes of single columns and rows: each rule where it holds and where it must not."""

from __future__ import annotations

from hashlib import sha256

import pytest

from explainer.draft.draft import DraftedStudy, GivenFile, draft_from, with_names
from explainer.errors import UsageError
from explainer.lift.sentences import claim_like

TERMS = {"ball weight": "pound", "total hook": "board"}


def drafted(text: str) -> DraftedStudy:
    found = lambda word: (word, TERMS[word]) if word in TERMS else None
    return draft_from("x", [GivenFile("a.csv", text.encode(), b"")], found)


def rows(text: str) -> list[str]:
    return drafted(text).files["a.csv"].decode().splitlines()


def parts(text: str):
    return drafted(text).plan.tables[0].parts


def asked(text: str) -> str:
    return "\n".join(map(str, drafted(text).questions))


def test_a_hand_or_a_team_is_never_filled_in():
    text = "Hand,Bowler,Score\nR,Ana,150\n,Bo,160\n,Cleo,170\nL,Dov,155\n,Edda,165\n,Finn,175\n"
    assert rows(text)[2] == ",Bo,160"
    assert "empty in 4 of 6 rows and left so" in asked(text)


def test_one_forgotten_name_is_a_gap_and_not_a_block():
    text = "Ball,Hook\nP1,12\nP1,13\n,14\nP2,15\nP2,16\nP3,17\n"
    assert rows(text)[3] == ",14"
    assert "no ball in 1 rows of the copy (row 4)" in asked(text)


def test_a_block_of_rows_is_filled_with_a_mark_in_the_file():
    text = "Ball,Model,Games,Hook\nP1,A,0,12\n,,10,13\n,,20,14\nP2,B,0,12\n,,10,15\n,,20,14\n"
    assert rows(text)[2] == "P1,A,10,13"
    said = drafted(text).files["study.yaml"].decode()
    assert "# CONFIRM: filled from the row above it: ball in rows 3, 4, 6, 7; model" in said


def test_a_mark_for_as_above_is_taken_at_its_word():
    assert rows('Ball,Hook\nP1,12\n"""",13\nditto,14\nP2,11\n')[1:4] == ["P1,12", "P1,13", "P1,14"]


@pytest.mark.parametrize("cell", ["abs", "vac", "BYE", "n/a", "/", "-", "flat battery", "<5"])
def test_one_bad_cell_never_drops_a_column(cell):
    text = f"Ball,Hook (boards)\nP1,12\nP2,{cell}\nP3,13\nP4,14\n"
    assert [c.name for c in parts(text).measures] == ["hook"]
    assert f"{cell}" in drafted(text).files["study.yaml"].decode().split("missing:")[1]


def test_a_column_of_numbers_is_never_called_likely_unused():
    told = asked("Ball,Lat,Hook\nP1,52.1,12\nP2,52.2,13\nP3,52.3,14\n")
    assert "column Lat: not used, goes with the downloads" in told


@pytest.mark.parametrize(
    ("text", "head"),
    [("Bowler,Week,Lat,Score\nAl Doe,1,52.1,150\nAl Doe,2,52.2,160\nBo Roe,1,52.3,170\n"
      "Bo Roe,2,52.4,171\n", "Lat"),
     ("Ball,Driller,Lat,Hook\nP1,Al,52.1,12\nP2,Bo,52.2,13\nP3,Cy,52.3,14\n", "Lat"),
     ("Ball,Zip,Hook\nP1,52001,12\nP2,52002,13\nP3,52003,14\n", "Zip")],
)  # fmt: skip
def test_a_column_that_publishing_leaves_out_is_not_said_to_go_along(text, head):
    assert f"column {head}: not used, in no download" in asked(text)


@pytest.mark.parametrize(
    ("text", "item", "each"),
    [
        ("No.,Name,Hook\n1,Ana,12\n2,Bo,13\n3,Cleo,14\n", ["Ana", "Bo", "Cleo"], "bowler"),
        ("Model,Serial,Hook\nA,S1,12\nA,S1,13\nA,S2,14\nA,S2,15\nB,S3,15\nB,S3,1\n",
         ["S1", "S2", "S3"], "ball"),
        ("id,cond,RT\n1,a,400\n1,b,410\n2,a,420\n2,b,430\n", ["1", "2"], ""),
        ("Model,No.,Hook\nA,1,12\nA,2,13\nB,1,14\nB,2,15\n", ["A 1", "A 2", "B 1", "B 2"], "ball"),
        ("x,y\n0.5,12.1\n1.5,13.2\n2.5,14.1\n", ["1", "2", "3"], "point"),
        ("Ball,hook,key\nP1,12,89befda9\nP1,13,43a463c0\nP2,14,0f6e7e91\n", ["P1", "P2"], "ball"),
    ],
)  # fmt: skip
def test_what_counts_as_one(text, item, each):
    found = parts(text)
    assert found.item.distinct == item
    assert not each or found.each == each


def test_a_chart_without_items_is_asked_about_first():
    first = drafted("x,y\n0.5,12.1\n1.5,13.2\n2.5,14.1\n").questions[0]
    assert "no column says which ball" in first.what


@pytest.mark.parametrize("label", ["Total", "Team total", "League average", "mean A", "All bowlers",
                                   "Grand total", "avg."])  # fmt: skip
def test_rows_that_sum_up_are_left_out_in_any_column_of_names(label):
    text = f"Team,Bowler,Score\nA,Ana,150\nA,Bo,160\nA,Cleo,155\n,{label},155\nB,Dov,170\n"
    assert label not in "\n".join(rows(text))
    assert f"left out as a summary ({label})" in asked(text)


def test_a_player_called_max_stays_and_a_row_of_maxima_goes():
    text = "Bowler,G1 score,G2 score\nAna,150,160\nMax,140,155\nBo,171,152\nDov,133,181\n{}"
    assert any(row.startswith("Max,") for row in rows(text.format("")))
    text = text.replace("Max", "Cleo").format("max,171,181\n")
    assert not any(row.startswith("max") for row in rows(text))


def _once_named(balls: dict[str, int]) -> str:
    """A name stands once, ahead of its ball's readings."""
    each = (f"{name},0,{y},12\n,10,{y},10\n,20,{y},11\n,30,{y},11\n"
            for name, y in balls.items())  # fmt: skip
    return "Ball,Games,Shore D,Hook\n" + "".join(each)


REGULAR = {
    "once named": _once_named({"P1": 75, "P2": 76, "P3": 74}),
    "nothing moved": "Ball,Hook,Ra\n" + ",12,60\n" * 4 + ",13,64\n",
    "each column by another sum": "Ball,Hook,Ra\nP1,12,60\nP2,10,62\nP3,11,64\n,12,60\n",
}


@pytest.mark.parametrize("text", REGULAR.values(), ids=REGULAR)
def test_a_reading_without_a_name_is_kept_and_asked_about(text):
    """It comes out as a sum or average would, and so may any reading of what holds still."""
    assert len(rows(text)) == len(text.splitlines())
    assert "left out as a summar" not in asked(text)
    assert "kept as readings: take a sum or average out" in asked(text)


@pytest.mark.parametrize("sums", ["36,186", "12,62", "10,60", "14,64"])
def test_a_row_without_a_name_that_only_a_sum_explains_is_left_out_and_asked_about(sums):
    text = f"Ball,Hook,Ra\nP1,12,60\nP2,10,62\nP3,14,64\n,{sums}\n"
    assert len(rows(text)) == 4
    assert "row 5 left out as a summary" in asked(text)


def test_totals_and_places_are_no_measures_and_a_reading_like_another_is():
    text = "Pos,Bowler,G1,G2,G3,Total,Avg,Hcp\n" + "".join(
        f"{n},{name},{a},{b},{c},{a + b + c},{(a + b + c) / 3:.1f},{30 - n}\n"
        for n, (name, a, b, c) in enumerate(
            [("Ana", 150, 161, 172), ("Bo", 140, 155, 171), ("Cleo", 181, 165, 158)], 1
        )
    )
    found = parts(text)
    assert [c.name for c in found.measures] == ["score"]
    alike = "Ball,Spot 1,Spot 2,Spot 3\nP1,78,80,79\nP2,77,75,76\nP3,71,73,72\n"  # 3: their mean
    assert [c.name for c in parts(alike).measures] == ["a"]


@pytest.mark.parametrize("head", ["Wk", "Week", "W"])
def test_weeks_in_heads_and_in_cells_are_use(head):
    across = parts(f"Bowler,{head} 1,{head} 2,{head} 3\nAna,150,160,170\nBo,140,150,160\n")
    down = parts("Bowler,When done,Score\n" + "".join(
        f"{who},{head} {n},{140 + 10 * n}\n" for who in ("Ana", "Bo") for n in (1, 2, 3)
    ))  # fmt: skip
    for found in (across, down):
        assert found.use is not None and found.use.cells[:3] == ("1", "2", "3")
        assert [c.name for c in found.measures] == ["score"]


def test_days_are_use_where_nothing_else_is():
    text = "Date,Bowler,Score\n" + "".join(
        f"{day}.01.2026,{who},{150 + day}\n" for who in ("Ana", "Bo") for day in (12, 19, 26)
    )
    assert parts(text).use.cells == ("0", "7", "14", "0", "7", "14")
    assert rows(text)[1].startswith("2026-01-12,Ana,")


def test_a_day_that_could_be_two_is_left_as_it_stands():
    text = "Ball,Date,Hook\nP1,3/4/2026,12\nP2,5/6/2026,13\nP3,7/8/2026,14\n"
    assert rows(text)[1] == "P1,3/4/2026,12"
    text = text.replace("7/8", "7/28")
    assert rows(text)[1] == "P1,2026-03-04,12"


@pytest.mark.parametrize(
    ("head", "unit"),
    [
        ("Weight", "count"),  # the glossary has pounds; the sheet has not
        ("Weight (lb)", "pound"),
        ("Dose (mM)", "count"),  # millimolar, which is no length
        ("Oil left (units)", "count"),
        ("Change (pins)", "count"),
        ("Volume (mL)", "mL"),
        ("Carry %", "percent"),
    ],
)
def test_a_unit_is_taken_only_where_it_stands(head, unit):
    text = f"Ball,{head}\nP1,12.5\nP2,13.1\nP3,14.7\n"
    [measure] = drafted(text).plan.measures
    assert measure.unit == unit


def test_set_values_are_conditions_and_each_gets_a_claim():
    text = "Ball,Oil (mL),Pattern,Shot,Hook\n" + "".join(
        f"{b},{o},{p},{s},{12 + s + len(p) - o / 10}\n"
        for b in ("P1", "P2", "P3") for o in (20, 25, 30)
        for p in ("short", "longer") for s in (1, 2)
    )  # fmt: skip
    found = parts(text)
    assert [c.name for c in found.conditions] == ["oil_ml", "pattern"]
    assert [c.name for c in found.measures] == ["hook"]
    said = drafted(text).files["study.yaml"].decode()
    assert 'by: oil_ml, a: "20", b: "30"' in said
    assert "by: pattern" in said


def test_strikes_and_spares_become_ones_and_noughts():
    text = "Ball,Frame,Result\nP1,1,X\nP1,2,9/\nP2,1,8-\nP2,2,X\nP3,1,-/\nP3,2,-\n"
    assert rows(text)[0] == "ball,frame,result,strike,spare"
    assert [row.split(",")[3:] for row in rows(text)[1:]] == [
        ["1", ""], ["0", "1"], ["0", "0"], ["1", ""], ["0", "1"], ["0", "0"],
    ]  # fmt: skip
    assert "missing" not in drafted(text).files["study.yaml"].decode()


def test_one_cross_among_numbers_is_no_strike():
    found = parts("Ball,Hook\nP1,12\nP2,x\nP3,9\nP4,8\nP5,7\nP6,11\n")
    assert [c.name for c in found.measures] == ["hook"]


def test_each_question_is_asked_once_and_stands_at_the_head_of_the_file():
    draft = drafted("Ball,Hook\nP1,~12\nP2,13\n,14\nMean,13\n")
    questions = [str(q) for q in draft.questions]
    assert len(set(questions)) == len(questions) > 2
    head = draft.files["study.yaml"].decode().split("title:")[0]
    assert all(q.what in head for q in draft.questions)


def test_millilitres_in_heads_are_set_and_no_games():
    found = parts("Ball,Carry 20ml,Carry 25ml,Carry 30ml\nP1,50,60,70\nP2,55,61,72\nP3,52,63,75\n")
    assert found.use is None
    assert (found.condition.name, found.condition.header.unit) == ("volume_ml", "ml")
    assert [c.name for c in found.measures] == ["carry"]


def test_the_week_goes_on_and_the_game_of_the_night_is_no_reading():
    text = "Bowler,Game,Week,Score\n" + "".join(
        f"{name},{game},{week},{150 + 3 * week + game}\n"
        for name in ("Ana", "Bo", "Cleo", "Dov") for game in (1, 2, 3) for week in range(1, 7)
    )  # fmt: skip
    found = parts(text)
    assert found.use is not None and found.use.name == "week"
    assert [c.name for c in found.measures] == ["score"]
    minutes = text.replace("Week", "Minutes (min)").replace("Game", "Games")
    assert parts(minutes).use.name == "games"


def test_a_column_of_means_is_asked_about():
    text = "Point,Model,Games,Mean roughness\n" + "".join(
        f"{n + 1},{'AB'[n // 3]},{10 * (n % 3)},{90 - 7 * n}\n" for n in range(6)
    )
    assert "averages, by its name" in asked(text) and "mean_of" in asked(text)
    assert [c.name for c in parts(text).measures] == ["mean_roughness"]
    assert "averages" not in asked(text.replace("Mean roughness", "Roughness"))


def test_nights_with_games_under_them_become_rows_with_both():
    heads = "Bowler," + ",".join(f"Week {w} G{k}" for w in (6, 7) for k in (1, 2, 3))
    text = (f"{heads}\nAna,150,160,155,149,170,181\nBo,140,141,139,abs,abs,abs\n"
            "Cleo,190,201,188,170,177,169\n")  # fmt: skip
    assert rows(text)[:3] == ["bowler,week,game,score", "Ana,6,1,150", "Ana,6,2,160"]
    assert {"Ana,7,3,181", "Bo,7,1,abs"} <= set(rows(text))
    assert parts(text).use.name == "week"


def test_two_different_counts_are_no_nights_with_games():
    text = "Ball,Week 1 G1,Week 1 G2,Night 1 G1,Night 1 G2\nP1,1,2,3,4\nP2,2,3,4,5\nP3,3,5,4,6\n"
    assert "week,game" not in rows(text)[0]


def test_made_and_chances_under_stretches_of_weeks_are_rates():
    text = ("Bowler,Weeks 1 to 5 Made,Weeks 1 to 5 Chances,Weeks 6 to 10 Made,"
            "Weeks 6 to 10 Chances\n"
            "Ana,10,42,32,50\nBo,45,55,42,50\nCleo,34,61,31,54\n")  # fmt: skip
    assert rows(text)[:3] == ["bowler,condition,made,chances", "Ana,weeks 1 to 5,10,42",
                              "Ana,weeks 6 to 10,32,50"]  # fmt: skip
    assert [c.name for c in parts(text).counts] == ["made", "chances"]
    assert "a column per condition turned into rows: weeks 1 to 5, weeks 6 to 10" in asked(text)


@pytest.mark.parametrize(
    ("caption", "name", "unit"),
    [
        ("Table 1. Hardness (Shore D) of each sample by games rolled.", "hardness", "Shore D"),
        ("Table 2: Oil taken up (grams) since new", "oil_taken_up", "gram"),
        ("Table A.3. Total hook by games.", "total_hook", "count"),
        ("Readings of the second winter", "a", "count"),
    ],
)
def test_a_caption_says_what_bare_columns_hold(caption, name, unit):
    csv = b"Ball,0 games,20 games\nP1,75.8,74.9\nP2,77.7,76.8\nP3,76.6,75.3\n"
    origin = (f'file: a.csv\ncsv_sha256: "{sha256(csv).hexdigest()}"\n'
              f'report: {{file: r.pdf, sha256: "{"0" * 64}", pages: 8}}\npage: 3\nwhat: Table 1\n'
              f'caption: "{caption}"\nmethod: table\nread: "2026-11-28"\n')  # fmt: skip
    found = lambda word: (word, TERMS[word]) if word in TERMS else None
    draft = draft_from("x", [GivenFile("a.csv", csv, origin.encode())], found)
    [measure] = draft.plan.tables[0].parts.measures
    assert measure.name == name
    assert f"unit: {unit}" in draft.files["study.yaml"].decode()


@pytest.mark.parametrize(
    ("text", "said", "kind", "parameters"),
    [
        ("Entry angle dropped by at least 0.2 degrees.", None, "change",
         {"direction": "down", "at_least": 0.2}),
        ("A ball must read at least 73 Shore D when it is checked.", None, "limit",
         {"at_least": 73}),
        ("All nine balls became softer over 72 games. 3 of 8",
         "All nine balls became softer over 72 games.", "change",
         {"direction": "down", "from": 0, "to": 72}),
    ],
)
def test_what_a_sentence_of_a_report_calls_for(text, said, kind, parameters):
    [found] = claim_like(text, 3)
    assert (found.text, found.kind, found.parameters) == (said or text, kind, parameters)


@pytest.mark.parametrize(("words", "picked"), [("A ball", False), ("The dull ball", True)])
def test_an_article_is_no_sample(words, picked):
    text = ("Ball,Finish,Games,Hook\nP1,A,0,12\nP1,A,20,11\nP2,dull,0,13\nP2,dull,20,11\n"
            "P3,A,0,14\nP3,A,20,12\n")  # fmt: skip
    stub = (f'report_says: "{words} had lost hook by 20 games."\n'
            "test: {kind: change, measure: MEASURE, from: 0, to: LAST, direction: down}  "
            "# CONFIRM: x")  # fmt: skip
    named = with_names(stub, drafted(text).plan)
    assert "measure: hook" in named and ("only:" in named) is picked


def test_a_cell_that_is_too_long_is_told_in_our_words():
    text = "ball,hook\nA,1\n" + "B" * 140_000 + ",2\n"
    with pytest.raises(UsageError) as caught:
        drafted(text)
    expected = "a.csv: row 3: found a cell of more than 131,072 characters, expected at most"
    assert expected in str(caught.value)
