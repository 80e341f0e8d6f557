"""The examples with their tables made odd: every one is told, or refused with its place.

A handful each day; many by hand::

    .venv/bin/python -m pytest tests/publish/hostile/test_odd_tables.py --draws 500 --first 1000
"""

from __future__ import annotations

import csv
import random
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from explainer.claims.judge import judge
from explainer.editions.compose import compose
from explainer.errors import StudyError
from explainer.study.load import load_study, open_workspace
from explainer.words.phrases.book import defects_of
from explainer.words.say import AUDIENCES, say
from explainer.words.script.talk_of_study import say_script

HOME = Path(__file__).parents[3]
EXAMPLES = sorted(path.parent.name for path in (HOME / "studies").glob("*/study.yaml"))
Rows = list[list[str]]


def is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return text == ""
    return True


class Odd:
    """What may become of the rows of a table, by lot."""

    def __init__(self, rng: random.Random, header: list[str], rows: Rows) -> None:
        self.rng, self.rows = rng, rows
        numbers = [i for i in range(len(header)) if all(is_number(row[i]) for row in rows)]
        self.words = [i for i in range(len(header)) if i not in numbers] or [0]
        self.numbers = numbers or [len(header) - 1]
        self.reading = self.numbers[-1]

    def few_items(self) -> Rows:
        who = list(dict.fromkeys(row[self.words[0]] for row in self.rows))
        kept = set(who[: self.rng.choice((1, 2, 3, 5))])
        return [row for row in self.rows if row[self.words[0]] in kept]

    def one_group(self) -> Rows:
        by = self.rng.choice(self.words)
        value = self.rng.choice(self.rows)[by]
        return [row for row in self.rows if row[by] == value]

    def one_place(self) -> Rows:
        at = self.rng.choice(self.numbers)
        value = self.rng.choice(self.rows)[at]
        return [row for row in self.rows if row[at] == value]

    def constant(self) -> Rows:
        value = self.rng.choice(self.rows)[self.reading]
        return self._put(lambda row: value)

    def zero(self) -> Rows:
        return self._put(lambda row: "0")

    def ties(self) -> Rows:
        return self._put(lambda row: self.rng.choice("56"))

    def gaps(self) -> Rows:
        return self._put(lambda row: "" if self.rng.random() < 0.4 else row[self.reading])

    def negative(self) -> Rows:
        return self._put(lambda row: f"-{row[self.reading]}".replace("--", ""))

    def tiny(self) -> Rows:
        return self._put(lambda row: row[self.reading] and f"{float(row[self.reading]) * 1e-9:g}")

    def huge(self) -> Rows:
        return self._put(lambda row: row[self.reading] and f"{float(row[self.reading]) * 1e9:g}")

    def spike(self) -> Rows:
        where = self.rng.randrange(len(self.rows))
        return self._put(lambda row: "999" if row is self.rows[where] else row[self.reading])

    def stopped_early(self) -> Rows:
        return [row for row in self.rows if self.rng.random() < 0.7] or self.rows[:1]

    def turned_round(self) -> Rows:
        return self.rows[::-1]

    def nothing(self) -> Rows:
        return self._put(lambda row: "")

    def _put(self, made: Callable[[list[str]], str]) -> Rows:
        at = self.reading
        return [[*row[:at], made(row), *row[at + 1 :]] for row in self.rows]


WAYS = [name for name in vars(Odd) if not name.startswith("_")]


def made_odd(folder: Path, rng: random.Random) -> list[str]:
    """Makes one to three of a study's tables odd; what was done, by file."""
    done = []
    for path in rng.sample(tables := sorted(folder.glob("*.csv")), rng.randint(1, len(tables))):
        with path.open(newline="", encoding="utf-8") as file:
            header, *rows = list(csv.reader(file))
        for way in rng.sample(WAYS, rng.choice((1, 1, 2))):
            if rows:
                rows = getattr(Odd(rng, header, rows), way)()
                done.append(f"{path.name} {way}")
        with path.open("w", newline="", encoding="utf-8") as file:
            csv.writer(file, lineterminator="\n").writerows([header, *rows])
    return done


def told(folder: Path) -> None:
    """Everything that editions are made of, short of drawing and printing."""
    judgement = judge(load_study(folder, open_workspace(folder.parents[1])))
    for audience in AUDIENCES:
        say_script(judgement, say(judgement, audience))
    compose(judgement)
    assert [d.found for d in defects_of(judgement)] == []


def test_an_odd_table_is_told_or_refused(pytestconfig: pytest.Config, tmp_path: Path) -> None:
    first = pytestconfig.getoption("--first")
    broken, sound = [], 0
    for seed in range(first, first + pytestconfig.getoption("--draws")):
        rng = random.Random(seed)
        folder = tmp_path / str(seed) / "studies" / rng.choice(EXAMPLES)
        shutil.copytree(HOME / "studies" / folder.name, folder)
        done = made_odd(folder, rng)
        try:
            told(folder)
            sound += 1
        except StudyError:
            continue
        except Exception as fault:  # ours, whatever it is
            broken.append(f"{seed} {folder.name} {done}: {type(fault).__name__}: {fault}")
        finally:
            shutil.rmtree(tmp_path / str(seed))
    assert not broken, "\n".join(broken)
    assert sound
