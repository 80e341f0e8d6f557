"""Seeded mutation of everything a stranger can hand over: nothing may end in a fault of ours.

    python tests/fuzz.py --runs 10000 --seed 1

Each run spoils one file of a small workspace (a description, a CSV file, glossary, phrases, a
template, settings, the record of a published site, an entry of the cache) in one to four places,
and gives it to the command that reads it, all in this one process.  What must hold each time: an
exit status that is promised (0, 2, 3, 4), no traceback, no "fault of explainer", nothing written
beside the site, at most so many seconds of processor and so much memory, and, where a study or a
workspace is refused, a first message that begins with its place.  What broke is printed with the
number that makes it again (``--only NUMBER``) and is kept in ``--keep FOLDER``.

A small run is part of the tests (``tests/publish/hostile/test_fuzz.py``).
"""

from __future__ import annotations

import argparse
import contextlib
import io
import json
import os
import random
import re
import shutil
import signal
import sys
import tempfile
import time
import warnings
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))

#: Seconds of processor one run may take, and megabytes the whole process may grow to.
SECONDS, MEGABYTES = 30.0, 1_000
STATUSES = (0, 2, 3, 4)
#: The place with which a message about a stranger's file begins.
PLACE = re.compile(
    r"^(warning: )?[^:\n]{1,400}(:\d+:\d+: |: row \d+(, column .{1,400}?)?: )(warning: )?found "
)
#: The page that a site's own check names.
PAGE = re.compile(r"^explainer: [\w./-]+\.html: ")

