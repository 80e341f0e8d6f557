"""What the two README commands install: locked versions, every file by its hash, audited."""

from __future__ import annotations

import importlib.util
import json
import re
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
EXTRAS = PROJECT["optional-dependencies"]


def locked(name: str) -> dict[str, tuple[str, int]]:
    """Version and number of hashes of each package of a list."""
    text = (ROOT / ".locked" / name).read_text("utf-8").replace("\\\n", " ")
    found: dict[str, tuple[str, int]] = {}
    for line in text.splitlines():
        matched = re.match(r"([\w.-]+)(?:\[[\w,-]+\])?==([\w.+!-]+)", line)
        assert matched, line  # nothing but versions: no address, no file of this machine
        assert "://" not in line and "--index" not in line
        found[canonicalize_name(matched[1])] = (matched[2], line.count("--hash=sha256:"))
    return found


@pytest.mark.parametrize(("name", "wanted"), [
    ("publish.txt", PROJECT["dependencies"]),
    ("test.txt", [*PROJECT["dependencies"], *EXTRAS["test"]]),
    ("publish.txt", (ROOT / ".locked" / "build.in").read_text().splitlines()),
    ("tools.txt", (ROOT / ".locked" / "tools.in").read_text().splitlines()),
])  # fmt: skip
def test_all_that_is_asked_for_is_locked_as_asked(name, wanted):
    """Fails where pyproject.toml asks for something else than was locked: sh .locked/renew.sh."""
    have = locked(name)
    for asked in map(Requirement, wanted):
        version, hashes = have.get(canonicalize_name(asked.name), ("", 0))
        assert version, f"{asked.name} is not in {name}: sh .locked/renew.sh"
        assert asked.specifier.contains(version), f"{asked}: {version} in {name}"
        assert hashes, f"{asked.name}: no hash in {name}"


def test_tests_run_what_is_published_with():
    test = locked("test.txt")
    for name, (version, hashes) in locked("publish.txt").items():
        assert test[name] == (version, hashes) and hashes


def test_both_commands_install_by_hash_and_nothing_beside():
    script = (ROOT / ".prepare.sh").read_text("utf-8")
    installs = re.findall(r"pip install ([^|]*)", script.replace("\\\n", " "))
    assert installs and all("--require-hashes" in i or "--no-deps" in i for i in installs)


@pytest.fixture(scope="module")
def told():
    spec = importlib.util.spec_from_file_location("audited", ROOT / ".locked" / "audited.py")
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.told


FAULT = {"id": "XX-2026-1", "fix_versions": ["2.1", "3.0"]}


@pytest.mark.parametrize(("packages", "status", "words"), [
    ([{"name": "a", "version": "1", "vulns": []}], 0, "1 of 1 packages looked up"),
    ([{"name": "a", "version": "1", "vulns": [FAULT]}], 1, "a 1: XX-2026-1, mended in 2.1, 3.0"),
    ([{"name": "a", "version": "1", "vulns": [{"id": "X", "fix_versions": []}]}], 1,
     "mended in no version yet"),
    ([{"name": "a", "skip_reason": "x"}], 0, "the registry says nothing about the other 1"),
    (None, 0, "not looked for"),
])  # fmt: skip
def test_an_audit_fails_for_what_is_known_and_says_what_is_not(told, packages, status, words):
    text = "" if packages is None else json.dumps({"dependencies": packages, "fixes": []})
    lines, ended = told(text)
    assert ended == status and any(words in line for line in lines)
