"""The workroom's web server: this computer alone, and only whoever has the address.

The address holds a secret; every question must carry it, name this computer as its host, and, to
change anything, come from a page of ours (its Origin).  Nothing else is served, run or fetched.
The preview has a secret of its own: its pages may be made with a stranger's templates, whose script
can read the address it runs at, and there is nothing to be done with that one but to look.
"""

from __future__ import annotations

import json
import mimetypes
import re
import secrets
import threading
import webbrowser
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from functools import cache, partial
from importlib.resources import files
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, quote, unquote

from jinja2 import Environment, PackageLoader, select_autoescape
from markupsafe import Markup

from explainer import __version__
from explainer.draft.draft import KINDS
from explainer.editions.policy import hash_source
from explainer.errors import ExplainerError, StudyError, UsageError, one_line, ours
from explainer.publish.local_server import LocalHandler, file_of, running
from explainer.publish.manifest import stays_inside
from explainer.publish.rehearse import Stage, ended_by_signals, follow, somewhere, stamps
from explainer.publish.site import Outcome
from explainer.room.edit import CannotEdit, StudyText, users_of
from explainer.room.fields import (
    NOTHING_OFFERED,
    Offered,
    figure_kinds,
    groups,
    is_place,
    known,
    name_of,
    of_people,
    path_of,
    samples_of,
    started,
)
from explainer.room.forms import Asking, TooMuch, form_of
from explainer.room.questions import answered, answering, asked, followed, noticed
from explainer.room.room import Room
from explainer.room.typed import edited, left_out
from explainer.study.description.tests import kinds as test_kinds
from explainer.study.files import FileFault, at_home, read_file
from explainer.study.load import DESCRIPTION, study_id
from explainer.study.yaml12 import MAX_BYTES

#: Bytes of a question: sheets of the size that ``draft`` takes.  Taken apart it is held 30 times.
MOST_ASKED = 32_000_000
#: Seconds a page's question for news stays open.
PATIENCE = 20.0
#: A number as a browser writes one: `²` is a digit, too, for Python.
_NUMBER = re.compile(r"[0-9]{1,12}")


@dataclass
class Answer:
    """What is sent back."""

    body: bytes
    kind: str = "text/html; charset=utf-8"
    status: int = 200
    to: str = ""
    """The address to go on to, in place of a page."""
    name: str = ""
    """The name a download is saved under."""
    framed: bool = False
    """Whether a page of ours may show it in a frame."""


@cache
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("explainer.room", "pages"), autoescape=select_autoescape(default=True),
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip


@cache
def _inside(name: str) -> str:
    return (files("explainer.room") / "pages" / name).read_text("utf-8")


def policy() -> str:
    """What a page of the room may do: our own style and script by hash, its own server, no other.
    """
    style, script = (hash_source(_inside(name)) for name in ("room.css", "room.js"))
    return (
        f"default-src 'none'; img-src data:; style-src '{style}'; script-src '{script}'; "
        "connect-src 'self'; frame-src 'self'; form-action 'self'; base-uri 'none'; "
        "frame-ancestors 'none'"
    )


