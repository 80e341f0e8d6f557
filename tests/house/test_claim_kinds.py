"""The contract of a claim kind: every row of ``claims/kinds.py`` through every place of the house.

The sample claims are made from the kinds' own parameters, so a new kind is walked as soon as it
has a row; what it lacks is named.  Data: drawn here, and nobody's.
"""

from __future__ import annotations

import io
import json
from collections import Counter
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import fields, replace
from pathlib import Path
from typing import Any, get_args

import numpy as np
import pytest

from explainer.claims.build import ClaimKind
from explainer.claims.detail import Detail, extra_fields
from explainer.claims.judge import judge
from explainer.claims.kinds import KINDS, ROWS
from explainer.claims.results import results
from explainer.claims.verdict import Judgement, Verdict
from explainer.cli import main
from explainer.errors import WorkspaceError
from explainer.publish.frontpage import SENTENCES, blocks
from explainer.study.description.figures import AnyFigure
from explainer.study.description.study import schema_text
from explainer.study.description.tests import kinds
from explainer.study.load import load_study, open_workspace
from explainer.study.model import Study
from explainer.study.thresholds import THRESHOLDS
from explainer.words.facts.claim import COMMON, facts
from explainer.words.facts.kinds import KINDS as FACTS
from explainer.words.glossary.entries import load_glossary
from explainer.words.page import claims as say_claims
from explainer.words.page.claims import claim_words
from explainer.words.phrases.book import book_of, wrong
from explainer.words.phrases.renderer import Teller, load_phrases
from explainer.words.said import ClaimWords
from explainer.words.say import AUDIENCES, say
from explainer.words.script.talk_of_study import say_script
from explainer.words.sheets.handout import say_handout
from explainer.words.sheets.rule_card import say_rule

pytestmark = pytest.mark.whole  # quick, and a rule of every file or row

ROOT = Path(__file__).parents[2]
CODES = ("backed", "leans", "cannot-tell", "against", "not-tested")

#: What a parameter is set to in a sample, where its kind asks for it.
GIVEN: dict[str, Any] = {
    "measure": "y", "x": "x", "y": "y", "from": 0, "to": 20, "over": "games", "by": "model",
    "a": "A", "b": "B", "operator": "reader", "repeat": "again", "successes": "made",
    "attempts": "tried", "because": "It is a question of taste.", "share": "most",
    "worse": "up", "limit": 8, "since": 10,
}  # fmt: skip
#: A kind whose parameters need more than that: which one, and what it is then set to.
BESIDE: dict[str, dict[str, Any]] = {
    "break-in": {"by": 10}, "limit": {"at_least": 3}, "repeatability": {"table": "desk"},
    "rate-difference": {"by": "oil", "a": "long", "b": "short", "within": "ball"},
    "no-association": {"margin": 0.7}, "no-change": {"margin": 2},
    "mean-is": {"value": 10, "within": 2}, "ranking": {"first": "A"},
    "spread": {"by": "model", "a": "A", "b": "B", "direction": "more"},
    "no-worse": {"from": 0, "to": 20}, "settles": {"by": 10},
    "crossing": {"after": 10, "within": 20, "measure": "x", "limit": 8},
    "population-limit": {"at_most": 12}, "steps": {"measure": "z", "by": "dose", "table": "doses"},
    "agreement": {"measure": "z", "by": "gauge", "a": "old", "b": "new", "within": 3,
                  "table": "twice"},
}  # fmt: skip


def run(*arguments: str) -> tuple[int, str, str]:
    """Exit status, standard output and standard error of a command."""
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err), pytest.raises(SystemExit) as ended:
        main(list(arguments))
    return int(ended.value.code or 0), out.getvalue(), err.getvalue()


def sample(row: ClaimKind) -> dict[str, Any]:
    """A claim of this kind, with every parameter it cannot do without."""
    made: dict[str, Any] = {"kind": row.name}
    for name, info in row.model.model_fields.items():
        key = info.alias or name
        if key != "kind" and info.is_required():
            assert key in GIVEN, f"{row.name}: nothing to set its parameter `{key}` to"
            made[key] = GIVEN[key]
    return made | BESIDE.get(row.name, {})


