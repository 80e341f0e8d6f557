"""Publishes a workspace: what changed is built, the site checked, then put in place at once.

A study is built where its own files, or anything else its pages are made from, are not what they
were; else its pages stay, once their hashes are found to be what they were.  A study that has
problems keeps its last good pages and is marked; the others are published.  A study that is no
longer in the workspace leaves the site when everything is published.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Container, Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from functools import partial
from pathlib import Path

import click

from explainer.errors import OurFault, OutputError, Problem, StudyError, listed
from explainer.publish.build_cache import (
    GUIDES,
    SHARED,
    BuildCache,
    Kept,
    digest_of,
    intact,
    now,
    shared_inputs,
    study_inputs,
)
from explainer.publish.check import check_site
from explainer.publish.exchange import Staging, held, no_links, staged
from explainer.publish.manifest import NAME, RESERVED, Listing, Manifest, digest, read_manifest
from explainer.publish.named import nobody_named_to_all
from explainer.publish.recovery import folders_of
from explainer.publish.workers import Build, build_all, from_folder, meanwhile, one_at_a_time
from explainer.study.files import kept_everywhere, lies_within
from explainer.study.load import DESCRIPTION, list_studies, study_id
from explainer.study.model import Workspace

# How far a publish is: a bar on a terminal, plain lines elsewhere, or nothing at all.

Tell = Callable[[str], None]


@contextmanager
def telling(studies: int, quiet: bool) -> Iterator[Tell]:
    """Gives what is called with a line for each study that is done.

    The bar counts studies; while the last one is done and the site is put together, it stays
    full.  rich is loaded for a terminal only.
    """
    if quiet:
        yield lambda line: None
    elif not sys.stdout.isatty():
        yield click.echo
    else:
        with _bar(studies) as tell:
            yield tell


@contextmanager
def _bar(studies: int) -> Iterator[Tell]:
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(),
               TimeElapsedColumn())  # fmt: skip
    with Progress(*columns, transient=True) as progress:
        task = progress.add_task("publishing", total=studies)

        def tell(line: str) -> None:
            progress.console.print(line, markup=False, highlight=False, soft_wrap=True)
            progress.advance(task)

        yield tell


@dataclass
class Outcome:
    """What became of each study."""

    published: list[str] = field(default_factory=list)
    """Studies whose pages are those of today: built now, or found unchanged."""
    unchanged: list[str] = field(default_factory=list)
    """Those of them that were not built again."""
    failed: dict[str, StudyError] = field(default_factory=dict)
    warnings: list[Problem] = field(default_factory=list)
    """What did not fit a sheet of paper, of all studies published."""
    kept: list[str] = field(default_factory=list)
    """Studies that failed and whose last good pages stand."""
    gone: list[str] = field(default_factory=list)
    """Studies that are no longer in the workspace."""
    lacks: str = ""
    """What could not be made on this computer, and how to get what that needs; else empty."""
    set_aside: list[Path] = field(default_factory=list)
    """Where files of somebody else's were kept that were in the way."""


@one_at_a_time
def publish(
    workspace: Workspace,
    folders: Mapping[str, Path],
    target: Path,
    *,
    only: Iterable[str] | None = None,
    tell: Tell = lambda line: None,
    build: Build | None = None,
    workers: int = 1,
    rehearsed: bool = False,
) -> Outcome:
    """Publishes the studies in ``folders`` (id to folder), or ``only`` those, into ``target``.

    What belongs to other studies of the site is kept when ``only`` is given.  With a ``build``
    of the caller's own nothing is remembered and every study is built.  Raises OutputError or
    WorkspaceError (also where a text that all pages share names somebody hidden), and then the old
    site stands; other problems of studies are in the outcome.
    """
    wanted = {name: folders[name] for name in (folders if only is None else only)}
    target = Path(os.path.abspath(target))  # `.` has no name, and nothing stands beside it
    if target.is_symlink():
        target = Path(os.path.realpath(target))  # the site itself is exchanged, not the link to it
    _sound_name(target)
    _no_sources(workspace, folders, target)
    outcome = Outcome()
    with held(target, outcome.set_aside.append):
        old = read_manifest(target)
        if only is not None:
            _all_there(target, old.studies.keys() - wanted.keys())
        no_links(target, {*wanted, *RESERVED, *folders_of(old.files)})
        job = _Job(workspace, target, old, outcome, remembers=build is None)
        with staged(target, old, outcome.set_aside.append) as staging:
            job.bring(wanted, build or from_folder, workers, staging, tell)
            nobody_named_to_all(outcome.failed.values(), job.unread(rehearsed), workspace)
            studies = job.listings(folders, everything=only is None)
            job.finish(studies, staging)
        job.remember()
    outcome.published = [n for n in wanted if n not in outcome.failed]
    return outcome


def _sound_name(target: Path) -> None:
    """Raises OutputError for a site that could not be copied to another computer by its name."""
    if target.name and not kept_everywhere(target.name):
        raise OutputError(
            f"found {target.name!r} as the name of the site's folder, expected one that every "
            "system can keep, such as `site`; nothing was written"
        )