class RoomPages:
    """Routes: which page answers which address."""

    def __init__(self, room: Room, secret: str, shown: str) -> None:
        """``secret`` opens the workroom, ``shown`` the preview alone."""
        self.room, self.secret, self.shown = room, secret, shown
        self.ending = threading.Event()

    @property
    def base(self) -> str:
        return f"/{self.secret}/"

    def page(self, template: str, status: int = 200, **known: Any) -> Answer:
        text = _environment().get_template(template).render(
            base=self.base, preview=f"/{self.shown}/", css=Markup(_inside("room.css")),
            js=Markup(_inside("room.js")),
            version=__version__, where=self.room.root, quote=quote, **known,
        )  # fmt: skip
        return Answer(text.encode("utf-8"), status=status)

    # -- GET

    def get(self, path: str, query: Mapping[str, str], gone: Callable[[], bool]) -> Answer:
        """A page or a piece of one; ``gone``: its browser went away."""
        head, _, rest = path.partition("/")
        if path == "":
            return self.home(said=query.get("said", ""))
        if head == "study" and rest.endswith("/"):
            return self.study(rest.rstrip("/"), said=query.get("said", ""),
                              shown=query.get("open", ""), go=bool(query.get("go")))  # fmt: skip
        if head == "mend" and rest:
            return self.page("mend.html.j2", found=self.room.to_mend(rest))
        if head == "news":
            return self.news(query, gone)
        return self.page("gone.html.j2", 404)

    def home(self, said: str = "", fault: str = "", status: int = 200) -> Answer:
        studies = [(name, _title(folder) if at_home(folder) else name)
                   for name, folder in self.room.folders().items()]  # fmt: skip
        return self.page("home.html.j2", status, studies=studies, kinds=KINDS, said=said,
                         fault=fault, aside=self.room.aside(),
                         unconfirmed=self.room.unconfirmed())  # fmt: skip

    def study(
        self, name: str, said: str = "", fault: str = "", status: int = 200, shown: str = "",
        go: bool = False,
    ) -> Answer:  # fmt: skip
        """A study's page; ``shown``: the name of the block whose form stands open, and whether the
        reader is taken there."""
        folder, version = self.room.folder(name), self.room.stage.version
        opened = self.room.opened(name)
        known: dict[str, Any] = {"questions": (), "notices": (), "parts": {}, "broken": ""}
        people = False
        try:
            source = StudyText(opened.text)
            if not isinstance(source.value, dict):
                raise CannotEdit("study.yaml is empty; write it below, or start the study anew")
            known["questions"] = tuple(asked(source))
            known["notices"] = noticed(opened.text)
            known["answering"] = answering(source)
            known["parts"] = groups(source, folder)
            people = of_people(source)
        except StudyError as error:
            known["broken"] = " ".join(map(str, error.problems))
        except CannotEdit as error:
            known["broken"] = str(error)
        return self.page(
            "study.html.j2", status, name=name, id=study_id(folder), built=version,
            opened=opened, said=said, fault=fault, shown=shown, go=go,
            unconfirmed=self.room.unconfirmed(),
            tests=samples_of(people),
            drawn={k: (m.__doc__ or "").strip() for k, m in figure_kinds().items()}, **known,
        )  # fmt: skip

    def news(self, query: Mapping[str, str], gone: Callable[[], bool]) -> Answer:
        seen = query.get("seen", "")
        version, waited = int(seen) if _NUMBER.fullmatch(seen) else -1, 0.0
        first = version
        while version == first and waited < PATIENCE and not (gone() or self.ending.is_set()):
            version = self.room.stage.newer_than(first, 0.5)
            waited += 0.5
        return Answer(json.dumps({"version": version}).encode(), "application/json")

    def preview(self, path: str) -> Answer:
        """A file of the site as it was built last."""
        path = path or "index.html"
        path = path + "index.html" if path.endswith("/") else path
        study, _, rest = path.partition("/")
        site = self.room.stage.site
        body = b""
        if stays_inside(path) and (site / path).is_file():
            body = (site / path).read_bytes()
        if not body and rest not in ("", "index.html"):  # that one is built first of all
            body = self.room.stage.paper(study, rest) or b""
        if not body:
            return self.not_yet()
        kind = mimetypes.guess_type(path)[0] or "application/octet-stream"
        if kind.startswith("text/"):
            kind += "; charset=utf-8"
        return Answer(body, kind, framed=True)

    def not_yet(self) -> Answer:
        """In place of a page of the preview; it leads nowhere."""
        text = _environment().get_template("not-yet.html.j2").render().encode("utf-8")
        return Answer(text, status=404, framed=True)

    # -- POST

    def post(self, path: str, asking: Asking) -> Answer:
        """What a form asks for; then the page that shows it done."""
        head, _, rest = path.partition("/")
        if head == "begin":
            return self.begin(asking)
        if head == "publish":
            return self.publish(asking)
        if head in ("aside", "back") and rest:
            return self.move(head, rest, asking)
        if head == "end":
            self.ending.set()
            return self.page("ended.html.j2")
        folder = partial(self.room.folder, rest)
        changes: dict[str, Change] = {
            "edit": _edit, "remove": _remove, "text": _text,
            "answer": lambda source, form: _answer(source, form, known(source, folder())),
            "add": lambda source, form: _add(source, form, known(source, folder())),
        }  # fmt: skip
        if head not in changes or not rest:
            return self.page("gone.html.j2", 404)
        return self.change(rest, head, changes[head], asking)

    def begin(self, asking: Asking) -> Answer:
        before = set(self.room.folders())
        try:
            self.room.begin(asking.get("name"), asking.files, asking.get("kind"))
        except ExplainerError as fault:
            return self.home(fault=one_line(str(fault)), status=422)
        [name] = set(self.room.folders()) - before
        return self._on(f"study/{quote(name)}/", "The study is begun. Next: its questions.")

    def move(self, way: str, name: str, asking: Asking) -> Answer:
        """A study out of what is published, or into it again."""
        try:
            if way == "aside" and not asking.get("sure"):
                raise UsageError(f"tick that {name} is to be left out; nothing was moved")
            to = self.room.set_aside(name) if way == "aside" else self.room.bring_back(name)
        except ExplainerError as fault:
            return self.home(fault=one_line(str(fault)), status=422)
        told = "is left out of what is published" if way == "aside" else "is back"
        return self._on("", f"{name} {told}; its files are in {to.relative_to(self.room.root)}.")

    def change(self, name: str, way: str, make: Change, asking: Asking) -> Answer:
        try:
            opened = self.room.opened(name, asking.get("seen"))
            # A broken file is mended as a whole text, which needs nothing of it.
            source = _Broken(opened.text) if way == "text" else StudyText(opened.text)
            made, said = make(source, asking)
            self.room.save(name, made, opened.digest)
        except ExplainerError as fault:
            shown = _block_of(way, asking, None)
            return self.study(name, fault=one_line(str(fault)), status=422, shown=shown)
        return self._on(f"study/{quote(name)}/", said, _block_of(way, asking, made), way == "add")

    def publish(self, asking: Asking) -> Answer:
        name = asking.get("study")
        try:
            if name:
                self.room.folder(name)
            if asking.get("as") not in ("", "folder", "zip"):
                raise UsageError("a site is published as a folder or as a zip; nothing was")
            self.room.target_of(asking.get("into"))
            if (open_ones := self.room.unconfirmed()) and not asking.get("unconfirmed"):
                told = ", ".join(f"{one} ({n} open)" for one, n in open_ones.items())
                raise UsageError(f"guesses of a draft are not confirmed yet: {told}; answer them, "
                                 "leave the study out, or tick that they go out marked as guesses; "
                                 "nothing was published")  # fmt: skip
            if asking.get("as") == "zip":
                data, outcome = self.room.zipped()
                if not outcome.published:
                    return self._told_of(outcome, "")
                return Answer(data, "application/zip", name="site.zip")
            target, outcome = self.room.publish(asking.get("into"))
        except ExplainerError as fault:
            fault_said = one_line(str(fault))
            if name in self.room.folders():
                return self.study(name, fault=fault_said, status=422)
            return self.home(fault=fault_said, status=422)
        return self._told_of(outcome, str(target / "index.html"))

    def _told_of(self, outcome: Outcome, where: str) -> Answer:
        said = [str(p) for fault in outcome.failed.values() for p in fault.problems]
        said += [str(p) for p in outcome.warnings]
        said += [outcome.lacks] if outcome.lacks else []
        return self.page("published.html.j2", outcome=outcome, index=where, lines=said)

    def _on(self, to: str, said: str, shown: str = "", go: bool = False) -> Answer:
        more = f"&open={quote(shown, safe='')}" + ("&go=1" if go else "") if shown else ""
        return Answer(b"", status=303, to=f"{self.base}{to}?said={quote(said)}{more}")


