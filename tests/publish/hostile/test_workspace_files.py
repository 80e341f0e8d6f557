"""Glossary, phrases, templates, styles and settings of a workspace are a stranger's files.

Read within bounds and inside the workspace only: a pipe does not hang, a device is not swallowed, a
link out of it is neither published nor quoted, and templates see plain data.
"""

from __future__ import annotations

import os
import resource
import shutil
import signal
import subprocess
from dataclasses import dataclass, field, fields, is_dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

import jinja2
import numpy as np
import pytest
from markupsafe import Markup
from started import started

from explainer.editions.templates import environment, safe_source, template_faults
from explainer.errors import WorkspaceError
from explainer.study.description.study import Settings
from explainer.study.load import open_workspace
from explainer.words.glossary.entries import load_glossary
from explainer.words.glossary.linker import TermLinker
from explainer.words.phrases.renderer import load_phrases
from explainer.words.phrases.sandbox import Concealed
from explainer.words.quantity.everyday import load_everyday
from explainer.words.sentence import Figures, Sentence

ROOT = Path(__file__).parents[3]
SECRET = "nobody-may-read-this-4711"

#: Every kind of file a workspace may bring beside its studies, and where it lies.
FILES = (
    "glossary/ours.yaml", "templates/phrases/claims.yaml", "templates/phrases/more.yaml",
    "templates/everyday.yaml", "templates/page.html.j2", "templates/sections/answer.html.j2",
    "templates/parts/macros.html.j2", "templates/handout.html.j2", "templates/rule-card.html.j2",
    "templates/script.md.j2", "templates/index.html.j2", "templates/glossary.html.j2",
    "templates/topic.html.j2", "templates/site.css", "templates/page.js", "templates/print.css",
    "studies/settings.yaml",
)  # fmt: skip


@pytest.fixture
def workspace(tmp_path: Path) -> Path:
    """A workspace of one small study with a rule, and a secret beside it."""
    study = tmp_path / "home" / "studies" / "small"
    study.mkdir(parents=True)
    rows = "\n".join(f"B{i},{g},{70 - g / 3 + i}" for i in range(5) for g in (0, 10, 60))
    (study / "t.csv").write_text(f"ball,games,texture\n{rows}\n")
    (study / "study.yaml").write_text(
        "title: A small study\nquestion: Does it go smooth?\ninvented: true\n"
        "tested: {each: ball, count: 5}\nuse: {column: games, term: games rolled, unit: game}\n"
        "measures:\n  texture: {unit: microinch, matters_from: 6, more_is: rougher, "
        "less_is: smoother}\ntables:\n  t: {file: t.csv, source: page 1}\n"
        "figures:\n  - {id: over, kind: over-use, table: t, y: texture}\n"
        "claims:\n  - {id: falls, report_says: It fell., plainly: It fell., figure: over,\n"
        "     test: {kind: change, measure: texture, from: 0, to: 60, direction: down}}\n"
        "rule: {change: A made-up rule., reasons: [falls]}\ntopic: smooth\n"
    )
    (tmp_path / "secret").write_text(f"{SECRET}: [\n")
    return tmp_path / "home"


def run(home: Path, *command: str, seconds: int = 60) -> subprocess.CompletedProcess[str]:
    """A command on the workspace, in a process with bounded memory and ``seconds`` of processor.

    A pipe that is waited on takes none: that ends by the clock, which others slow down.
    """
    return started(
        "--workspace", str(home), *command, cwd=home, timeout=10 * seconds,
        limits={resource.RLIMIT_AS: 4 << 30, resource.RLIMIT_CPU: seconds},
    )  # fmt: skip


def published(home: Path) -> str:
    """Everything in the site, as text."""
    files = [p for p in (home / "site").rglob("*") if p.is_file() and p.suffix != ".png"]
    return "\n".join(p.read_bytes().decode("utf-8", "replace") for p in files)


def planted(home: Path, name: str, how: str) -> None:
    path = home / name
    path.parent.mkdir(parents=True, exist_ok=True)
    if how == "pipe":
        os.mkfifo(path)
    elif how == "device":
        path.symlink_to("/dev/zero")
    elif how == "outside":
        path.symlink_to(home.parent / "secret")
    elif how == "folder":
        path.mkdir()
    elif how == "huge":
        with path.open("wb") as file:
            file.truncate(3 << 30)
    elif how == "nowhere":
        path.symlink_to(home / "not-there")


