"""``explainer rehearse``: the site on this computer alone, built anew as files change.

One thread watches and builds, the server's threads only read.  The rehearsal has a site of its
own, in a temporary folder; what is published is not touched.  Pages are built at once; the
editions on paper and the script are made when somebody opens them.
"""

from __future__ import annotations

import os
import shutil
import signal
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from types import FrameType

from watchfiles import watch

from explainer.errors import ExplainerError, OutputError, Problem, StudyError, UsageError, ours
from explainer.publish.manifest import RESERVED, Built
from explainer.publish.preview_server import serving, told
from explainer.publish.site import publish
from explainer.publish.workers import one_at_a_time, tried
from explainer.study.load import list_studies, load_study, open_workspace, study_id
from explainer.study.model import Workspace

Tell = Callable[[str], None]
Build = Callable[[Path, Workspace], Built]
Stamps = Mapping[Path, tuple[int, int]]

#: Changes within this many milliseconds of each other are built together.
DEBOUNCE = 120
#: What is wrong with the workspace itself stands under this name.
EVERYWHERE = ""


def quick(folder: Path, workspace: Workspace) -> Built:
    """A study's pages and numbers; every other download as an empty file, made when opened."""
    from explainer.claims.kept import judged_again
    from explainer.editions.compose import compose
    from explainer.editions.embeds import alone_pages
    from explainer.editions.page import render_page
    from explainer.publish.build import ON_PAPER, listing, numbers
    from explainer.words.glossary.of_study import glossary_for

    study = load_study(folder, workspace)
    judgement = judged_again(study)
    unwanted = {path for name, path in ON_PAPER.items() if name not in study.description.editions}
    article = compose(judgement)
    article = replace(
        article, downloads=tuple(d for d in article.downloads if d.path not in unwanted)
    )
    page = render_page(article, glossary_for(study), workspace.template_folders)
    files = {download.path: b"" for download in article.downloads}
    files |= alone_pages(article, workspace.template_folders)  # the page links to each
    files |= {"index.html": page.encode("utf-8"), **numbers(judgement)}
    return Built(listing(article, study), files)


class Stage:
    """The rehearsal's site, what is wrong with its studies, and a number that grows with each
    build, for browsers to wait on."""

    def __init__(self, root: Path, site: Path, tell: Tell, build: Build = quick) -> None:
        self.root, self.site = root, site
        self._tell, self._build = tell, build
        self._news = threading.Condition()
        self._papers: dict[str, Mapping[str, bytes]] = {}
        self.version = 0
        self.problems: dict[str, tuple[Problem, ...]] = {}
        self.names: frozenset[str] = frozenset()
        """The studies of the last build."""

    @one_at_a_time
    def rebuild(self, only: set[str] | None = None) -> None:
        """Builds the studies in ``only`` (None: all).  What cannot be built keeps its last page."""
        began = time.monotonic()
        problems = dict(self.problems) if only is not None else {}
        build, shown = self._build, False
        try:
            if only and self.version and only <= self.names:
                build = self._shown_first(only, began)
                shown = True
            problems |= self._publish(only, build)
            problems.pop(EVERYWHERE, None)
        except StudyError as fault:
            problems[EVERYWHERE] = fault.problems
        except ExplainerError as fault:
            problems[EVERYWHERE] = (Problem("explainer", found=str(fault)),)
        except Exception as fault:  # a fault of ours must not end the rehearsal
            problems[EVERYWHERE] = (Problem("explainer", found=ours(fault)),)
        for problem in problems.get(EVERYWHERE, ()):
            self._tell(str(problem))
        # What a browser shows already is not loaded a second time.
        self._tell_browsers(problems, new=not shown or EVERYWHERE in problems)
        self._tell(f"built in {time.monotonic() - began:.1f} s")

    def _tell_browsers(self, problems: Mapping[str, tuple[Problem, ...]], new: bool = True) -> None:
        with self._news:
            self.problems = {name: found for name, found in problems.items() if found}
            self._papers = {}
            self.version += new
            self._news.notify_all()

    def _shown_first(self, only: set[str], began: float) -> Build:
        """Builds some studies' pages and shows them at once, ahead of what the site has around
        them: lists, topics, ties, the check of every link.  Gives a build that gives these."""
        workspace, folders = open_workspace(self.root), self.folders()
        made: dict[Path, Built | StudyError] = {}
        problems = dict(self.problems)
        for name in sorted(only & folders.keys()):
            folder = folders[name]
            made[folder] = built = tried(self._build, folder, workspace)
            if isinstance(built, StudyError):
                problems[name] = built.problems
                continue
            problems[name] = ()
            page = self.site / name / "index.html"
            if page.is_file():
                new = page.with_name(".index.new")
                new.write_bytes(_as_tied(built.files["index.html"], page.read_bytes()))
                new.replace(page)
        self._tell_browsers(problems)
        self._tell(f"page shown in {time.monotonic() - began:.1f} s")

        def build(folder: Path, workspace: Workspace) -> Built:
            found = made.get(folder)
            if isinstance(found, StudyError):
                raise found
            return found or self._build(folder, workspace)

        return build

    def _publish(self, only: set[str] | None, build: Build) -> dict[str, tuple[Problem, ...]]:
        workspace, folders = open_workspace(self.root), self.folders()
        self.names = frozenset(folders)
        known = None if only is None or not only <= folders.keys() else only
        outcome = publish(
            workspace, folders, self.site, only=known, tell=self._tell, build=build,
            rehearsed=True,
        )  # fmt: skip
        for name, fault in outcome.failed.items():
            for problem in fault.problems:
                self._tell(told(name, problem))
        built: dict[str, tuple[Problem, ...]] = dict.fromkeys(outcome.published, ())
        gone: dict[str, tuple[Problem, ...]] = dict.fromkeys(outcome.gone, ())
        return gone | built | {name: fault.problems for name, fault in outcome.failed.items()}

    def folders(self) -> dict[str, Path]:
        """The studies by the name they have in addresses; the first of two alike."""
        found: dict[str, Path] = {}
        for folder in list_studies(open_workspace(self.root)):
            if study_id(folder) not in RESERVED:
                found.setdefault(study_id(folder), folder)
        return found

    def newer_than(self, seen: int, timeout: float) -> int:
        """The version, as soon as it is another one than ``seen`` or the time is up."""
        with self._news:
            self._news.wait_for(lambda: self.version != seen, timeout)
            return self.version

    @one_at_a_time
    def paper(self, study: str, path: str) -> bytes | None:
        """A file that only a whole build makes, None where there is none such."""
        if study not in self._papers and study in self.names:
            from explainer.publish.build import build_study

            try:
                loaded = load_study(self.folders()[study], open_workspace(self.root))
                self._papers[study] = build_study(loaded).files
            except (ExplainerError, KeyError):
                return None
        return self._papers.get(study, {}).get(path)

    def affected(self, changes: Iterator[Path]) -> set[str] | None:
        """The studies that files belong to; None where everything may look different."""
        studies, found = self.root / "studies", set()
        for path in changes:
            inside = path.relative_to(studies).parts if path.is_relative_to(studies) else ()
            if len(inside) < 2:
                return None
            found.add(study_id(studies / inside[0]))
        return found