STUDY = """\
title: Covers and games
question: Does a cover wear?
invented: yes
topic: wear
intro: "It fell by {falls.size}, see [[cover roughness]] and **this**."
report: {title: Worn covers, publisher: Brackenfold Test Bench, date: 2026-02-11, pages: 12}
tested: {each: ball, group: model, count: 6, described: Six balls.}
use: {column: games, term: games rolled, unit: game}
measures:
  texture: {term: cover roughness, unit: microinch, resolution: 1, repeatability_sd: 0.8,
    matters_from: 6, more_is: rougher, less_is: smoother}
  hook: {term: total hook, unit: board, matters_from: 1}
tables:
  readings: {file: readings.csv, source: "Table 2"}
figures:
  - {id: over-play, kind: over-use, table: readings, y: texture, say: Look here.}
  - {id: both, kind: scatter, table: readings, x: texture, y: hook}
  - {id: models, kind: groups, table: readings, y: texture, by: model, at: 0}
claims:
  - id: falls
    report_says: Texture fell.
    page: 6
    plainly: They go smooth.
    key: yes
    figure: over-play
    test: {kind: change, measure: texture, from: 0, to: 60, direction: down}
  - {id: apart, report_says: The models differ.,
     test: {kind: difference, measure: texture, by: model, a: Plover, b: Teasel, at: 0}}
  - {id: beyond, report_says: And so on for ever., test: {kind: not-testable,
    because: nobody waited}}
stated:
  - {what: mean at the start, where: Table 2, value: "75.0", compute: {mean: texture, at: 0}}
rule:
  change: Covers must be rough.
  in_force: 2026-09-01
  limit: {measure: texture, at_least: 40}
  reasons: [{claim: falls, therefore: so it matters}, beyond]
questions: [{ask: And then?, settled_by: more games}]
advice: [{do: Count your games., because: [falls]}]
corrections: [{date: 2026-03-01, what: A slip.}]
"""
GLOSSARY = """\
- term: lane soap
  plainly: what the lanes are washed with
  explained: It takes the oil off. It dries before play.
  source: {kind: common-practice, name: common practice}
  also: [wash of the lanes]
- term: cover grease
  plainly: what lies on the ball
  explained: It is wiped off after a game.
  source: {kind: common-practice, name: common practice}
  see: [lane soap]
"""
PHRASES = """\
change.backed:
  - "Down it went{% if size is defined %}, by {{ size }}{% endif %}."
  - holds: n_items > 3
    say: "All {{ n_items }} were looked at."
label.backed: "Backed"
states: {nothing: [label]}
"""
SETTINGS = """\
title: Explained
base_address: https://example.org/lanes
paper: a4
sheet_sides: 2
large_print: no
units_first: metric
stills: light
speaking_rate: 140
audience: league
"""
#: What an attacker's or a tired person's hand may put anywhere.
WEIRD = [
    "", "~", "null", "yes", "0", "-0", "-1", "1", "60", "1e308", "-1e308", "1.7e308", "5e-324",
    "1e999", ".inf", "-.inf", ".nan", "0x10", "1_000", "9" * 400, "0.1", "1e-9", "٣٤", "１２", "½",
    "²", "[]", "{}", "[1, 2]", "[1, 2, 3]", "[[[]]]", "{a: b}", "'", '"', "x" * 5_000, "é" * 200,
    "\u202eabc", "\u200b", "\ufeff", "\x00", "\x07", "\x1b[31m", "\x85", "\u2028", "\ud800",
    "\U0001f3b3", "=1+1", "{falls.estimate}", "{falls.nothing}", "{nobody.n}", "[[nobody]]",
    "[[a = b]]", "**", "<b>", "&#0;", "{{ 7 * 7 }}", "{% include 'x' %}", "../../x",
    "/etc/passwd", "C:\\x", "CON", "a/b", "- ", "? ", ": ", "!!int x", "&a ", "*a", "<<: *a",
    "---", "...", "%YAML 1.1", "# ", "\t", "|", ">", "texture", "hook", "readings", "falls",
    "over-play", "games", "ball", "model", "down", "up", "change", "no-change", "trend", "limit",
    "gauge", "2026-02-30", "9999-12-31", "microinch", "foot", "degF", "Shore D", "a" * 130,
]  # fmt: skip
NUMBERS = [
    "0", "-0", "1", "-1", "60", "30", "1e14", "-1e14", "1e-14", "0.1", "70", "70.0001", "999999",
]  # fmt: skip
JINJA = [
    "{{ 1 / 0 }}", "{{ nobody }}", "{{ size.__class__ }}", "{{ 'a' * 10 ** 9 }}",
    "{% for x in range(10 ** 9) %}{% endfor %}", "{{ 'a' | nothing }}",
    "{{ [1] | map(attribute='__class__') | list }}",
    "{% macro m() %}{{ m() }}{% endmacro %}{{ m() }}", "{% import 'page.html.j2' as x %}",
    "{% include 'page.html.j2' %}", "{{ n_items + 'a' }}", "{{ n_items() }}", "{{ {}['a'] }}",
    "{{ article }}", "{{ article.claims[99] }}", "{% set x = x %}", "{% block a %}{% endblock %}",
    "{{ 'a'.format(1) }}", "{{ '%s' % 1 }}", "{{ 2 ** 9999 }}", "{{ range(3)[9] }}", "{{ self }}",
    "{{ loop }}", "{{ 'x' | join(',') }}", "{{ none.x }}", "{{ true + true }}", "{% raw %}",
    "{% endif %}", "{{", "}}", "{%", "{#", "{{ namespace(a=1).b }}", "{{ 'a' ~ [1] }}",
    "{{ 1 | round(400) }}", "{{ 'a' | int(base=99) }}", "{{ [3, 'a'] | sort }}",
    "{{ 5 | items }}", "{{ dict(a=1).items()() }}", "{{ ['a'] | first | last | length }}",
    "{{ 1e308 * 10 }}", "{{ -5 // 0.0 }}", "{{ 'a' < 1 }}", "{% if nobody %}x{% endif %}",
    "{{ caller() }}", "{{ \ud800 }}",
]  # fmt: skip

Chance = random.Random


def spoilt_text(text: str, chance: Chance) -> str:
    """``text`` with one of its characters, words, values or lines turned into something else."""
    lines = text.splitlines(keepends=True)
    at = chance.randrange(len(text) + 1)
    row = chance.randrange(len(lines)) if lines else 0
    match chance.randrange(13):
        case 0:
            return text[:at] + chance.choice(WEIRD) + text[at:]
        case 1:
            return text[:at] + text[at + chance.randint(1, 40) :]
        case 2:
            sign = chr(chance.choice((0, 9, 34, 39, 58, 91, 123, 127, 0x2028, 0xFFFD)))
            return text[:at] + sign + text[at + 1 :]
        case 3 if lines:
            return "".join((*lines[:row], *lines[row + 1 :]))
        case 4 if lines:
            return "".join((*lines[: row + 1], *lines[row:]))
        case 5 if lines:
            return "".join((*lines[:row], " " * chance.randint(1, 6), *lines[row:]))
        case 6 if lines:
            other = chance.randrange(len(lines))
            lines[row], lines[other] = lines[other], lines[row]
            return "".join(lines)
        case 7:
            return text[:at]
        case 8:
            piece = text[at : at + chance.randint(1, 60)]
            return text[:at] + piece * chance.choice((2, 50, 2_000)) + text[at:]
    return _another_value(text, chance)


