"""What the two README commands install: locked versions, every file by its hash, audited."""

from __future__ import annotations

import hashlib
import importlib.util
import json
import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parents[2]
PYPROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
PROJECT = PYPROJECT["project"]
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


def script(name: str) -> Any:
    """A script that lies beside the lists."""
    spec = importlib.util.spec_from_file_location(name, ROOT / ".locked" / f"{name}.py")
    assert spec and spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def told():
    return script("audited").told


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


def test_a_bill_says_what_it_is_of_and_nothing_that_nobody_looked_up(tmp_path):
    """As its writer leaves it, ours has no version, and no package seems to need another."""
    wheel = tmp_path / "explainer-1.2-py3-none-any.whl"
    wheel.write_bytes(b"a wheel")
    names = [named.name for named in map(Requirement, PROJECT["dependencies"])]
    bill = {
        "metadata": {"component": {"bom-ref": "root", "name": "explainer"}},
        "components": [{"bom-ref": f"line {n}", "name": name.replace(".", "-")}
                       for n, name in enumerate([*names, "needed-by-another"])],
        "dependencies": [{"ref": "root"}, {"ref": "line 0"}],
    }  # fmt: skip
    made = script("billed").completed(bill, "1.2", PROJECT["dependencies"], [wheel])
    ours = made["metadata"]["component"]
    (file,) = ours["externalReferences"]
    assert (ours["version"], file["url"]) == ("1.2", wheel.name)
    assert file["hashes"][0]["content"] == hashlib.sha256(b"a wheel").hexdigest()
    wanted = sorted(f"line {n}" for n in range(len(names)))
    assert made["dependencies"] == [{"ref": "root", "dependsOn": wanted}]
    with pytest.raises(KeyError):
        script("billed").completed(bill, "1.2", ["not-listed>=1"], [wheel])


def test_a_release_is_built_with_what_is_locked():
    assert "--no-isolation" in (ROOT / ".locked" / "release.sh").read_text("utf-8")
    backend = Requirement(*PYPROJECT["build-system"]["requires"])
    assert canonicalize_name(backend.name) in locked("tools.txt")
