"""The examples, each judged once, and the scripts that made their data."""

from __future__ import annotations

import importlib.util
import io
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from types import ModuleType

import pandas as pd
import pytest

from explainer.claims.judge import judge
from explainer.claims.verdict import Judgement
from explainer.study.load import find_study, load_study

ROOT = Path(__file__).parents[2]


@lru_cache
def _judged(study: str) -> Judgement:
    workspace, folder = find_study(study, ROOT)
    return judge(load_study(folder, workspace))


@lru_cache
def _script(name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, ROOT / f"tests/demo/{name}.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def example() -> Callable[[str], Judgement]:
    """An example study, judged."""
    return _judged


@pytest.fixture(scope="session")
def script() -> Callable[[str], ModuleType]:
    """The script that made an example's data."""
    return _script


@pytest.fixture(scope="session")
def written() -> Callable[[pd.DataFrame, str, str], bool]:
    """Whether a table is, byte for byte, the file of an example."""

    def same(frame: pd.DataFrame, study: str, file: str) -> bool:
        made = io.StringIO()
        frame.to_csv(made, index=False, lineterminator="\n")
        return made.getvalue() == (ROOT / "studies" / study / file).read_text(encoding="utf-8")

    return same
