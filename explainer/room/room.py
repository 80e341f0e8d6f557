"""What the workroom does: drafts, saves, proofreads and publishes, in the folder it was opened in.

It writes the text files that an editor would write, and keeps nothing elsewhere: a study begun
here goes on in an editor, and the other way about.
"""

from __future__ import annotations

import hashlib
import io
import os
import re
import sys
import tempfile
import threading
import zipfile
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from explainer.draft.draft import KINDS, DraftedStudy, GivenFile, draft_from, skeleton
from explainer.draft.folder import better_name, new_folder, replace_file, write_folder, write_schema
from explainer.errors import ExplainerError, OutputError, Problem, UsageError
from explainer.proof.fixes import fix
from explainer.proof.read import proofread
from explainer.publish.manifest import RESERVED
from explainer.publish.rehearse import Stage
from explainer.publish.site import Outcome, publish
from explainer.room.edit import CannotEdit, StudyText
from explainer.room.fields import name_of
from explainer.room.questions import asked
from explainer.study.files import FileFault, at_home, read_file
from explainer.study.load import (
    DESCRIPTION,
    list_studies,
    open_workspace,
    stays_home,
    study_id,
    workspace_above,
)
from explainer.study.model import Workspace
from explainer.study.yaml12 import MAX_BYTES
from explainer.words.glossary.entries import load_glossary

# The folder the workroom works in: where explainer was started, or one that it can write into.

#: Where studies lie that are not to be published.
ASIDE = "set aside"
#: What the folder is called where explainer was started from nowhere in particular.
OWN = "explainer studies"


def folder_to_work_in(
    given: Path | None, cwd: Path | None = None, home: Path | None = None
) -> Path:
    """``given``; else the workspace at or above the folder we are in; else that folder itself.

    A double click starts a program in the folder that it lies in, in the system's own, or at the
    top of a disk.  Nobody keeps studies there: then it is ``explainer studies`` among the user's
    documents, which is made.  Raises OutputError where that cannot be.
    """
    if given is not None:
        return given
    here = Path.cwd() if cwd is None else cwd
    above = workspace_above(here)
    if above is not None:
        return above
    programs = {Path(sys.argv[0]).resolve().parent, Path(sys.executable).resolve().parent}
    nowhere = here.resolve() in programs or here.resolve() == Path(here.resolve().anchor)
    if not nowhere and os.access(here, os.W_OK):
        return here
    home = Path.home() if home is None else home
    documents = home / "Documents"
    own = (documents if documents.is_dir() else home) / OWN
    try:
        own.mkdir(exist_ok=True)
    except OSError as fault:
        raise OutputError(f"cannot make {own}: {fault.strerror or fault}") from fault
    return own


class Moved(UsageError):
    """The file is no longer the one that a form was made from."""


@dataclass(frozen=True)
class OpenedFile:
    """A study.yaml as it stands: its text with plain line ends, and a hash of its bytes."""

    text: str
    digest: str
    ends: str
    mark: bool
    """Whether it begins with a byte order mark."""


@dataclass(frozen=True)
class ToMend:
    """A problem as the page lists it."""

    says: str
    fix: str
    error: bool
    field: str
    """The name of the form's field it speaks of; empty where there is none."""