def read(home: Path, name: str) -> None:
    """Reads the file as publishing does: settings, glossary, phrases, table, template or style."""
    opened = open_workspace(home)
    folders = opened.template_folders
    inner = name.partition("/")[2]
    if name.startswith("glossary"):
        load_glossary(opened.glossary_folders)
    elif "phrases" in name:
        load_phrases(folders)
    elif name.endswith("everyday.yaml"):
        load_everyday(folders)
    elif name.endswith(".j2"):
        with template_faults(folders):
            environment(folders).get_template(inner)
    elif name.endswith((".css", ".js")):
        safe_source(folders, inner)


@pytest.mark.parametrize("how", ["pipe", "device", "outside", "folder", "huge", "nowhere"])
@pytest.mark.parametrize("name", FILES)
def test_a_file_that_is_no_plain_file_of_the_workspace_is_refused(
    workspace: Path, name: str, how: str
) -> None:
    planted(workspace, name, how)
    signal.alarm(20)  # a pipe would be waited for without end
    try:
        with pytest.raises(WorkspaceError) as refused:
            read(workspace, name)
    finally:
        signal.alarm(0)
    said = "\n".join(map(str, refused.value.problems))
    # Its place, by the file's own name; what a file outside holds is never said.
    assert Path(name).name in said and SECRET not in said
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss < 3_000_000  # kilobytes


@pytest.mark.parametrize(
    ("name", "how"),
    [("glossary/ours.yaml", "pipe"), ("templates/page.html.j2", "device"),
     ("templates/site.css", "outside"), ("templates/phrases/claims.yaml", "outside")],
)  # fmt: skip
def test_publishing_says_so_and_shows_nothing_of_it(workspace: Path, name: str, how: str) -> None:
    planted(workspace, name, how)
    done = run(workspace, "publish", "--edition", "page")
    said = done.stdout + done.stderr
    assert done.returncode == 3, said
    assert "Traceback" not in said and "a fault of explainer" not in said
    assert Path(name).name in said and SECRET not in said + published(workspace)


@pytest.mark.parametrize("what", ["glossary", "templates", "templates/phrases"])
def test_a_folder_that_leads_out_of_the_workspace_is_refused(workspace: Path, what: str) -> None:
    outside = workspace.parent / "outside"
    outside.mkdir()
    (outside / "claims.yaml").write_text(f"change.backed: {SECRET}\n")
    (outside / "site.css").write_text(f"/* {SECRET} */\n")
    (outside / "page.html.j2").write_text(SECRET)
    (workspace / what).parent.mkdir(exist_ok=True)
    (workspace / what).symlink_to(outside)
    done = run(workspace, "publish", "--edition", "page")
    assert done.returncode == 3, done.stdout + done.stderr
    assert SECRET not in done.stdout + done.stderr + published(workspace)


def test_not_even_the_names_of_what_lies_outside_are_told(workspace: Path) -> None:
    outside = workspace.parent / "outside"
    outside.mkdir()
    (outside / f"{SECRET}.yaml").write_text("a: b\n")
    (workspace / "templates").symlink_to(outside)
    done = run(workspace, "publish", "--edition", "page")
    assert done.returncode != 0, done.stdout
    assert "`templates`, a link out of the workspace" in done.stderr
    assert SECRET not in done.stdout + done.stderr + published(workspace)


HOSTILE = {
    "settings unpickled": "{{ settings.parse_raw('x', content_type='pickle', allow_pickle=true) }}",
    "settings' class": "{{ settings.__class__.__mro__ }}",
    "ours by import": "{{ article.__class__.__init__.__globals__ }}",
    "an array to a file": "{% for s in shown %}{{ s.plate.tofile('owned') }}{% endfor %}",
    "endless": "{% macro m() %}{{ m() }}{% endmacro %}{{ m() }}",
    "product": "{{ 'a' * 10 ** 12 }}",
    "doubling": "{% set ns = namespace(t='ab') %}{% for i in range(99) %}"
    "{% set ns.t = ns.t ~ ns.t %}{% endfor %}",
    "nested loops": "{% for a in range(9999) %}{% for b in range(9999) %}{% endfor %}{% endfor %}",
    "loops within loops": "{% for a in [1] %}" * 60 + "{% endfor %}" * 60,
    "itself": "{% include 'NAME' %}{% include 'NAME' %}",
    "a file": "{% include '../../secret' %}", "nobody": "{{ nobody.at.all }}", "open": "{{ 'a",
    "linker": "{{ linker.glossary }}", "concealed": "{{ linker._held }}", "divided": "{{ 1 / 0 }}",
}  # fmt: skip


