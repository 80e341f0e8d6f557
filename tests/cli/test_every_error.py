"""Every class of error, each raised by what a user can cause, each ending as the promised status.

The table below must name every class there is in ``errors.py``: a new class without a way to
cause it fails here.
"""

from __future__ import annotations

import fcntl
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from explainer import errors
from explainer.cli import cli
from explainer.publish.build_cache import held_still
from explainer.publish.check import check_site
from explainer.publish.manifest import Built
from explainer.publish.workers import build_all
from explainer.study.load import open_workspace
from explainer.study.model import Workspace

SOUND = Path(__file__).parents[1] / "study" / "sound"


def run(*arguments: object) -> None:
    cli.main([str(a) for a in arguments], prog_name="explainer", standalone_mode=False)


def wrong_usage(root: Path) -> None:
    run("--workspace", root, "weigh", "no-such-study")


def description_at_fault(root: Path) -> None:
    (root / "studies" / "bench" / "study.yaml").write_text("title: [")
    run("--workspace", root, "weigh", "bench")


def table_at_fault(root: Path) -> None:
    (root / "studies" / "bench" / "rates.csv").write_text("bowler,cover\nAnn,1,2\n")
    run("--workspace", root, "weigh", "bench")


def settings_at_fault(root: Path) -> None:
    (root / "studies" / "settings.yaml").write_text("titel: x")
    run("--workspace", root, "weigh", "bench")


def changed_while_read(root: Path) -> None:
    held_still(root / "studies" / "bench", {"study.yaml": "another hash"})


def a_fault_of_ours(root: Path) -> None:
    def build(folder: Path, workspace: Workspace) -> Built:
        raise RuntimeError("x")

    [(_, found)] = build_all({"bench": root}, open_workspace(root), 1, build)
    assert isinstance(found, errors.OurFault)
    raise found


def nowhere_to_write(root: Path) -> None:
    (root / "site").write_text("a file where the folder should be")
    run("--workspace", root, "publish", "bench", "--into", root / "site", "-q")


def somebody_else_writes(root: Path) -> None:
    with (root / ".site.explainer-lock").open("w") as other:
        fcntl.flock(other, fcntl.LOCK_EX)
        run("--workspace", root, "publish", "bench", "--into", root / "site", "-q")


def a_page_with_a_dead_link(root: Path) -> None:
    (root / "index.html").write_text("<!doctype html><title>t</title><a href='gone.html'>x</a>")
    check_site(root)


#: Each class, how a user meets it, the exit status, and words of the message.
CAUSES: dict[type[errors.ExplainerError], tuple[Callable[[Path], None], int, str]] = {
    errors.UsageError: (wrong_usage, 2, "found no study `no-such-study`"),
    errors.StudyError: (changed_while_read, 3, "changed while the study was read"),
    errors.DescriptionError: (description_at_fault, 3, "study.yaml:1:"),
    errors.TableError: (table_at_fault, 3, "rates.csv: row 2"),
    errors.WorkspaceError: (settings_at_fault, 3, "settings.yaml:1:1"),
    errors.OurFault: (a_fault_of_ours, 1, "a fault of explainer, not of your files"),
    errors.OutputError: (nowhere_to_write, 4, "is a file"),
    errors.TargetBusyError: (somebody_else_writes, 4, "another publish is writing"),
    errors.BrokenPageError: (a_page_with_a_dead_link, 4, "links to gone.html"),
}


def every_class(base: type[errors.ExplainerError]) -> set[type[errors.ExplainerError]]:
    below = {each for child in base.__subclasses__() for each in every_class(child)}
    return {base, *below}


def test_the_table_names_every_class_there_is():
    ours = {c for c in every_class(errors.ExplainerError) if c.__module__ == errors.__name__}
    assert set(CAUSES) == ours - {errors.ExplainerError}  # the base only gathers the others


@pytest.mark.parametrize("kind", CAUSES, ids=lambda kind: kind.__name__)
def test_each_is_caused_and_says_so_in_one_line(kind, tmp_path, monkeypatch):
    monkeypatch.setenv("EXPLAINER_CACHE", str(tmp_path / "cache"))
    shutil.copytree(SOUND, tmp_path / "studies" / "bench")
    cause, status, said = CAUSES[kind]
    with pytest.raises(kind) as caught:
        cause(tmp_path)
    assert type(caught.value) is kind
    assert caught.value.exit_status == status
    assert said in str(caught.value)
    if isinstance(caught.value, errors.StudyError):
        for problem in caught.value.problems:
            assert problem.place
            assert problem.found
            assert "\n" not in str(problem)
