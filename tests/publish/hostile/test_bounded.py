"""The largest a stranger can send is refused within 1 GB and 10 s, or published at that price.

Each case is a command in a process of its own, whose peak memory and processor time the system
measures.  Who else uses the machine slows even that down, so ten seconds are those of a machine
that publishes the small sound study in REFERENCE of them.  A limit on its address space,
far above what is aimed at, keeps a case that fails from taking the machine with it.
"""

from __future__ import annotations

import os
import resource
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from started import started

MB = 1_000_000
MOST_MEMORY, MOST_SECONDS, REFERENCE = 1_000 * MB, 10.0, 4.0
#: Virtual memory, of which libraries reserve far more than they use.
ADDRESS_SPACE = 6_000 * MB
#: Just below what a CSV file may have, in bytes and in rows.
BYTES, ROWS = 49 * MB, 1_490_000
HEAD = "ball,model,games,texture\n"
ROOT = Path(__file__).parents[3]


def full_of(row: str) -> Callable[[Path], None]:
    """A file of as many of these rows as may be."""

    def write(path: Path) -> None:
        block = row * (MB // len(row))
        with path.open("w", encoding="utf-8", newline="") as out:
            out.write(HEAD)
            left = min(BYTES, ROWS * len(row)) if "\n" in row else BYTES
            for _ in range(left // len(block.encode())):
                out.write(block)

    return write


def sparse(path: Path) -> None:
    with path.open("wb") as hole:
        hole.truncate(1_000 * MB)


def every_row_new(path: Path) -> None:
    with path.open("w", encoding="utf-8") as out:
        out.write(HEAD)
        out.writelines(f"B{n},P{n},{n},{n / 7:.3f}\n" for n in range(1_400_000))


def balls(number: int, games: int, models: int) -> Callable[[Path], None]:
    """Sound readings of so many balls at so many checkpoints."""

    def write(path: Path) -> None:
        with path.open("w", encoding="utf-8") as out:
            out.write(HEAD)
            for n in range(number):
                for at in range(games):
                    reading = 70 + n % 13 - 20 * at / games - (n * at) % 7 / 10
                    out.write(f"B{n},M{n % models},{at},{reading:.1f}\n")

    return write


DATA: dict[str, Callable[[Path], None]] = {
    "a gigabyte": sparse, "line ends": full_of("\n"), "commas": full_of(","),
    "quotes": full_of('"'), "rows too short": full_of("1\n"), "one ball": full_of("B0,x,0,1\n"),
    "no numbers": full_of("B0,x,0,x1\n"), "every row new": every_row_new,
    "100,000 columns": lambda path: path.write_text(",".join(f"c{n}" for n in range(100_000))),
    "a ball too many": balls(1_001, 2, 2), "a model too many": balls(60, 2, 51),
    "a checkpoint too many": balls(4, 201, 2), "a point too many": balls(26, 97, 2),
}  # fmt: skip


def bomb(levels: int = 9) -> str:
    text = "a0: &a0 [x, x, x, x, x, x, x, x, x]\n"
    for n in range(1, levels):
        text += f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]\n"
    return text


DESCRIPTIONS = {
    "alias bomb": bomb(), "deep nesting": "title: " + "[" * 5_000 + "]" * 5_000,
    "49,000 keys": "".join(f"k{n}: x\n" for n in range(49_000)),
    "one long line": "title: " + "x" * 900_000,
}  # fmt: skip
MARKDOWN = {
    "huge colspan": "<table><tr><td colspan=1000000>x</td></tr></table>",
    "wide table": "|" + "a|" * 4_000 + "\n|" + "-|" * 4_000 + "\n",
}  # fmt: skip


@pytest.fixture(scope="module")
def usual() -> list[float]:
    """Seconds that it takes to publish the sound study, once that was measured."""
    return []


@pytest.fixture
def run(stranger, usual) -> Callable[[str], tuple[int, list[str]]]:
    """Runs a command on the study: its exit status and what it said on standard error."""

    def command(*what: str) -> tuple[int, list[str]]:
        if not usual:
            usual.append(sound())
        status, lines, seconds, memory = cost(what)
        assert memory < MOST_MEMORY
        assert seconds < MOST_SECONDS * max(1.0, usual[0] / REFERENCE)
        assert len(lines) < 200 and all(len(line) < 2_000 for line in lines)
        return status, lines

    def sound() -> float:
        """Seconds for the sound study; the case's files are put aside for a while."""
        aside = stranger.folder.rename(stranger.root / "aside")
        stranger.folder.mkdir()
        type(stranger)(stranger.root).write()
        _, _, seconds, _ = cost(("publish", "one", "--into", str(stranger.root / "sound")))
        shutil.rmtree(stranger.folder)
        aside.rename(stranger.folder)
        return seconds

    def cost(what: tuple[str, ...]) -> tuple[int, list[str], float, float]:
        """Exit status, lines on standard error, seconds of processor, peak of memory in bytes."""
        done = started(
            "--workspace", str(stranger.root), *what, cwd=ROOT, timeout=600,
            env={**os.environ, "EXPLAINER_CACHE": str(stranger.root / "cache")},
            limits={resource.RLIMIT_AS: ADDRESS_SPACE, resource.RLIMIT_CPU: 60},
        )  # fmt: skip
        return done.returncode, done.stderr.splitlines(), done.seconds, done.memory

    return command


@pytest.mark.slow
@pytest.mark.parametrize("name", DATA)
def test_data_of_any_size(stranger, run, name):
    stranger.said["tested"].pop("count")
    stranger.write()
    DATA[name](stranger.folder / "readings.csv")
    status, lines = run("proof", "one")
    assert status == 3
    assert any("readings.csv" in line for line in lines)
    if name.endswith("too many"):
        assert any("at most" in line for line in lines)


@pytest.mark.slow
@pytest.mark.parametrize("name", DESCRIPTIONS)
def test_a_description_that_grows(stranger, run, name):
    stranger.write()
    stranger.raw("study.yaml", DESCRIPTIONS[name])
    status, lines = run("proof", "one")
    assert status == 3
    assert lines[0].startswith("study.yaml")


@pytest.mark.seldom
@pytest.mark.slow
@pytest.mark.parametrize("name", MARKDOWN)
def test_markdown_that_grows_when_it_is_printed(stranger, run, name):
    """Page, PDF, sheets and script: all of it is made, or one line says why not."""
    stranger.set("intro", MARKDOWN[name])
    stranger.write()
    status, lines = run("publish", "one", "--into", str(stranger.root / "site"))
    assert status == 0 or (status == 3 and lines[0].startswith("study.yaml")), lines
    assert (stranger.root / "site" / "one" / "explainer.pdf").exists() == (status == 0)