def _another_value(text: str, chance: Chance) -> str:
    """A value of a key, or an entry of a list, of another sort."""
    places = list(re.finditer(r"(?<=[:,\[{] )[^,\[\]{}\n:]+", text))
    if not places:
        return text + chance.choice(WEIRD)
    place = chance.choice(places)
    if place[0].replace(".", "").isdigit() and chance.random() < 0.6:
        return text[: place.start()] + chance.choice(NUMBERS) + text[place.end() :]
    value = chance.choice((chance.choice(WEIRD), chance.choice(places)[0]))
    return text[: place.start()] + value + text[place.end() :]


def spoilt_template(text: str, chance: Chance) -> str:
    """Jinja put in or cut; else as any text."""
    if chance.random() < 0.5:
        at = chance.randrange(len(text) + 1)
        return text[:at] + chance.choice(JINJA) + text[at:]
    return spoilt_text(text, chance)


def spoilt_csv(text: str, chance: Chance) -> str:
    """One cell another, a column gone, quotes and ends of lines turned; else as any text."""
    rows = [line.split(",") for line in text.splitlines()]
    match chance.randrange(6):
        case 0 | 1 | 2:
            row = chance.choice(rows)
            at = chance.randrange(len(row))
            sound = at > 1 and chance.random() < 0.7  # numbers that are read: what comes next?
            row[at] = chance.choice(NUMBERS if sound else WEIRD)
        case 3:
            at = chance.randrange(len(rows[0]))
            rows = [row[:at] + row[at + 1 :] for row in rows]
        case 4:
            ends = chance.choice(("\r", "\r\n", "\n\r", "\x0b", "\n\n"))
            return ends.join(",".join(row) for row in rows)
        case _:
            return spoilt_text(text, chance)
    return "\n".join(",".join(row) for row in rows) + "\n"


def spoilt_json(text: str, chance: Chance) -> str:
    """A value anywhere in it another; else as any text."""
    if chance.random() < 0.3:
        return spoilt_text(text, chance)
    said = json.loads(text)
    blocks = list(_blocks(said))
    block = chance.choice(blocks)
    keys = list(block) if isinstance(block, dict) else list(range(len(block)))
    if not keys:
        return spoilt_text(text, chance)
    key = chance.choice(keys)
    odd = (None, True, -1, 10**400, 1e308, [], {}, [[]], "../x", chance.choice(WEIRD), block)
    new = chance.choice(odd)
    if isinstance(block, dict) and chance.random() < 0.3:
        block[chance.choice((*WEIRD, "../x", "a" * 90))] = block.pop(key)
    elif chance.random() < 0.2:
        del block[key]
    else:
        block[key] = json.loads(json.dumps(new)) if new is block else new
    return json.dumps(said)


def _blocks(said: Any) -> Iterator[Any]:
    if isinstance(said, dict | list):
        if said:
            yield said
        for inner in said.values() if isinstance(said, dict) else said:
            yield from _blocks(inner)


@dataclass
class Target:
    """A kind of file: what it may be, how it is spoilt, and the commands that read it."""

    name: str
    weight: int
    files: tuple[str, ...]
    spoil: Callable[[str, Chance], str]
    commands: tuple[tuple[str, ...], ...]


PROOF, WEIGH = ("proof", "one"), ("weigh", "one")
PUBLISH = ("publish", "one", "-q", "--workers", "1")
TARGETS = (
    Target("description", 18, ("studies/one/study.yaml",), spoilt_text, (PROOF, WEIGH, WEIGH)),
    Target("rows", 14, ("studies/one/readings.csv",), spoilt_csv, (PROOF, WEIGH, WEIGH)),
    Target("glossary", 11, ("glossary/ours.yaml",), spoilt_text, (PROOF, ("define", "grease"))),
    Target("phrases", 13, ("templates/phrases/claims.yaml",), spoilt_template,
           (PROOF, PROOF, WEIGH)),
    Target("templates", 14,
           ("templates/page.html.j2", "templates/sections/claims.html.j2", "templates/site.css",
            "templates/everyday.yaml"), spoilt_template, (PROOF, PROOF, PUBLISH)),
    Target("settings", 10, ("studies/settings.yaml",), spoilt_text, (PROOF, WEIGH)),
    Target("record", 10, ("site/.explainer.json",), spoilt_json, (PUBLISH,)),
    Target("cache", 10, ("cache",), spoilt_json, (PUBLISH,)),
)  # fmt: skip