def write(folder: Path, claims: list[dict[str, Any]]) -> None:
    rng = np.random.default_rng(20)
    rows, desk, oil = ["ball,model,games,x,y"], ["ball,reader,again,y"], ["ball,oil,made,tried"]
    for i in range(8):
        start = 10 + rng.normal()
        for games, moved in ((0, 0.0), (10, 3.0), (20, 3.5)):
            x = start - moved * (1.5 if i % 2 else 1.0) + rng.normal(0, 0.2)
            rows.append(f"B{i},{'AB'[i % 2]},{games},{x:.3f},{0.5 * x + rng.normal(0, 0.3):.3f}")
        for reader in "PQR":
            desk += [f"B{i},{reader},{n},{start + rng.normal(0, 0.05):.3f}" for n in (1, 2)]
        oil += [f"B{i},{side},{rng.integers(20, 30)},40" for side in ("long", "short")]
    doses, twice = ["ball,dose,z"], ["ball,gauge,z"]
    for i in range(12):
        doses.append(f"D{i},{100 * (i % 3 + 1)},{10 + i % 3 + rng.normal(0, 0.4):.3f}")
        level = 10 + rng.normal()
        twice += [f"G{i},{name},{level + rng.normal(0, 0.3):.3f}" for name in ("old", "new")]
    folder.mkdir(parents=True)
    tables = (("t", rows), ("desk", desk), ("oil", oil), ("doses", doses), ("twice", twice))
    for name, lines in tables:
        (folder / f"{name}.csv").write_text("\n".join(lines) + "\n")
    (folder / "study.yaml").write_text(json.dumps({
        "title": "One claim of each kind", "question": "Which of these hold?", "invented": True,
        "tested": {"each": "ball", "group": "model", "count": 8},
        "use": {"column": "games", "term": "games rolled", "unit": "game"},
        "measures": {
            "x": {"unit": "microinch", "matters_from": 1, "more_is": "rougher",
                  "less_is": "smoother", "repeatability_sd": 0.2},
            "y": {"unit": "board", "matters_from": 1, "more_is": "more hook",
                  "less_is": "less hook", "repeatability_sd": 0.1},
            "z": {"unit": "microinch", "matters_from": 1},
        },
        "tables": {
            name: {"file": f"{name}.csv", **({"tested": {"each": "ball"}} if more else {})}
            for name, more in zip(("t", "desk", "oil", "doses", "twice"), (0, 0, 0, 1, 1),
                                  strict=True)
        },
        "claims": [
            {"id": c["kind"], "report_says": "A sentence.", "plainly": "In plain words.",
             "test": {**({"table": "t"} if "table" not in c and "measure" in c else {}), **c}}
            for c in claims
        ],
        "rule": {"change": "A made-up rule.", "reasons": [c["kind"] for c in claims]},
    }))  # fmt: skip


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workspace with one claim of every kind."""
    folder = tmp_path_factory.mktemp("kinds") / "studies" / "each"
    write(folder, [sample(row) for row in ROWS])
    return folder


@pytest.fixture(scope="module")
def judged(bench: Path) -> Judgement:
    return judge(load_study(bench, open_workspace(bench.parents[1])))


@pytest.fixture(scope="module")
def site(bench: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    into = tmp_path_factory.mktemp("site") / "site"
    status, out, err = run("publish", str(bench), "--into", str(into))
    assert status == 0, out + err
    return into


def test_rows_models_and_facts_name_the_same_kinds() -> None:
    """One row a kind: a kind that only one of the three places knows is half a kind."""
    assert {row.name: row.model for row in ROWS} == kinds()
    assert set(FACTS) == set(KINDS)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_a_row_is_whole(row: ClaimKind) -> None:
    assert issubclass(row.detail, Detail) and row.detail.__dataclass_params__.frozen  # type: ignore[attr-defined]
    assert set(row.thresholds) <= set(THRESHOLDS)
    figures = {get_args(f.model_fields["kind"].annotation)[0]
               for f in get_args(get_args(AnyFigure)[0])}  # fmt: skip
    assert set(row.shown_by) <= figures
    parameters = set(row.model.model_fields)
    assert set(row.model.column_keys()) | set(row.model.conditions) <= parameters
    for extra in extra_fields(row.detail):
        assert extra.default is None, f"{row.name}: {extra.name} must be null where there is none"
    assert any(kind == row.name for _, kind, _ in SENTENCES), f"{row.name}: no sample sentence"
    shown = {block.id for block in blocks()}
    assert f"test-{row.name}" in shown, f"{row.name}: not in the handbook"
    assert f'"{row.name}"' in schema_text(), f"{row.name}: not in the schema"


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_a_kind_is_judged_and_written_down(row: ClaimKind, judged: Judgement) -> None:
    v = judged.verdict(row.name)
    assert type(v.detail) is row.detail
    claim = next(c for c in results(judged)["claims"] if c["id"] == row.name)
    assert list(claim["extra"]) == [extra.name for extra in extra_fields(row.detail)]
    json.dumps(claim, allow_nan=False)
    if row.ranged:
        assert v.strip is not None and v.estimate is not None, f"{row.name}: nothing to draw"
    assert (v.p_holm is not None) == row.corrected
    if row.level != 0.95:
        low, high = (v.strip.low, v.strip.high) if v.strip else (None, None)
        assert (low, high) != (v.low, v.high) or v.level == row.level


def _told(
    row: ClaimKind, judged: Judgement, code: str, audience: str
) -> tuple[ClaimWords, dict[str, Any]]:
    """The words of a verdict of this kind, set to ``code`` whatever its numbers."""
    v = judged.verdict(row.name)
    reasons = ("beyond-data",) if code == "not-tested" and row.ranged else v.reasons
    past = {"reaches": 40.0, "measured_from": 0.0, "measured_to": 20.0}
    detail = replace(v.detail, **past) if "beyond-data" in reasons else v.detail
    v = replace(v, code=code, reasons=reasons, detail=detail)  # type: ignore[arg-type]
    teller = Teller(load_phrases((ROOT / "templates",)), "each", audience)
    return claim_words(teller, judged, v), facts(v, judged.study)


@pytest.mark.parametrize("audience", AUDIENCES)
@pytest.mark.parametrize("code", CODES)
@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_a_kind_has_words(row: ClaimKind, judged: Judgement, code: str, audience: str) -> None:
    if row.name == "not-testable" and code != "not-tested":
        pytest.skip("never judged")
    words, known = _told(row, judged, code, audience)
    for said in (words.says, words.method, words.plainly):
        assert said and "None" not in said and "{" not in said, (row.name, code, said)
    assert known["kind"] == row.name


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_its_facts_are_the_ones_it_says_it_has(row: ClaimKind, judged: Judgement) -> None:
    """The names that phrases are held to are the names that are there, whatever the verdict."""
    for code in CODES:
        _, known = _told(row, judged, code, "viewer")
        assert set(known) == COMMON | FACTS[row.name].names, (row.name, code)


def test_no_phrase_of_ours_asks_what_nobody_knows() -> None:
    book = load_phrases((ROOT / "templates",))
    assert all(entry.ours for entry in book.values())
    assert [p for name, entry in book.items() for p in wrong(name, entry)] == []


def test_a_phrase_that_asks_what_nobody_knows_is_refused_with_its_place(
    judged: Judgement, tmp_path: Path
) -> None:
    (tmp_path / "phrases").mkdir()
    (tmp_path / "phrases" / "claims.yaml").write_text(
        "change.backed: It fell by {{ size }}.\n"
        "trend.leans: [It drifted., 'By {{ mean_from }}.']\n"
        "any.cannot-tell: The {{ item }} has {{ texture }}.\n"
        "why.change: 'About {{ size'\n"
    )
    folders = (tmp_path, ROOT / "templates")
    workspace = replace(judged.study.workspace, template_folders=folders)
    with pytest.raises(WorkspaceError) as refused:
        book_of(replace(judged.study, workspace=workspace))
    assert [(p.file, p.line, p.found.split(":")[0]) for p in refused.value.problems] == [
        ("templates/phrases/claims.yaml", 2, "trend.leans"),
        ("templates/phrases/claims.yaml", 3, "any.cannot-tell"),
        ("templates/phrases/claims.yaml", 4, refused.value.problems[2].found),
    ]
    assert "end of template" in refused.value.problems[2].found
    assert "`mean_from`" in refused.value.problems[0].found


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_figures_that_show_it_have_its_titles(row: ClaimKind) -> None:
    book = load_phrases((ROOT / "templates",))
    codes = ("backed", "leans", "cannot-tell", "against") if row.shown_by else ()
    lacking = [code for code in codes if f"title.{row.name}.{code}" not in book]
    assert lacking == [], f"{row.name}: no title for {lacking}"


def test_every_edition_tells_every_kind(site: Path, judged: Judgement) -> None:
    page = (site / "each" / "index.html").read_text("utf-8")
    script = (site / "each" / "script" / "script.md").read_text("utf-8")
    missing = [row.name for row in ROWS if f'data-claim="{row.name}"' not in page]
    assert missing == []
    for edition in ("explainer.pdf", "handout.pdf", "rule-card.pdf"):
        assert (site / "each" / edition).stat().st_size > 1000
    assert "None" not in script and "{" not in script
    labels = [
        extra.metadata["label"].split("{")[0]
        for v in judged.verdicts for extra in extra_fields(type(v.detail))
        if v.extra[extra.name] is not None
    ]  # fmt: skip
    assert [label for label in labels if label not in page] == []


def test_weigh_tells_every_kind(bench: Path) -> None:
    status, text, _ = run("weigh", str(bench))
    assert status == 0
    assert [row.name for row in ROWS if row.name not in text] == []
    status, plain, _ = run("weigh", str(bench), "--json")
    assert status == 0
    assert {c["id"] for c in json.loads(plain)["claims"]} == set(KINDS)


@pytest.mark.parametrize(
    "row", [row for row in ROWS if row.model.column_keys()], ids=lambda row: row.name
)
def test_proof_finds_a_misspelt_column_or_value(row: ClaimKind, tmp_path: Path) -> None:
    """Of every key that names a column, and of every value that must stand in one."""
    claim = sample(row)
    for i, key in enumerate([*row.model.column_keys(), *row.model.conditions]):
        if key not in claim:
            continue
        folder = tmp_path / str(i) / "studies" / "each"
        write(folder, [claim | {key: "misspelt"}])
        status, out, err = run("proof", str(folder))
        assert status == 3, f"{row.name}: a misspelt `{key}` is sound"
        assert "misspelt" in out + err, (row.name, key)


def test_what_is_missing_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """The walk itself can fail: a row whose model and facts nobody wrote."""
    half = replace(ROWS[0], name="half-a-kind", thresholds=("no-such-number",))
    with pytest.raises(AssertionError):
        test_a_row_is_whole(half)
    monkeypatch.setitem(FACTS, "half-a-kind", lambda *given: {})  # type: ignore[arg-type]
    with pytest.raises(AssertionError):
        test_rows_models_and_facts_name_the_same_kinds()


def test_details_say_what_each_field_is() -> None:
    """Typed records: no field of a kind's record goes by a name that two kinds use differently."""
    seen: dict[str, str] = {}
    for row in ROWS:
        for field in fields(row.detail):
            kind = str(field.type)
            bare = kind.replace(" | None", "")
            assert seen.setdefault(field.name, bare) == bare, (row.name, field.name)


def test_a_verdict_takes_its_extra_numbers_from_its_record(judged: Judgement) -> None:
    for v in judged.verdicts:
        assert isinstance(v, Verdict)
        assert v.extra == v.detail.numbers()


def test_facts_are_built_once_for_each_verdict_and_audience(
    judged: Judgement, monkeypatch: pytest.MonkeyPatch
) -> None:
    built: Counter[str] = Counter()

    def counted(verdict: Verdict, study: Study) -> dict[str, Any]:
        built[verdict.claim.id] += 1
        return facts(verdict, study)

    monkeypatch.setattr(say_claims, "facts", counted)
    fresh = replace(judged)  # with nothing remembered
    words = [say(fresh, audience) for audience in AUDIENCES]
    say_handout(fresh, load_glossary((ROOT / "glossary",)))
    say_rule(fresh)
    say_script(fresh, words[0])
    assert set(built.values()) == {len(AUDIENCES)}, built
