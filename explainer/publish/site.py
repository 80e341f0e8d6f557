"""Publishes a workspace: each study built, the whole site checked, then put in place at once.

A study that has problems keeps its last good pages and is marked; the others are published.
A study that is no longer in the workspace leaves the site when everything is published.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from explainer.errors import Problem, StudyError
from explainer.publish.check import check_site
from explainer.publish.frontpage import astray_references, shared_pages, tied_pages
from explainer.publish.manifest import Built, Listing, Manifest, digest, read_manifest
from explainer.publish.swap import held, staged
from explainer.study.model import Workspace

Tell = Callable[[str], None]


@dataclass
class Outcome:
    """What became of each study."""

    published: list[str] = field(default_factory=list)
    failed: dict[str, StudyError] = field(default_factory=dict)
    warnings: list[Problem] = field(default_factory=list)
    """What did not fit a sheet of paper, of all studies built."""
    kept: list[str] = field(default_factory=list)
    """Studies that failed and whose last good pages stand."""
    gone: list[str] = field(default_factory=list)
    """Studies that are no longer in the workspace."""


def publish(
    workspace: Workspace,
    folders: Mapping[str, Path],
    target: Path,
    *,
    only: Iterable[str] | None = None,
    tell: Tell = lambda line: None,
    build: Callable[[Path, Workspace], Built] | None = None,
) -> Outcome:
    """Builds the studies in ``folders`` (id to folder), or ``only`` those, into ``target``.

    What belongs to other studies of the site is kept when ``only`` is given.  Raises OutputError
    or WorkspaceError, and then the old site stands; problems of studies are in the outcome.
    """
    wanted = tuple(folders if only is None else only)
    make = build or _from_folder
    with held(target):
        old = read_manifest(target)
        outcome, built = Outcome(), dict[str, Built]()
        for study in wanted:
            try:
                built[study] = make(folders[study], workspace)
            except StudyError as fault:
                outcome.failed[study] = fault
                tell(f"{study}: not published, {_count(fault)}")
            else:
                outcome.published.append(study)
                outcome.warnings += built[study].warnings
                tell(f"{study}: built")
        studies = _listings(old, built, outcome, folders, everything=only is None)
        fresh = {f"{s}/{path}": data for s, b in built.items() for path, data in b.files.items()}
        fresh |= shared_pages(workspace, studies.values())
        fresh |= tied_pages(workspace, studies, fresh, target)
        outcome.warnings += astray_references(studies.values())
        manifest = _manifest(old, studies, built, fresh, target)
        with staged(target, manifest, fresh) as new:
            check_site(new)
    return outcome


def _from_folder(folder: Path, workspace: Workspace) -> Built:
    from explainer.publish.build import build_study
    from explainer.study.load import load_study

    return build_study(load_study(folder, workspace))


def _count(fault: StudyError) -> str:
    n = sum(p.severity == "error" for p in fault.problems) or len(fault.problems)
    return f"{n} problem{'s' if n != 1 else ''}"


def _listings(
    old: Manifest, built: Mapping[str, Built], outcome: Outcome, folders: Mapping[str, Path],
    everything: bool,
) -> dict[str, Listing]:  # fmt: skip
    """The studies of the new site: those built, those that keep their pages, those left alone."""
    studies = {name: b.listing for name, b in built.items()}
    for name, listing in old.studies.items():
        if name in outcome.failed:
            studies[name] = replace(listing, broken=True)
            outcome.kept.append(name)
        elif everything and name not in folders:
            outcome.gone.append(name)
        elif name not in studies:
            studies[name] = listing
    return dict(sorted(studies.items()))


def _manifest(
    old: Manifest, studies: Mapping[str, Listing], built: Mapping[str, Built],
    fresh: Mapping[str, bytes], target: Path,
) -> Manifest:  # fmt: skip
    """Every file of the new site; a kept file that somebody removed is not missed."""
    files = {path: digest(content) for path, content in fresh.items()}
    for name in studies:
        if name not in built:
            kept = (p for p in old.of_study(name) if p not in fresh and (target / p).is_file())
            files |= {p: old.files[p] for p in kept}
    return Manifest(files, studies)
