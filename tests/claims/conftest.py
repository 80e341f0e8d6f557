"""Small studies for the judge stage, written as a person would write them and read from disk."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

import pandas as pd
import pytest

from explainer.claims.judge import judge
from explainer.claims.verdict import Judgement
from explainer.study.load import find_study, load_study

HEAD = """\
title: A test study
question: Does it?
invented: yes
tested: {each: ball}
use: {column: games, term: games rolled, unit: game}
measures:
  x: {term: cover roughness, unit: microinch, repeatability_sd: 0.001, lowest: -1000000}
  y: {term: total hook, unit: board, matters_from: 1}
"""

#: The same for balls that come in models.
IN_MODELS = HEAD.replace("{each: ball}", "{each: ball, group: model}")

Judge = Callable[..., Judgement]


@pytest.fixture
def judged(tmp_path: Path) -> Judge:
    """``judged(claims, frame, …)``: a study with those claims (YAML) and tables, judged."""

    def make(
        claims: str,
        tables: pd.DataFrame | Mapping[str, pd.DataFrame],
        *,
        head: str = HEAD,
        more: str = "",
        table_keys: Mapping[str, str] | None = None,
    ) -> Judgement:
        folder = tmp_path / "studies" / "made-up"
        folder.mkdir(parents=True, exist_ok=True)
        named = {"t": tables} if isinstance(tables, pd.DataFrame) else tables
        keys = table_keys or {}
        lines = ["tables:"]
        for name, frame in named.items():
            frame.to_csv(folder / f"{name}.csv", index=False)
            lines.append(f"  {name}: {{file: {name}.csv, source: made up{keys.get(name, '')}}}")
        text = head + "\n".join(lines) + "\nclaims:\n" + claims + more
        (folder / "study.yaml").write_text(text, encoding="utf-8")
        workspace, place = find_study(str(folder), tmp_path)
        return judge(load_study(place, workspace))

    return make


def claim(test: str, name: str = "c") -> str:
    """One claim with that test."""
    return f"  - {{id: {name}, report_says: It does., plainly: It does., test: {test}}}\n"


@pytest.fixture
def one() -> Callable[..., str]:
    return claim
