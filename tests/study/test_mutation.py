"""A good study, damaged at random: problems with places, or success; never anything else."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from hypothesis import HealthCheck, given, settings, strategies as st

from explainer.errors import Problem, StudyError
from explainer.study.load import load_study, open_workspace

SOUND = Path(__file__).parent / "sound"
FILES = ("study.yaml", "checkpoints.csv", "shots.csv", "paths.csv", "rates.csv")
QUICK = settings(
    max_examples=60, deadline=5_000, derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
)  # fmt: skip

WORDS = ["", "no", "~", "[]", "{}", "1e999", ".nan", "-1", "0", "x", "[1, 2]", "true", "'", '"',
         "a: b", "&a", "*a", "<<", "texture", "paths", "shots", "\t", "\x00", "ball", "☃",
         ]  # fmt: skip


def holds(change: dict[str, bytes]) -> None:
    """The sound study with some files replaced loads, or is refused with places."""
    with tempfile.TemporaryDirectory() as root:
        folder = Path(root) / "studies" / "bench"
        shutil.copytree(SOUND, folder)
        for name, data in change.items():
            (folder / name).write_bytes(data)
        problems: tuple[Problem, ...] | None = None
        try:
            load_study(folder, open_workspace(Path(root)))
        except StudyError as error:
            problems = error.problems
        assert problems != ()
        for problem in problems or ():
            assert problem.file in FILES
            assert problem.found
            assert "\n" not in str(problem)


@QUICK
@given(st.data())
def test_words_swapped_and_lines_dropped(data):
    lines = (SOUND / "study.yaml").read_text("utf-8").splitlines()
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(lines) - 1))
        words = lines[at].split(" ")
        if data.draw(st.booleans()):
            words[data.draw(st.integers(0, len(words) - 1))] = data.draw(st.sampled_from(WORDS))
            lines[at] = " ".join(words)
        elif len(lines) > 1:
            del lines[at]
    holds({"study.yaml": "\n".join(lines).encode()})


@QUICK
@given(
    st.sampled_from(FILES),
    st.lists(
        st.tuples(st.floats(0, 1, exclude_max=True), st.integers(0, 255)), min_size=1, max_size=4
    ),
)
def test_bytes_flipped(name, flips):
    data = bytearray((SOUND / name).read_bytes())
    for where, byte in flips:
        data[int(where * len(data))] = byte
    holds({name: bytes(data)})


@QUICK
@given(st.sampled_from(FILES[1:]), st.data())
def test_columns_shuffled_and_cells_swapped(name, data):
    rows = [line.split(",") for line in (SOUND / name).read_text("utf-8").splitlines()]
    order = data.draw(st.permutations(range(len(rows[0]))))
    rows = [[row[i] for i in order] for row in rows]
    row = data.draw(st.integers(0, len(rows) - 1))
    column = data.draw(st.integers(0, len(rows[0]) - 1))
    rows[row][column] = data.draw(st.sampled_from(WORDS))
    holds({name: "\n".join(",".join(row) for row in rows).encode()})


@QUICK
@given(st.sampled_from(FILES), st.floats(0, 1))
def test_cut_short(name, share):
    data = (SOUND / name).read_bytes()
    holds({name: data[: int(len(data) * share)]})


@QUICK
@given(st.binary(max_size=200), st.sampled_from(FILES))
def test_anything_at_all(data, name):
    holds({name: data})