#: What a form makes of a study's file, and what is said of it.
Change = Callable[[StudyText, Asking], tuple[StudyText, str]]


class _Broken(StudyText):
    """A text that need not be sound, to be replaced as a whole."""

    def __init__(self, text: str) -> None:
        self.text = text


def _block_of(way: str, asking: Asking, made: StudyText | None) -> str:
    """The name of the block that a form was about, or that it added; empty where it was none."""
    if way == "add" and made is not None:
        what = asking.get("what")
        return name_of((what, len(made.at((what,)) or ()) - 1))
    names = [k[2:] for k in asking.fields if k.startswith("f-")] if way == "edit" else []
    path = path_of(names[0])[:2] if names else ()
    return name_of(path) if len(path) == 2 else ""


def _answer(
    source: StudyText, asking: Asking, offer: Offered = NOTHING_OFFERED
) -> tuple[StudyText, str]:
    def ticked(which: str) -> frozenset[int]:
        return frozenset(int(k.removeprefix(which)) for k, v in asking.fields.items()
                         if k.startswith(which) and is_place(k.removeprefix(which)) and v)

    every = frozenset(q.line for q in asked(source))
    right = every if asking.get("rest") else ticked("right-")
    typed = {k[5:]: v for k, v in asking.fields.items() if k.startswith("line-")}
    made = answered(source, typed, right, ticked("no-"), offer, ticked("out-"))
    made, told = followed(source, made)
    left = len(list(asked(made)))
    said = f"{left} question{'s' * (left != 1)} left." if left else "All is answered."
    return made, f"Saved.{left_out(typed)} {said}{told}"


