"""The JSON Schema says the same as the models, to any editor that reads draft 2020-12."""

from __future__ import annotations

import subprocess
import sys

import jsonschema
import pytest

from explainer.study.describe import _PATTERNS
from explainer.study.description.lifted import LiftedFrom
from explainer.study.description.study import Settings, schema, schema_text
from explainer.study.yaml12 import read


@pytest.fixture(scope="module")
def validator():
    cls = jsonschema.Draft202012Validator
    cls.check_schema(schema())
    return cls(schema())


def described(bench):
    return read((bench / "study.yaml").read_bytes(), "study.yaml").value


def test_a_sound_study_is_valid(validator, bench):
    value = described(bench)
    value["stated"][0]["value"] = "71.40"  # an editor sees the number; we keep the text
    assert [e.message for e in validator.iter_errors(value)] == []


@pytest.mark.parametrize(
    "change",
    [
        lambda v: v.update(qestion="x"),
        lambda v: v.pop("title"),
        lambda v: v["measures"]["texture"].update(resolution=-1),
        lambda v: v["claims"][0]["test"].update(kind="chnge"),
        lambda v: v["figures"][0].pop("y"),
        lambda v: v["claims"][0].update(id="Not An Id"),
    ],
    ids=["unknown-key", "missing-key", "negative", "kind", "missing-y", "id"],
)
def test_a_broken_one_is_not(validator, bench, change):
    value = described(bench)
    value["stated"][0]["value"] = "71.40"
    change(value)
    assert list(validator.iter_errors(value))


def test_keys_are_explained():
    text = schema_text()
    assert "smallest change a bowler would notice" in text
    assert '"from"' in text
    assert '"from_"' not in text
    jsonschema.Draft202012Validator.check_schema(schema(Settings))


def test_the_same_on_every_run():
    code = "from explainer.study.description.study import schema_text; print(schema_text(), end='')"
    for seed in ("0", "1"):
        run = subprocess.run(
            [sys.executable, "-c", code],
            check=True, capture_output=True, text=True, env={"PYTHONHASHSEED": seed},
        )  # fmt: skip
        assert run.stdout == schema_text()


def _patterns(said):
    if isinstance(said, dict):
        if isinstance(said.get("pattern"), str):
            yield said["pattern"]
        for inner in said.values():
            yield from _patterns(inner)
    elif isinstance(said, list):
        for inner in said:
            yield from _patterns(inner)


@pytest.mark.parametrize("model", [None, Settings, LiftedFrom])
def test_a_form_that_a_text_must_have_is_told_in_words(model):
    found = set(_patterns(schema(model) if model else schema()))
    assert found
    assert found <= _PATTERNS.keys()