class Bench:
    """A sound workspace, a site of it, and a folder where they may be spoilt."""

    def __init__(self, place: Path) -> None:
        self.sound, self.home = place / "sound", place / "home"
        _workspace(self.sound)
        self.clock = time.time_ns()
        self._published()

    def _published(self) -> None:
        """Publishes once with the pages alone, as every later run does."""
        from explainer.publish import site
        from explainer.publish.rehearse import quick

        site.from_folder = quick  # type: ignore[attr-defined]
        self.fresh()
        status, said = run(self.home, PUBLISH)
        assert status == 0, said
        for part in ("site", "cache"):
            shutil.copytree(self.home / part, self.sound / part)

    def fresh(self) -> None:
        """The sound workspace again, as files that nobody has read yet."""
        shutil.rmtree(self.home, ignore_errors=True)
        shutil.copytree(self.sound, self.home)

    def spoil(self, target: Target, chance: Chance) -> Path:
        """One file of the workspace, spoilt; its path."""
        path = self.home / chance.choice(target.files)
        if target.name == "cache":
            path = chance.choice(sorted(path.rglob("*.json")))
        ours = ROOT / path.relative_to(self.home)
        text = (path if path.exists() else ours).read_text("utf-8")
        if target.name == "phrases" and chance.random() < 0.7:
            text = PHRASES
        seal, _, body = text.partition("\n") if target.name == "cache" else ("", "", text)
        for _ in range(chance.choice((1, 1, 1, 2, 4))):
            with contextlib.suppress(ValueError, RecursionError):  # no JSON any more, or endless
                body = target.spoil(body or "x", chance)
        data = body.encode("utf-8", "surrogatepass")
        if seal:
            new = self.sealed(path, data) if chance.random() < 0.8 else seal.encode()
            data = new + b"\n" + data
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
        self.clock += 1_000_000_000  # what was read is remembered by this
        os.utime(path, ns=(self.clock, self.clock))
        return path

    def sealed(self, path: Path, said: bytes) -> bytes:
        """The hash that goes with an entry: whoever can write there can work it out."""
        from explainer.publish.build_cache import BuildCache

        return BuildCache(self.home, self.home / "site")._seal(path.stem, said)


def _workspace(root: Path) -> None:
    folder = root / "studies" / "one"
    folder.mkdir(parents=True)
    (folder / "study.yaml").write_text(STUDY, "utf-8")
    lines = ["ball,model,games,texture,hook"]
    for n in range(6):
        for games, lost in ((0, 0), (30, 14), (60, 19)):
            reading = 70 + 2 * n - lost - (n * games) % 7 / 10
            model = "Plover" if n < 3 else "Teasel"
            lines.append(f"B{n},{model},{games},{reading},{12 + reading / 20 + n % 3 / 5:.1f}")
    (folder / "readings.csv").write_text("\n".join(lines) + "\n", "utf-8")
    (root / "glossary").mkdir()
    (root / "glossary" / "ours.yaml").write_text(GLOSSARY, "utf-8")
    (root / "templates" / "phrases").mkdir(parents=True)
    (root / "studies" / "settings.yaml").write_text(SETTINGS, "utf-8")


class TooLongError(BaseException):
    """A run took more than its seconds; no handler of ours may swallow it."""


def run(home: Path, command: tuple[str, ...]) -> tuple[int, list[str]]:
    """The command in this process: its status and its lines on standard error."""
    from explainer.cli import main

    out, err = io.StringIO(), io.StringIO()
    os.environ["EXPLAINER_CACHE"] = str(home / "cache")
    status: object = 0
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            main(["--workspace", str(home), *command])
        except SystemExit as end:
            status = end.code
    return (status if isinstance(status, int) else 0), err.getvalue().splitlines()


def broken_rule(home: Path, status: int, said: list[str], before: set[str]) -> str:
    """Which of the promises a run broke; empty where none."""
    text = "\n".join(said)
    if status not in STATUSES:
        return f"status {status}"
    if "Traceback" in text or "a fault of explainer" in text:
        return "a fault of ours"
    if status and not said:
        return f"status {status} without a word"
    if status == 3 and not PLACE.match(said[0]):
        return "no place"
    if status == 4 and str(home) not in said[0] and not PAGE.match(said[0]):
        return "no file"
    if any(not line.isprintable() for line in said):
        return "a line that a terminal would obey"
    if any(len(line) > 4_000 for line in said):
        return "a line without end"
    if {p.name for p in home.parent.iterdir()} - before:
        return "written beside the workspace"
    return ""


