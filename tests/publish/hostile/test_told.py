"""Whatever is wrong with a stranger's words is told with its place, and stops nothing else."""

from __future__ import annotations

import json
import shutil

import pytest

from explainer.cli import main

PHRASES = {
    "divided": "{{ 1 / 0 }}", "a type error": "{{ n_items + 'a' }}", "no call": "{{ n_items() }}",
    "endless": "{% macro m() %}{{ m() }}{% endmacro %}{{ m() }}", "no index": "{{ [1][9] }}",
    "no key": "{{ {}['a'] }}", "no filter": "{{ 'a' | nothing }}", "not closed": "{{ 'a",
    "no end": "{% if true %}x", "nobody": "{{ nobody.at.all }}", "a huge power": "{{ 9 ** 99999 }}",
    "a huge product": "{{ 'a' * 10 ** 10 }}", "a class": "{{ ''.__class__ }}",
    "its globals": "{{ self.__init__.__globals__ }}", "a list": "{{ [1, 2] }}",
    "nested": "{{ " + "(" * 3_000 + "1" + ")" * 3_000 + " }}", "a sum": "{{ [1, 'a'] | sort }}",
    "a format": "{{ '%s' % 1 }}", "a turn": "{% for x in 5 %}{% endfor %}",
    "rounded": "{{ 'a' | round }}",
    "long loops": "{% for a in range(9999) %}{% for b in range(9999) %}{% endfor %}{% endfor %}",
    "imported": "{% import 'page.html.j2' as p %}", "included": "{% include '/etc/passwd' %}",
}  # fmt: skip


def run(stranger, capsys, *command: str) -> tuple[int, str, list[str]]:
    """Status, output and lines on standard error of a command on the stranger's workspace."""
    with pytest.raises(SystemExit) as ended:
        main(["--workspace", str(stranger.root), *command])
    said = capsys.readouterr()
    status = ended.value.code
    return (status if isinstance(status, int) else 0), said.out, said.err.splitlines()


@pytest.mark.parametrize("how", ["say", "holds"])
@pytest.mark.parametrize("name", PHRASES)
def test_a_faulty_phrase_is_told_with_file_and_line(stranger, capsys, watched, name, how):
    stranger.write()
    folder = stranger.root / "templates" / "phrases"
    folder.mkdir(parents=True)
    text = PHRASES[name]
    if (name, how) == ("a list", "holds"):
        pytest.skip("a list is as good a condition as any")
    if how == "holds":
        text = text.removeprefix("{{").removesuffix("}}").strip()
    entry = {"label.backed": {"holds": text, "say": "Backed"} if how == "holds" else {
        "states": "nothing", "say": text}}  # fmt: skip
    (folder / "own.yaml").write_text("\n" + json.dumps(entry) + "\n", "utf-8")
    status, _, said = run(stranger, capsys, "weigh", "one")
    assert status == 3, said
    assert said[0].startswith("templates/phrases/own.yaml:2:"), said
    assert not any("fault of explainer" in line or "Traceback" in line for line in said)


def two(stranger, key: str, text: str) -> None:
    """A study with a text, and another, sound one that comes after it."""
    stranger.write()
    shutil.copytree(stranger.folder, stranger.root / "studies" / "two")
    stranger.set(key, text)
    stranger.write()


@pytest.mark.parametrize("key", ["title", "tested.described", "claims.0.plainly"])
def test_a_reference_to_nothing_stops_no_other_study(stranger, capsys, key):
    two(stranger, key, "See {nobody.estimate} there. It is said here, in so many words.")
    status, out, said = run(stranger, capsys, "proof")
    assert status == 3
    assert any(line.startswith("study.yaml:") and "{nobody.estimate}" in line for line in said)
    assert "one: 1 problem" in out and "two: sound" in out


def test_nor_does_it_stop_what_machines_read(stranger, capsys):
    two(stranger, "title", "Is it {nobody.estimate}?")
    status, out, _ = run(stranger, capsys, "proof", "--json")
    told = json.loads(out)
    assert status == 3 and set(told) == {"one", "two"}
    [fault] = [p for p in told["one"] if p["severity"] == "error"]
    assert fault["code"] == "reference" and fault["line"] == 2
    assert not [p for p in told["two"] if p["severity"] == "error"]
