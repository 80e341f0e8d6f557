"""The mutation script tells a test that looks from one that does not, on a module made up here."""

from __future__ import annotations

import ast
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

import mutation

MODULE = "def big(n):\n    return n > 3\n\n\ndef double(n):\n    return 2 * n\n"
#: ``big`` is looked at on both sides of its edge; ``double`` only where + and * are the same.
TESTS = """
from explainer.sums.toy import big, double

def test_big():
    assert (big(3), big(4)) == (False, True)

def test_double():
    assert double(0) == 0
"""


@pytest.fixture
def project(tmp_path: Path) -> Path:
    (tmp_path / "explainer" / "sums").mkdir(parents=True)
    (tmp_path / "tests" / "sums").mkdir(parents=True)
    for folder in (tmp_path / "explainer", tmp_path / "explainer" / "sums"):
        (folder / "__init__.py").write_text("")
    (tmp_path / "explainer" / "sums" / "toy.py").write_text(MODULE)
    (tmp_path / "tests" / "sums" / "test_toy.py").write_text(TESTS)
    (tmp_path / "pyproject.toml").write_text("")
    return tmp_path


@pytest.mark.seldom
def test_it_tells_killed_from_survived_and_leaves_the_project_alone(project, capsys):
    arguments = ["--root", str(project), "--folder", "sums", "--mutants", "99", "--workers", "1"]
    assert mutation.main([*arguments, "--least", "100"]) == 1
    toy = "explainer/sums/toy.py"
    lines = capsys.readouterr().out.splitlines()
    assert f"killed   {toy}:2: n > 3  ->  n >= 3   in: return n > 3" in lines
    assert f"killed   {toy}:2: return n > 3  ->  return None   in: return n > 3" in lines
    assert f"survived {toy}:6: 2  ->  3   in: return 2 * n" in lines
    killed = sum(line.startswith("killed") for line in lines)
    assert f"sums, seed 1: {killed} of 9 killed ({100 * killed / 9:.0f}%)" in lines
    assert (project / toy).read_text() == MODULE


def test_a_mutant_that_never_ends_is_stopped_and_counts_as_killed(project):
    module = project / "explainer" / "sums" / "toy.py"
    endless = mutation.Mutant(
        module.relative_to(project), 2, "n > 3", "…", "", "while True:\n    pass\n"
    )
    tests = mutation.tests_of(project, "sums")
    assert not mutation.survives(project, endless, tests, 2)
    assert module.read_text() == MODULE


def test_tests_that_fail_without_a_mutant_are_no_yardstick(project):
    (project / "tests" / "sums" / "test_toy.py").write_text("def test_it():\n    assert 0\n")
    with pytest.raises(RuntimeError, match="without any mutant"):
        mutation.main(["--root", str(project), "--folder", "sums"])


@pytest.mark.parametrize(
    ("code", "expected"),
    [
        ("a <= b", {"a < b", "a > b"}),
        ("low <= x < high", {"low < x < high", "low > x < high", "low <= x <= high",
                             "low <= x >= high"}),
        ("not a", {"a"}),
        ("-a", {"a"}),
        ("a and b", {"a or b"}),
        ("a ** b", {"a * b"}),
        ("7", {"8", "6"}),
        ("0.0", {"0.1"}),
        ("range_of(low, high)", {"range_of(high, low)"}),
        ("min(a, b)", {"max(a, b)"}),
        ("abs(a)", {"a"}),
        ("a if b else c", {"a if not b else c"}),
        ("'words'", set()),
    ],
)  # fmt: skip
def test_what_may_stand_in_a_places_stead(code, expected):
    (line,) = ast.parse(code).body
    assert {ast.unparse(new) for new in mutation.changes(line.value)} == expected


def test_types_and_the_wording_of_errors_are_not_behaviour():
    assert mutation.places("def f(a: int = 0) -> int | None:\n    raise ValueError(1 + 2)\n") == \
        mutation.places("def f(a=0):\n    raise ValueError\n")  # fmt: skip


def test_one_seed_one_choice():
    first, again, other = (mutation.choose(mutation.ROOT, "analysis", 9, s) for s in (1, 1, 2))
    assert first == again != other
    for one in first:
        ast.parse(one.source)