@pytest.mark.parametrize("attack", HOSTILE, ids=str)
def test_a_hostile_template_is_refused_with_file_and_line(workspace: Path, attack: str) -> None:
    path = workspace / "templates" / "page.html.j2"
    path.parent.mkdir()
    path.write_text("<p>first line</p>\n" + HOSTILE[attack].replace("NAME", path.name) + "\n")
    folders = open_workspace(workspace).template_folders
    linker = TermLinker(load_glossary((ROOT / "glossary",)), lambda entry: "#x")
    known = {"linker": Concealed(linker), "medium": "screen", "article": Held(), "shown": (Held(),),
             "settings": Settings()}  # fmt: skip
    with pytest.raises(WorkspaceError) as refused, template_faults(folders):
        environment(folders).get_template("page.html.j2").render(known)
    (problem,) = refused.value.problems
    assert problem.file.startswith("templates/") and "first line" not in str(problem)
    assert not (workspace / "owned").exists()


@pytest.mark.parametrize(
    ("name", "attack"),
    [("page.html.j2", "settings unpickled"), ("script.md.j2", "an array to a file"),
     ("index.html.j2", "endless")],
)  # fmt: skip
def test_publishing_ends_with_the_place(workspace: Path, name: str, attack: str) -> None:
    (workspace / "templates").mkdir()
    (workspace / "templates" / name).write_text("<p>first line</p>\n" + HOSTILE[attack] + "\n")
    edition = "script" if name.startswith("script") else "page"
    done = run(workspace, "publish", "--edition", edition)
    said = done.stdout + done.stderr
    assert done.returncode == 3 and f"templates/{name}:2" in said, said
    assert "Traceback" not in said and "a fault of explainer" not in said
    assert not (workspace / "owned").exists()


@dataclass(frozen=True)
class Held:
    """What no template should be given: an array with a way to write files."""

    plate: Any = field(default_factory=lambda: np.arange(3.0))


PLAIN = (str, Figures, int, float, bool, type(None), Markup, Concealed)


def foreign(value: Any, path: str, seen: set[int]) -> list[str]:
    """The places in a template's context that hold anything but plain data and named functions."""
    if type(value) in PLAIN or id(value) in seen or type(value).__module__.startswith("jinja2"):
        return []
    seen.add(id(value))
    if type(value) is Sentence:  # text to a template, with the places of its numbers
        return foreign(value.places, f"{path}.places", seen)
    if type(value) in (tuple, list, frozenset):
        return [f for v in value for f in foreign(v, f"{path}[]", seen)]
    if type(value) in (dict, MappingProxyType):
        return [f for k, v in value.items() for f in foreign(v, f"{path}.{k}", seen)]
    if is_dataclass(value) and type(value).__module__.startswith("explainer"):
        named = ((f.name, getattr(value, f.name)) for f in fields(value))
        return [f for name, v in named for f in foreign(v, f"{path}.{name}", seen)]
    if getattr(value, "for_templates", False) is True:
        return []
    return [f"{path}: {type(value).__module__}.{type(value).__qualname__}"]


def test_contexts_hold_plain_data_only(
    workspace: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Every template and phrase of a whole publish, everything that its context holds."""
    found: dict[str, list[str]] = {}
    seen_names: set[str] = set()
    render = jinja2.Template.render

    def walked(self: jinja2.Template, *given: Any, **more: Any) -> str:
        seen_names.add(self.name or "phrase")
        for key, value in dict(*given, **more).items():
            if wrong := foreign(value, key, set()):
                found.setdefault(self.name or "phrase", []).extend(wrong)
        return render(self, *given, **more)

    shutil.copytree(workspace / "studies" / "small", workspace / "studies" / "other")
    monkeypatch.setattr(jinja2.Template, "render", walked)
    from explainer.cli import main

    into = tmp_path / "site"
    with pytest.raises(SystemExit) as ended:
        main(["--workspace", str(workspace), "publish", "--workers", "1", "--into", str(into)])
    assert not ended.value.code
    pages = ("page", "handout", "rule-card", "script", "script-stills", "index", "topic",
             "glossary", "verdicts", "commands", "study-yaml")  # fmt: skip
    wanted = {f"{page}.html.j2" for page in pages} | {"script.md.j2", "phrase"}
    assert wanted <= seen_names
    assert found == {}


def test_the_walk_would_find_a_foreign_object() -> None:
    assert foreign({"a": (Settings(),)}, "known", set()) == [
        "known.a[]: explainer.study.description.study.Settings"
    ]