def _page(target: Path, name: str) -> Path:
    return target / name / "index.html"


def _all_there(target: Path, kept: Iterable[str]) -> None:
    """Raises OutputError where the site's record names a study that the site does not have: every
    page that lists it would lead nowhere."""
    lacking = sorted(name for name in kept if not _page(target, name).is_file())
    if lacking:
        raise OutputError(
            f"{target / NAME} lists {listed(lacking, 3)}, of which the site has no page; nothing "
            "was touched (to make the list anew, publish every study: explainer publish)"
        )


def _no_sources(workspace: Workspace, folders: Mapping[str, Path], target: Path) -> None:
    """Raises OutputError where a site would stand among what it is made from: whoever clears the
    one away would lose the other."""
    root = workspace.root
    own = (root / part for part in ("studies", "glossary", "templates"))
    inside = next((f for f in (*folders.values(), *own) if lies_within(f, target)), None)
    found = f"a place in {inside}" if inside is not None else ""
    if not found and (target / DESCRIPTION).exists():
        found = f"a study's folder ({DESCRIPTION} lies in it)"
    if not found and next((target / "studies").glob(f"*/{DESCRIPTION}"), None) is not None:
        found = "a workspace (its studies lie in it)"
    if found:
        expected = "a folder of its own for the site"
        raise OutputError(f"{target}: found {found}, expected {expected}; nothing was written")