def _as_tied(page: bytes, before: bytes) -> bytes:
    """A new page with what the last one said of other studies, until that is said anew."""
    from explainer.publish.frontpage import OTHERS

    said = OTHERS.search(before)
    return OTHERS.sub(lambda found: said[0], page, count=1) if said else page


def rehearse(
    root: Path,
    port: int | None = None,
    tell: Tell = print,
    build: Build = quick,
    stop: threading.Event | None = None,
) -> None:
    """Serves and rebuilds until interrupted or ``stop`` is set.  Raises UsageError, OutputError."""
    stop = stop or threading.Event()
    if not (root / "studies").is_dir():
        raise UsageError(f"{root} is no workspace: it has no folder studies")
    root = root.resolve()
    with somewhere() as site, ended_by_signals():
        stage = Stage(root, site, tell, build)
        with serving(stage, port) as address:
            tell(f"rehearsing: {address} (Ctrl-C ends it)")
            try:
                before = stamps(stage.root)
                stage.rebuild()
                follow(stage, stop, before)
            except KeyboardInterrupt:
                pass
    tell("rehearsal ended")


def stamps(root: Path) -> dict[Path, tuple[int, int]]:
    """When each file of the studies was last written, and its size."""
    found = {}
    for folder, _, names in os.walk(root / "studies"):
        for path in (Path(folder, name) for name in names if not name.startswith(".")):
            try:
                facts = path.stat()
            except OSError:
                continue
            found[path] = (facts.st_mtime_ns, facts.st_size)
    return found


def follow(stage: Stage, stop: threading.Event, before: Stamps | None = None) -> None:
    """Builds after each change until ``stop`` is set.

    ``before``: the files as they were when the last build began; what changed since, while nobody
    watched yet, counts as a change, too.
    """
    workspace = open_workspace(stage.root) if EVERYWHERE not in stage.problems else None
    folders = {stage.root / "studies"}
    for folder in (*workspace.glossary_folders, *workspace.template_folders) if workspace else ():
        folders.add(folder.resolve())
    changes = watch(
        *folders, stop_event=stop, debounce=DEBOUNCE, step=DEBOUNCE // 3, rust_timeout=500,
        raise_interrupt=True, watch_filter=lambda _, path: not Path(path).name.startswith("."),
        yield_on_timeout=True,
    )  # fmt: skip
    for found in changes:
        changed = {Path(path) for _, path in found}
        if before is not None:
            now = stamps(stage.root)
            changed |= {p for p in (*before, *now) if before.get(p) != now.get(p)}
            before = None
        if not changed:
            continue
        only = stage.affected(iter(changed))
        if only is None:
            _forget_templates()
        stage.rebuild(only)


def _forget_templates() -> None:
    """A template of the workspace's own may now stand in place of ours."""
    from explainer.editions.templates import environment

    environment.cache_clear()


@contextmanager
def somewhere() -> Iterator[Path]:
    """A place for the rehearsal's site that is gone afterwards."""
    try:
        folder = Path(tempfile.mkdtemp(prefix="explainer-rehearsal-"))
    except OSError as fault:
        raise OutputError(f"no room for the rehearsal: {fault.strerror or fault}") from fault
    try:
        yield folder / "site"
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def ended_by_signals() -> Iterator[None]:
    """A polite request to end is the same as Ctrl-C."""

    def end(number: int, frame: FrameType | None) -> None:
        raise KeyboardInterrupt

    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = {s: signal.signal(s, end) for s in (signal.SIGTERM, signal.SIGINT)}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