class Room:
    """The studies of one folder.  Every method raises ExplainerError with one line."""

    def __init__(self, root: Path, stage: Stage) -> None:
        self.root, self.stage = root, stage
        self._writing = threading.Lock()
        self._mended: dict[str, tuple[str, list[ToMend]]] = {}

    # -- looking

    def workspace(self) -> Workspace:
        return open_workspace(self.root)

    def folders(self) -> dict[str, Path]:
        """The studies by the name of their folder."""
        if not (self.root / "studies").is_dir():
            return {}
        return {f.name: f for f in list_studies(self.workspace())}

    def folder(self, name: str) -> Path:
        found = self.folders().get(name)
        if found is None:
            raise UsageError(f"no study {name} in {self.root / 'studies'}")
        stays_home(found)
        return found

    def opened(self, name: str, seen: str | None = None) -> OpenedFile:
        """The file as it stands; refuses what stage 1 would refuse.

        Raises Moved where it no longer is the one ``seen``.
        """
        try:
            data = read_file(self.folder(name), DESCRIPTION, MAX_BYTES)
            text = data.decode("utf-8-sig")
        except FileFault as fault:
            raise UsageError(f"{DESCRIPTION}: found {fault.found}, expected {fault.expected}") \
                from None  # fmt: skip
        except UnicodeDecodeError:
            raise UsageError(f"{DESCRIPTION} is not in UTF-8; save it so in an editor") from None
        ends = "\r\n" if "\r\n" in text else "\n"
        digest = hashlib.sha256(data).hexdigest()
        if seen is not None and digest != seen:
            raise Moved(f"{DESCRIPTION} was changed elsewhere since this page was shown; nothing "
                        "was saved; look at it again below")  # fmt: skip
        marked = data.startswith(b"\xef\xbb\xbf")
        return OpenedFile(text.replace("\r\n", "\n"), digest, ends, marked)

    def to_mend(self, name: str) -> list[ToMend]:
        """What ``proof`` says of a study, each with the field it speaks of."""
        opened = self.opened(name)
        state = opened.digest + str(self.stage.version)
        known = self._mended.get(name)
        if known is None or known[0] != state:
            try:
                problems = proofread(self.folder(name), self.workspace())
            except ExplainerError as fault:
                problems = (Problem("explainer", found=str(fault)),)
            fields = _fields(opened.text)
            said = [ToMend(str(p), fix(p), p.severity == "error", _field(p, fields))
                    for p in problems]  # fmt: skip
            known = self._mended[name] = (state, said)
        return known[1]

    # -- writing

    def begin(self, name: str, given: Sequence[tuple[str, bytes]], kind: str) -> DraftedStudy:
        """A new study folder, from spreadsheets or from a worked skeleton; nothing is replaced."""
        wished = name or (given[0][0].rsplit(".", 1)[0] if given else kind)
        if not re.search("[a-z0-9]", wished.lower()):
            raise UsageError(
                f"found no letter from a to z and no digit in the name {wished[:60]}, expected "
                "some for the name of its folder; nothing was made"
            )
        name = better_name(wished)
        folder = new_folder(name, self.root)
        if study_id(folder) in RESERVED:
            raise UsageError(f"{name} is a part of the site already; choose another name")
        workspace = self.workspace()
        if given:
            for file, data in given:
                if not data:
                    raise UsageError(f"{file} is empty; nothing was made")
                if data.startswith(b"%PDF"):
                    raise UsageError(
                        f"{file} is a PDF: a sheet is wanted here; what a report prints is taken "
                        f"by typing: explainer draft {name} --from {file}"
                    )
            glossary = load_glossary(workspace.glossary_folders)

            def find(word: str) -> tuple[str, str] | None:
                entry = glossary.find(word)
                return (entry.term, entry.unit or "") if entry else None

            files = [GivenFile(file, data, b"") for file, data in given]
            made = draft_from(name, files, find)
        elif kind in KINDS:
            made = skeleton(kind, workspace.template_folders)
        else:
            raise UsageError("drop at least one spreadsheet, or choose a worked example")
        write_folder(folder, made.files)
        write_schema(folder.parent)
        return made

    def save(self, name: str, source: StudyText, seen: str) -> None:
        """The text in place of the file, if it still is the one ``seen``."""
        with self._writing:
            now = self.opened(name, seen)
            if source.text != now.text:
                text = source.text.replace("\n", now.ends)
                data = text.encode("utf-8-sig" if now.mark else "utf-8")
                if len(data) > MAX_BYTES:
                    raise CannotEdit(f"{DESCRIPTION} would be over {MAX_BYTES:,} bytes")
                replace_file(self.folder(name) / DESCRIPTION, data)

    def aside(self) -> tuple[str, ...]:
        """The studies that were left out of what is published."""
        place = self.root / ASIDE
        there = sorted(place.iterdir()) if place.is_dir() and not place.is_symlink() else []
        # A link may lead anywhere: it is nothing that was set aside here.
        return tuple(
            f.name for f in there if os.path.lexists(f / DESCRIPTION) and not f.is_symlink()
        )

    def set_aside(self, name: str) -> Path:
        """Moves a study beside the others, with all its files: nothing is ever deleted here."""
        return self._moved(self.folder(name), self.root / ASIDE)

    def bring_back(self, name: str) -> Path:
        """Moves such a study back among the others."""
        if name not in self.aside():
            raise UsageError(f"no study {name} in {self.root / ASIDE}")
        return self._moved(self.root / ASIDE / name, self.root / "studies")

    def _moved(self, folder: Path, place: Path) -> Path:
        to = place / folder.name
        for home in (folder.parent, place):
            if home.is_symlink():
                raise UsageError(f"{home} is a link, which may lead out of {self.root}; nothing "
                                 "was moved")  # fmt: skip
        if place.exists() and not place.is_dir():
            raise UsageError(f"{place} is no folder; call it something else. Nothing was moved")
        if os.path.lexists(to):
            raise UsageError(f"{to} is there already; nothing was moved")
        try:
            place.mkdir(exist_ok=True)
            folder.rename(to)
        except OSError as fault:
            raise OutputError(f"cannot move {folder} to {to}: {fault.strerror or fault}") from fault
        return to

    def unconfirmed(self) -> dict[str, int]:
        """The studies whose draft still asks something, with how many questions are open."""
        found = {}
        for name, folder in self.folders().items():
            if not at_home(folder):
                continue
            with suppress(FileFault, UnicodeDecodeError, ExplainerError):
                text = read_file(folder, DESCRIPTION, MAX_BYTES).decode("utf-8-sig")
                if n := sum(1 for _ in asked(StudyText(text))) if "CONFIRM" in text else 0:
                    found[name] = n
        return found

    def publish(self, into: str) -> tuple[Path, Outcome]:
        """The site in a folder; an empty name means ``site`` beside the studies."""
        target = self.target_of(into)
        return target, publish(self.workspace(), self._by_id(), target)

    def target_of(self, into: str) -> Path:
        """The folder that somebody typed.  Raises UsageError where it can be none."""
        if "\0" in into:
            raise UsageError("the folder's name holds a character that no name can; type another")
        try:
            target = Path(into).expanduser() if into.strip() else self.root / "site"
            target = target if target.is_absolute() else self.root / target
            with suppress(FileNotFoundError, NotADirectoryError):
                target.lstat()
        except (OSError, RuntimeError) as fault:  # too long for the system; nobody's home
            why = fault.strerror if isinstance(fault, OSError) else str(fault)
            raise UsageError(f"cannot write into the folder {into[:80]!r}: {why}; type another") \
                from None  # fmt: skip
        return target

    def zipped(self) -> tuple[bytes, Outcome]:
        """The site as a ZIP file, to send or to unpack anywhere."""
        with tempfile.TemporaryDirectory(prefix="explainer-zip-") as place:
            site = Path(place) / "site"
            outcome = publish(self.workspace(), self._by_id(), site)
            out = io.BytesIO()
            with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
                for path in sorted(p for p in site.rglob("*") if p.is_file()):
                    inside = path.relative_to(site)
                    if not inside.name.startswith(".explainer"):
                        packed.write(path, f"site/{inside.as_posix()}")
            return out.getvalue(), outcome

    def _by_id(self) -> Mapping[str, Path]:
        folders = self.stage.folders()
        if not folders:
            raise UsageError("there is no study to publish yet")
        return folders


def _fields(text: str) -> list[tuple[tuple[int, int], str]]:
    """Where each value stands, with the name of its field; nothing for a broken file."""
    try:
        places = StudyText(text).document.places
    except ExplainerError:
        return []
    return sorted((place, name_of(path)) for path, place in places.items() if path)


def _field(problem: Problem, fields: list[tuple[tuple[int, int], str]]) -> str:
    """The field of the value that a problem of study.yaml stands at."""
    if problem.file != DESCRIPTION or problem.row is not None:
        return ""
    before = [name for place, name in fields if place <= (problem.line, problem.column)]
    return before[-1] if before else ""
