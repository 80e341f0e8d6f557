"""Runs commands in processes of their own and says what they cost: time, processor, memory.

Imports are part of what a user waits for, so nothing is timed inside this process.  Wall time
depends on who else uses the machine; processor time does far less, so ratios are given in both.
Commands that are compared are run in turn, not one after the other.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class Cost:
    """Of one run: seconds on the clock, seconds of processor, peak memory in MB."""

    wall: float
    processor: float
    peak: float


def run(command: Sequence[str], **environment: str) -> Cost:
    """One run, its children included; a run that fails ends the benchmark with what it said."""
    start = time.perf_counter()
    with subprocess.Popen(
        command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE,
        env={**os.environ, **environment},
    ) as process:  # fmt: skip
        assert process.stderr is not None
        said = process.stderr.read().decode()
        _, status, used = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        sys.exit(f"{' '.join(command)}\n{said}")
    return Cost(time.perf_counter() - start, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)


def medians(commands: Mapping[str, Sequence[str]], times: int = 5) -> dict[str, Cost]:
    """The median cost of each command over ``times`` rounds, after one that warms the disk."""
    for command in commands.values():
        run(command)
    rounds = [{name: run(command) for name, command in commands.items()} for _ in range(times)]
    return {
        name: Cost(
            *(
                statistics.median(getattr(r[name], field) for r in rounds)
                for field in ("wall", "processor", "peak")
            )
        )
        for name in commands
    }


def report(costs: Mapping[str, Cost]) -> None:
    """A line for each command."""
    print(f"{'':44}{'clock':>9}{'processor':>12}{'peak':>10}")
    for name, cost in costs.items():
        print(f"{name:44}{cost.wall:8.2f}s{cost.processor:11.2f}s{cost.peak:8.0f}MB")


def ratio(what: str, one: float, other: float, aim: float) -> None:
    """A ratio beside what it should be."""
    print(f"{what:44}{one / other:9.2f}    (aim: at most {aim:g})")