def _edit(source: StudyText, asking: Asking) -> tuple[StudyText, str]:
    typed = {k[2:]: v for k, v in asking.fields.items() if k.startswith("f-")}
    made, told = followed(source, edited(source, typed))
    return made, f"Saved.{left_out(typed)}{told}"


def _add(
    source: StudyText, asking: Asking, offer: Offered = NOTHING_OFFERED
) -> tuple[StudyText, str]:
    what = asking.get("what")
    entry: dict[str, Any]
    if what == "claims":
        kind = asking.get("kind")
        model = test_kinds().get(kind)
        if model is None:
            raise CannotEdit("choose how the sentence is to be held against the data")
        sentence = asking.get("says").strip()
        if not sentence:
            raise CannotEdit("write the report's own sentence first")
        entry = {"id": _id(source, "claims", sentence), "report_says": sentence,
                 "plainly": asking.get("plainly").strip() or sentence,
                 "test": started(model, kind, source, offer, sentence)}  # fmt: skip
        said = "The claim is added. Look at its fields: what is held against what."
    elif what == "figures":
        figure = figure_kinds().get(asking.get("kind"))
        if figure is None:
            raise CannotEdit("choose a kind of figure")
        entry = {"id": _id(source, "figures", asking.get("kind")),
                 **started(figure, asking.get("kind"), source, offer)}  # fmt: skip
        said = "The figure is added. Look at its fields: what it draws."
    elif what in ("questions", "advice"):
        text = asking.get("says").strip()
        if not text:
            raise CannotEdit("write it first")
        entry = {"ask": text} if what == "questions" else {"do": text}
        said = "Added."
    else:
        raise CannotEdit("nothing of that name can be added here")
    return source.append((what,), entry), said


def _id(source: StudyText, key: str, text: str) -> str:
    """A name for a new entry that none has yet."""
    from explainer.draft.folder import better_name

    base = "-".join(better_name(text).split("-")[:5])[:50].strip("-") or "one"
    taken = {e.get("id") for e in source.at((key,)) or [] if isinstance(e, dict)}
    name, number = base, 1
    while name in taken:
        number += 1
        name = f"{base}-{number}"
    return name


def _remove(source: StudyText, asking: Asking) -> tuple[StudyText, str]:
    path = path_of(asking.get("path"))
    if len(path) == 2 and path[0] == "measures":
        if users := users_of(source, str(path[1])):
            raise CannotEdit(f"`{path[1]}` is used by {', '.join(users)}; take these out first; "
                             "nothing was taken out")  # fmt: skip
        return source.drop(path), f"The measure {path[1]} is taken out; its column stays."
    if len(path) != 2 or path[0] not in ("claims", "figures", "questions", "advice"):
        raise CannotEdit("that cannot be taken out here")
    made = source.drop(path)
    if made.text == source.text:
        raise CannotEdit("that is not there any more; nothing was taken out")
    return made, "Taken out."


def _text(source: StudyText, asking: Asking) -> tuple[StudyText, str]:
    text = asking.get("text").replace("\r\n", "\n").replace("\r", "\n")
    return _Broken(text), "The file is saved as you wrote it."


def _title(folder: Path) -> str:
    with suppress(FileFault, UnicodeDecodeError):
        for line in read_file(folder, DESCRIPTION, MAX_BYTES).decode("utf-8-sig").splitlines():
            if line.startswith("title:"):
                return line[6:].split(" #")[0].strip().strip("\"'") or folder.name
    return folder.name