def _peak() -> float:
    """Megabytes that this program held at most; what ran before it in its process, a test runner
    for one, is not among them, as it is in ``ru_maxrss``."""
    status = Path("/proc/self/status").read_text()
    return int(re.search(r"VmHWM:\s+(\d+) kB", status)[1]) / 1024  # type: ignore[index]


@dataclass
class Tally:
    """What came of all runs."""

    statuses: Counter[tuple[str, int]] = field(default_factory=Counter)
    files: Counter[tuple[str, str]] = field(default_factory=Counter)
    """How often each file was spoilt, by the target it belongs to."""
    broken: list[str] = field(default_factory=list)
    slowest: float = 0.0

    def lines(self) -> Iterator[str]:
        for target in TARGETS:
            each = {s: n for (name, s), n in sorted(self.statuses.items()) if name == target.name}
            yield f"{target.name:12} {sum(each.values()):6} runs, by status: {each}"
            files = {f: n for (name, f), n in sorted(self.files.items()) if name == target.name}
            if len(files) > 1:
                yield "".ljust(20) + ", ".join(f"{name} {n}" for name, n in files.items())
        peak = _peak()
        yield f"slowest {self.slowest:.1f} s of processor, peak {peak:.0f} MB"
        yield f"{sum(self.statuses.values())} runs, {len(self.broken)} broken"


def one_run(bench: Bench, number: int, seed: int, tally: Tally, keep: Path | None) -> None:
    """One spoilt file and one command; what it breaks goes into the tally."""
    chance = random.Random(f"{seed} {number}")
    [target] = chance.choices(TARGETS, [t.weight for t in TARGETS])
    bench.fresh()
    path = bench.spoil(target, chance)
    command, before = chance.choice(target.commands), {p.name for p in bench.home.parent.iterdir()}
    began = time.process_time()
    signal.setitimer(signal.ITIMER_PROF, SECONDS)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            status, said = run(bench.home, command)
        broke = broken_rule(bench.home, status, said, before)
    except TooLongError:
        status, said, broke = -1, [], f"more than {SECONDS:g} s"
    except BaseException as fault:  # any at all is what is looked for
        status, said, broke = -2, [], f"{type(fault).__name__}: {fault}"
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
    tally.slowest = max(tally.slowest, time.process_time() - began)
    tally.statuses[target.name, status] += 1
    tally.files[target.name, "entries" if target.name == "cache" else path.name] += 1
    peak = _peak()
    if peak > MEGABYTES and not broke:
        broke = f"{peak:.0f} MB"
    if broke:
        where = path.relative_to(bench.home)
        tally.broken.append(f"{number}: {where}: {' '.join(command)}: {broke}: {said[:2]}")
        if keep:
            keep.mkdir(parents=True, exist_ok=True)
            shutil.copy2(path, keep / f"{number}-{path.name}")


def fuzz(runs: Iterator[int], seed: int, keep: Path | None = None,
         tell: Callable[[str], None] = print) -> Tally:  # fmt: skip
    """All of the runs, in this process."""

    def too_long(number: int, frame: object) -> None:
        raise TooLongError

    tally = Tally()
    before = signal.signal(signal.SIGPROF, too_long)
    try:
        with tempfile.TemporaryDirectory(prefix="explainer-fuzz-") as place:
            bench = Bench(Path(place))
            for number in runs:
                told = len(tally.broken)
                one_run(bench, number, seed, tally, keep)
                for line in tally.broken[told:]:
                    tell(line)
                if (done := sum(tally.statuses.values())) % 500 == 0:
                    tell(f"{done} runs, {len(tally.broken)} broken so far")
    finally:
        signal.signal(signal.SIGPROF, before)
    return tally


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--runs", type=int, default=300)
    parser.add_argument("--first", type=int, default=0, help="the number of the first run")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", type=int, help="the number of one run")
    parser.add_argument("--keep", type=Path, help="where files that broke a promise are kept")
    given = parser.parse_args()
    runs = iter(range(given.first, given.first + given.runs))
    if given.only is not None:
        runs = iter((given.only,))
    tally = fuzz(runs, given.seed, given.keep, partial(print, flush=True))
    for line in tally.lines():
        print(line)
    return 1 if tally.broken else 0


if __name__ == "__main__":
    sys.exit(main())