class _Job:
    """One publish: what is known so far."""

    def __init__(
        self, workspace: Workspace, target: Path, old: Manifest, outcome: Outcome, *,
        remembers: bool,
    ) -> None:  # fmt: skip
        self.workspace, self.target, self.old, self.outcome = workspace, target, old, outcome
        self.cache = BuildCache(workspace.root, target) if remembers else None
        self.shared = shared_inputs(workspace) if remembers else ""
        self.recalled: dict[str, Kept] = {}
        self.entries: dict[str, Kept] = {}
        """Every study whose pages are those of today, and the shared pages."""
        self.built: set[str] = set()

    def bring(
        self, wanted: Mapping[str, Path], build: Build, workers: int, staging: Staging, tell: Tell
    ) -> None:
        """Builds what has to be built; meanwhile pages that can stay are looked over and taken
        over into the new site."""
        same = self.same(wanted)
        due = {name: folder for name, folder in wanted.items() if name not in same}
        look = partial(intact, self.target, {name: entry.files for name, entry in same.items()})
        both = bool(same and due)
        if both:
            staging.begin()
            look = partial(look, also=staging.carry)
        with meanwhile(look, needed=both) as whole:
            self.build(due, build, workers, staging, tell)
            self.leave_unchanged(same, whole(), tell)
        if both:
            stay = self.outcome.unchanged
            staging.carried |= {path for name in stay for path in same[name].files}
        spoilt = {name: wanted[name] for name in same if name not in self.entries}
        self.build(spoilt, build, workers, staging, tell)

    def same(self, wanted: Mapping[str, Path]) -> dict[str, Kept]:
        """What is remembered of each study that is made from what it was made from."""
        found = {}
        for name, folder in wanted.items():
            entry = self._recall(name)
            files = {path: self.old.files[path] for path in self.old.of_study(name)}
            if (
                entry and entry.listing and entry.made_from and entry.files == files
                and entry.made_from == study_inputs(self.shared, name, now(folder, entry.read))
            ):  # fmt: skip
                found[name] = entry
        return found

    def unread(self, rehearsed: bool) -> Iterator[Path]:
        """The workspace's other studies, whose people the shared texts may name, but for those
        that were built from the same texts; a rehearsal has built them all.  One that a fault of
        ours stopped may not have got as far as its people."""
        failed = self.outcome.failed
        stopped = {name for name, fault in failed.items() if isinstance(fault, OurFault)}
        if rehearsed and not stopped:
            return
        seen = {*self.entries, *failed} - stopped
        others = {name: folder for folder in list_studies(self.workspace)
                  if (name := study_id(folder)) not in seen and (name in stopped or not rehearsed)}
        yield from (others[name] for name in others.keys() - self.same(others).keys())

    def leave_unchanged(self, same: Mapping[str, Kept], whole: Container[str], tell: Tell) -> None:
        """Keeps the pages of those of the same studies whose pages are whole."""
        for name, entry in same.items():
            if name in whole:
                self.entries[name] = entry
                self.outcome.unchanged.append(name)
                self.outcome.warnings += entry.warnings
                tell(f"{name}: unchanged")

    def build(
        self, due: Mapping[str, Path], build: Build, workers: int, staging: Staging, tell: Tell
    ) -> None:
        """Builds what has to be built and writes it beside the site, study by study."""
        for name, result in build_all(due, self.workspace, workers, build):
            if isinstance(result, StudyError):
                self.outcome.failed[name] = result
                tell(f"{name}: not published, {_count(result)}")
                continue
            for path, content in result.files.items():
                staging.write(f"{name}/{path}", content)
            self.built.add(name)
            self.entries[name] = Kept(
                study_inputs(self.shared, name, result.read), {}, tuple(result.read),
                result.listing, result.warnings,
            )  # fmt: skip
            self.outcome.warnings += result.warnings
            self.outcome.lacks = self.outcome.lacks or result.lacks
            tell(f"{name}: built")

    def listings(self, folders: Mapping[str, Path], *, everything: bool) -> dict[str, Listing]:
        """The studies of the new site: those of today, those that keep their pages."""
        studies = {name: e.listing for name, e in self.entries.items() if e.listing}
        for name, listing in self.old.studies.items():
            page = _page(self.target, name)
            if name in self.outcome.failed:
                if page.is_file():
                    good = listing.good or _day_of(page)
                    studies[name] = replace(listing, broken=True, good=good)
                    self.outcome.kept.append(name)
            elif everything and name not in folders:
                self.outcome.gone.append(name)
            elif name not in studies:
                studies[name] = listing
        return dict(sorted(studies.items()))

    def finish(self, studies: Mapping[str, Listing], staging: Staging) -> None:
        """Adds the shared pages and the list, and checks the whole, where anything is new."""
        shared = self._shared(studies, staging)
        manifest = self._manifest(studies, shared, staging)
        if staging.fresh or manifest != self.old:
            files = staging.complete(manifest)
            known = {
                path: looked for entry in self.entries.values()
                for path, looked in entry.looked.items() if path not in staging.fresh
            }  # fmt: skip
            try:
                looked = check_site(staging.root, manifest.files, known, files)
            except (OSError, OutputError):
                staging.alone()  # another's publish may have taken it away: that is what to say
                raise
            for name, entry in self.entries.items():
                own = entry.files or manifest.of_study(name)
                self.entries[name] = replace(
                    entry,
                    files={path: manifest.files[path] for path in own},
                    looked={path: looked[path] for path in own if path in looked},
                )

    def _shared(self, studies: Mapping[str, Listing], staging: Staging) -> dict[str, str]:
        """Writes the shared pages, and each study's word about the others, where they are new."""
        told = digest_of((self.shared, *map(repr, studies.values())))
        stand, guides_stand = self._stand(SHARED, told), self._stand(GUIDES, self.shared)
        if self.built or not (stand and guides_stand):
            from explainer.publish import frontpage

            # Where they do not stand, all that is said of other studies may read otherwise now.
            before = self.old.studies if guides_stand else None
            pages = frontpage.tied_pages(self.workspace, studies, staging.read, self.built, before)
            if not guides_stand:
                pages |= self._made(GUIDES, self.shared, frontpage.guide_pages(self.workspace))
            if not stand:
                listed = studies.values()
                made = frontpage.shared_pages(self.workspace, listed)
                pages |= self._made(SHARED, told, made, frontpage.astray_references(listed))
            for path, content in pages.items():
                staging.write(path, content)
        return {**self.entries[GUIDES].files, **self.entries[SHARED].files}

    def _stand(self, name: str, made_from: str) -> bool:
        """Whether shared pages are those of today."""
        entry = self._recall(name)
        if not entry or entry.made_from != made_from:
            return False
        if not intact(self.target, {name: entry.files}):
            return False
        self.entries[name] = entry
        self.outcome.warnings += entry.warnings
        return True

    def _made(
        self, name: str, made_from: str, pages: dict[str, bytes], warnings: tuple[Problem, ...] = ()
    ) -> dict[str, bytes]:
        """The same pages, noted as made now."""
        files = {path: digest(page) for path, page in pages.items()}
        self.entries[name] = Kept(made_from, files, warnings=warnings)
        self.outcome.warnings += warnings
        return pages

    def _manifest(
        self, studies: Mapping[str, Listing], shared: Mapping[str, str], staging: Staging
    ) -> Manifest:
        """Every file of the new site; a kept file that somebody removed is not missed."""
        files: dict[str, str] = {}
        for name in studies:
            if name in self.built:
                continue
            if name in self.entries:
                files |= self.entries[name].files  # found whole a moment ago
            else:
                kept = (p for p in self.old.of_study(name) if (self.target / p).is_file())
                files |= {path: self.old.files[path] for path in kept}
        files |= {**shared, **staging.fresh}
        return Manifest(files, studies)

    def remember(self) -> None:
        """Keeps what is new for the next time, unless what all share changed meanwhile."""
        new = {n: e for n, e in self.entries.items() if e != self.recalled.get(n)}
        if self.cache and new and shared_inputs(self.workspace) == self.shared:
            for name, entry in new.items():
                self.cache.keep(name, entry)

    def _recall(self, name: str) -> Kept | None:
        entry = self.cache.recall(name) if self.cache else None
        if entry:
            self.recalled[name] = entry
        return entry


def _day_of(path: Path) -> str:
    """The day a file was written, as YYYY-MM-DD (UTC); empty where there is none."""
    try:
        return datetime.fromtimestamp(path.stat().st_mtime, UTC).date().isoformat()
    except OSError:
        return ""


def _count(fault: StudyError) -> str:
    n = sum(p.severity == "error" for p in fault.problems) or len(fault.problems)
    return f"{n} problem{'s' if n != 1 else ''}"