class RoomHandler(LocalHandler):
    """One question of a browser."""

    desk: RoomPages
    server_version = "explainer-room"

    def do_GET(self) -> None:
        """A page, for whoever has the address."""
        address = self.asked()
        if shown := self._behind(self.desk.shown, address.path):
            self._shown(file_of(shown))
        elif path := self._path(address.path):
            query = dict(parse_qsl(address.query))
            if path == "/news":
                self.waits(2 * PATIENCE)
            self._answer(lambda: self.desk.get(unquote(path[1:]), query, lambda: self.gone))

    def do_HEAD(self) -> None:
        self.do_GET()

    def do_POST(self) -> None:
        """A form of one of our pages."""
        length = self.headers.get("Content-Length", "")
        own = f"http://{self.headers.get('Host', '')}"
        path = self._path(self.asked().path)
        if not path:
            return
        if self.headers.get("Origin") != own:
            self.close_connection = True
            self._send(Answer(b"only a page of the workroom may ask\n", "text/plain", 403))
        elif not _NUMBER.fullmatch(length) or int(length) > MOST_ASKED:
            self.close_connection = True
            self._send(Answer(b"too much was sent at once\n", "text/plain", 413))
        else:
            body = self.taken(int(length))
            kind = self.headers.get("Content-Type", "")
            try:
                asking = form_of(kind, body)
            except TooMuch as of:
                said = f"too many {of} were sent at once; nothing was saved\n"
                self._send(Answer(said.encode(), "text/plain", 413))
            else:
                self._answer(lambda: self.desk.post(unquote(path[1:]), asking))

    def _path(self, path: str) -> str:
        """The path behind the secret, from its slash on; empty, and refused, without it."""
        behind = self._behind(self.desk.secret, path)
        if not behind:
            self.close_connection = True
            self._send(Answer(b"nothing here\n", "text/plain", 403))
        return behind

    def _behind(self, secret: str, path: str) -> str:
        """The path behind that secret, from its slash on; empty without it."""
        given, slash, rest = path.lstrip("/").partition("/")
        right = secrets.compare_digest(given.encode(), secret.encode())
        return f"/{rest}" if right and slash and self.asked_here() else ""

    def _shown(self, path: str) -> None:
        """A file of the preview.  Nothing that goes there may hold the workroom's own address."""
        try:
            answer = self.desk.preview(path[1:]) if path else self.desk.not_yet()
        except Exception:  # what is wrong stands in the workroom's list
            answer = self.desk.not_yet()
        self._send(answer)

    def _answer(self, make: Callable[[], Answer]) -> None:
        try:
            answer = make()
        except ExplainerError as fault:
            answer = self.desk.home(fault=one_line(str(fault)), status=404)
        except Exception as fault:  # a fault of ours must not end the work
            answer = self.desk.home(fault=one_line(ours(fault)), status=500)
        self._send(answer)

    def _send(self, answer: Answer) -> None:
        with suppress(BrokenPipeError, ConnectionResetError):
            self.send_response(answer.status)
            for name, value in self._headers(answer):
                self.send_header(name, value)
            self.end_headers()
            if self.command != "HEAD":
                self.wfile.write(answer.body)

    def _headers(self, answer: Answer) -> Iterable[tuple[str, str]]:
        yield "Content-Type", answer.kind
        yield "Content-Length", str(len(answer.body))
        yield "Cache-Control", "no-store"
        yield "X-Content-Type-Options", "nosniff"
        yield "Referrer-Policy", "same-origin"
        yield "Cross-Origin-Resource-Policy", "same-origin"
        if answer.framed:
            # A page is made with the workspace's own templates, and those may be a stranger's:
            # beside our forms its script must not run, and in a tab it gets an origin of its own,
            # which may ask nothing of us.
            inside = self.headers.get("Sec-Fetch-Dest") == "iframe"
            may = "allow-same-origin" if inside else "allow-scripts"
            yield "X-Frame-Options", "SAMEORIGIN"
            yield "Content-Security-Policy", f"sandbox {may} allow-popups allow-downloads"
        else:
            yield "X-Frame-Options", "DENY"
            yield "Content-Security-Policy", policy()
        if answer.to:
            yield "Location", answer.to
        if answer.name:
            yield "Content-Disposition", f'attachment; filename="{answer.name}"'


def open_room(
    root: Path, port: int | None, tell: Callable[[str], None], browse: bool = True,
    stop: threading.Event | None = None,
) -> None:  # fmt: skip
    """Serves the workroom until it is ended on its page, by ``stop`` or by Ctrl-C.

    Raises UsageError where the port is taken, OutputError where there is no room for a preview.
    """
    root = root.resolve()
    with somewhere() as site, ended_by_signals():
        stage = Stage(root, site, lambda line: None)
        desk = RoomPages(Room(root, stage), secrets.token_urlsafe(24), secrets.token_urlsafe(24))
        if stop is not None:
            desk.ending = stop
        handler = type("RoomHandler", (RoomHandler,), {"desk": desk})
        with running(handler, port) as address:
            where = address.rstrip("/") + desk.base
            tell(f"workroom: {where} (Ctrl-C ends it)")
            if browse:
                with suppress(webbrowser.Error):
                    webbrowser.open(where)
            with suppress(KeyboardInterrupt):
                _attend(stage, desk.ending)
            desk.ending.wait(0.3)  # the last page gets its answer
    tell("workroom closed")


def _attend(stage: Stage, ending: threading.Event) -> None:
    """Builds the preview, and again after each change of a file."""
    while not ending.is_set():
        if (stage.root / "studies").is_dir():
            before = stamps(stage.root)
            stage.rebuild()
            follow(stage, ending, before)
        else:
            ending.wait(0.3)
