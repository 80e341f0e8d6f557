"""Who may ask the workroom anything: this computer, with the address, from a page of its own."""

from __future__ import annotations

import hashlib
import re
import socket
import time
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import quote, urlencode

import pytest

from explainer.errors import UsageError
from explainer.publish.local_server import from_here
from explainer.room.forms import form_of
from explainer.room.room import OWN, Room, folder_to_work_in

SHEET = b"ball,games,hook\n" + b"".join(
    b"P%d,0,%d\nP%d,60,%d\n" % (i, 12 + i % 3, i, 9 + i % 2) for i in range(1, 7)
)


def ask(room, method: str, path: str, body: bytes = b"", **headers: str):
    link = HTTPConnection("127.0.0.1", room.port, timeout=60)
    own = {"Origin": f"http://127.0.0.1:{room.port}"} if method == "POST" else {}
    link.request(method, path, body, own | {k.replace("_", "-"): v for k, v in headers.items()})
    answer = link.getresponse()
    text = answer.read().decode("utf-8", "replace")
    link.close()
    return answer, text


def begin(room, name: str = "first", sheet: bytes = SHEET, file: str = "hook.csv"):
    body = (
        b'--x\r\nContent-Disposition: form-data; name="name"\r\n\r\n' + name.encode() + b"\r\n"
        b'--x\r\nContent-Disposition: form-data; name="files"; filename="' + file.encode()
        + b'"\r\nContent-Type: text/csv\r\n\r\n' + sheet + b"\r\n--x--\r\n"
    )  # fmt: skip
    return ask(room, "POST", f"/{room.secret}/begin", body,
               Content_Type="multipart/form-data; boundary=x")  # fmt: skip


def shown(room) -> str:
    """The secret of the preview, as the page of a study names it."""
    _, page = ask(room, "GET", f"/{room.secret}/study/first/")
    secrets = set(re.findall(r'(?:src|href)="/([\w-]{20,})/first/"', page))
    assert len(secrets) == 1, page
    return secrets.pop()


def fields(**given: str) -> bytes:
    return urlencode(given).encode()


@pytest.mark.parametrize(
    ("path", "headers"),
    [
        ("/", {}), ("/wrong-secret/", {}), ("/{secret}x/", {}), ("/{secret}", {}),
        ("/{secret}/", {"Host": "elsewhere.example"}),
        ("/{secret}/study/first/", {"Host": "127.0.0.1.example:80"}),
    ],
)  # fmt: skip
def test_without_the_address_or_from_elsewhere_there_is_nothing(room, path, headers):
    answer, text = ask(room, "GET", path.format(secret=room.secret), **headers)
    assert answer.status == 403
    assert text == "nothing here\n"
    assert room.secret not in str(answer.headers)


def test_only_its_own_pages_may_change_anything(room):
    for origin in ("http://elsewhere.example", "null", f"http://localhost:{room.port}", ""):
        answer, _ = ask(room, "POST", f"/{room.secret}/end", Origin=origin)
        assert answer.status == 403
    assert not room.stop.is_set()
    answer, _ = ask(room, "POST", f"/{room.secret}/end")
    assert answer.status == 200
    assert room.stop.is_set()


def test_a_name_without_our_letters_is_told_as_that(room):
    answer, page = begin(room, "名")
    assert answer.status == 422 and "found no letter from a to z" in page


def test_a_field_thousands_of_blocks_deep_is_refused(room):
    begin(room)
    _, page = ask(room, "GET", f"/{room.secret}/study/first/")
    [seen, *_] = re.findall(r'name="seen" value="(\w+)"', page)
    answer, page = ask(room, "POST", f"/{room.secret}/edit/first",
                       fields(**{"seen": seen, "f-a" + "/b" * 5_000: "x"}),
                       Content_Type="application/x-www-form-urlencoded")  # fmt: skip
    assert answer.status == 422 and "found a field 5000 blocks deep" in page


@pytest.mark.parametrize(("road", "named"), [
    ("edit", {f"f-claims/{'9' * 5_000}/x": "zork"}), ("answer", {f"out-{'9' * 5_000}": "yes"}),
    ("remove", {"path": f"claims/{'9' * 5_000}"}), ("answer", {f"right-{'9' * 5_000}": "yes"}),
])  # fmt: skip
def test_a_place_of_thousands_of_digits_is_no_fault_of_ours(room, road, named):
    begin(room)
    _, page = ask(room, "GET", f"/{room.secret}/study/first/")
    [seen, *_] = re.findall(r'name="seen" value="(\w+)"', page)
    answer, page = ask(room, "POST", f"/{room.secret}/{road}/first",
                       fields(**{"seen": seen, **named}),
                       Content_Type="application/x-www-form-urlencoded")  # fmt: skip
    assert answer.status in (303, 422) and "a fault of explainer" not in page


def test_every_page_says_what_it_may_do(room):
    begin(room)
    for path in ("", "study/first/", "nowhere"):
        answer, _ = ask(room, "GET", f"/{room.secret}/{path}")
        policy = answer.headers["Content-Security-Policy"]
        assert policy.startswith("default-src 'none'") and "unsafe" not in policy
        assert answer.headers["X-Frame-Options"] == "DENY"
        assert answer.headers["Cache-Control"] == "no-store"


@pytest.mark.parametrize("dest", ["iframe", "document", ""])
def test_a_previewed_page_never_has_both_its_script_and_our_origin(room, dest):
    """Its template may be a stranger's: it published a site to a folder of its own choosing."""
    begin(room)
    for path in ("first/", "first/index.html", "nowhere/"):
        answer, _ = ask(room, "GET", f"/{shown(room)}/{path}", **{"Sec-Fetch-Dest": dest})
        may = answer.headers["Content-Security-Policy"].split()
        assert may[0] == "sandbox"
        assert ("allow-scripts" in may) == (dest != "iframe")
        assert ("allow-same-origin" in may) == (dest == "iframe")
        assert not {"allow-forms", "allow-top-navigation"} & set(may)


def test_whoever_sees_the_preview_cannot_work_in_the_room(room):
    """A script of its template reads the address it runs at, and where it was opened from."""
    begin(room)
    key = shown(room)
    assert key != room.secret
    for path in ("first/", "nowhere/", "", "\0", "study/first/", "news", "a" * 5_000):
        answer, text = ask(room, "GET", f"/{key}/{quote(path)}")
        assert room.secret not in text and room.secret not in str(answer.headers), path
        assert answer.headers["Content-Security-Policy"].startswith("sandbox"), path
    answer, _ = ask(room, "POST", f"/{key}/end")
    assert answer.status == 403 and not room.stop.is_set()
    answer, _ = ask(room, "GET", f"/{room.secret}/preview/first/")
    assert answer.status == 404
    _, page = ask(room, "GET", f"/{room.secret}/study/first/")
    for element in re.findall(rf"<[^>]*/{key}/[^>]*>", page):
        assert "noreferrer" in element or 'referrerpolicy="no-referrer"' in element


@pytest.mark.parametrize(
    "hosts", [(), ("127.0.0.1", "elsewhere.example"), ("elsewhere.example", "127.0.0.1"),
              ("127.0.0.1",) * 2],
)  # fmt: skip
def test_a_request_names_one_host(room, hosts):
    said = "".join(f"Host: {host}\r\n" for host in hosts)
    with socket.create_connection(("127.0.0.1", room.port), 30) as link:
        link.sendall(f"GET /{room.secret}/ HTTP/1.1\r\n{said}Connection: close\r\n\r\n".encode())
        answer = link.makefile("rb").read()
    assert answer.startswith(b"HTTP/1.1 403 ")
    assert room.secret.encode() not in answer


@pytest.mark.parametrize("path", ["../secret.txt", "%2e%2e/secret.txt", "..%5csecret.txt",
                                  "/etc/hostname", "first/../../secret.txt"])  # fmt: skip
def test_nothing_outside_the_preview_is_served(room, path):
    begin(room)
    (room.root / "secret.txt").write_text("do not show")
    answer, text = ask(room, "GET", f"/{shown(room)}/{path}")
    assert answer.status in (403, 404)
    assert "do not show" not in text


def test_a_sheet_begins_a_study_and_nothing_is_ever_replaced(room):
    answer, _ = begin(room, "Über: the hook?")
    assert answer.status == 303
    assert (room.root / "studies" / "ber-the-hook" / "originals" / "hook.csv").read_bytes() == SHEET
    answer, text = begin(room, "ber-the-hook")
    assert answer.status == 422
    assert "is there already" in text
    for sheet, file, said in ((b"", "empty.csv", "is empty"), (b"%PDF-1.7", "r.pdf", "is a PDF"),
                              (b"\x00\x01\x02" * 50, "x.csv", "")):  # fmt: skip
        answer, text = begin(room, "other", sheet, file)
        assert answer.status == 422
        assert said in text
        assert "Traceback" not in text
    assert [p.name for p in (room.root / "studies").iterdir() if p.is_dir()] == ["ber-the-hook"]


def test_a_path_in_a_files_name_is_no_path(room):
    assert begin(room, "one", file="../../../up.csv")[0].status == 303
    assert begin(room, "two", file="C:\\\\Users\\\\me\\\\up.csv")[0].status == 303
    for name in ("one", "two"):
        originals = room.root / "studies" / name / "originals"
        assert [p.name for p in originals.iterdir()] == ["up.csv"]


def test_a_files_name_may_be_anything(room):
    """A character that no name can hold, and more letters than one can."""
    assert begin(room, "one", file="a\0b\x7f\u202e.csv")[0].status == 303
    assert begin(room, "two", file=f"{'é' * 5_000}.csv")[0].status == 303
    for name in ("one", "two"):
        (kept,) = (room.root / "studies" / name / "originals").iterdir()
        assert kept.suffix == ".csv" and kept.read_bytes() == SHEET and len(kept.name) < 120


@pytest.mark.parametrize("into", ["x" * 5_000, "~nobody-has-this-name/site", "a\0b"])
def test_a_folder_that_cannot_be_is_said_in_a_line(tmp_path, into):
    with pytest.raises(UsageError, match="type another"):
        Room(tmp_path, None).publish(into)


@pytest.mark.parametrize(
    ("host", "ours"),
    [("127.0.0.1:8742", True), ("localhost", True), ("localhost:1", True), ("", False),
     ("127.0.0.1:8742, evil.example", False), ("127.0.0.1:8742:evil.example", False),
     ("evil.example:8742", False)],
)  # fmt: skip
def test_a_request_is_addressed_to_this_computer_and_nothing_else(host, ours):
    assert from_here(host) is ours


def test_claims_and_figures_come_and_go_in_the_file(room):
    begin(room)
    file = room.root / "studies" / "first" / "study.yaml"
    drafted = file.read_text("utf-8")

    def post(ask_for: str, **given: str):
        seen = hashlib.sha256(file.read_bytes()).hexdigest()
        return ask(room, "POST", f"/{room.secret}/{ask_for}/first", fields(seen=seen, **given),
                   Content_Type="application/x-www-form-urlencoded")  # fmt: skip

    answer, _ = post("add", what="claims", kind="change", says="Hook fell: a lot.", plainly="Less.")
    assert answer.status == 303
    text = file.read_text("utf-8")
    assert '  - id: hook-fell-a-lot\n    report_says: "Hook fell: a lot."\n' in text
    assert set(drafted.splitlines()) <= set(text.splitlines())
    number = text.count("\n  - id: hook", 0, text.index("hook-fell-a-lot")) - 1
    answer, page = post("edit", **{f"f-claims/{number}/test/to": "sixty: {"})
    assert answer.status == 303
    assert 'to: "sixty: {"' in file.read_text("utf-8")  # as typed; proof says what is wrong
    answer, _ = post("add", what="figures", kind="scatter")
    assert answer.status == 303
    answer, _ = post("remove", path=f"claims/{number}")
    assert answer.status == 303
    assert "hook-fell-a-lot" not in file.read_text("utf-8")
    answer, page = post("remove", path="measures/hook")
    assert answer.status == 422
    answer, page = ask(room, "POST", f"/{room.secret}/edit/first",
                       fields(seen="0", **{"f-title": "Over it"}),
                       Content_Type="application/x-www-form-urlencoded")  # fmt: skip
    assert answer.status == 422
    assert "changed elsewhere" in page
    assert "Over it" not in file.read_text("utf-8")


def test_a_broken_file_is_mended_as_a_text(room):
    begin(room)
    file = room.root / "studies" / "first" / "study.yaml"
    good = file.read_bytes()
    file.write_bytes(good.replace(b"title:", b"title: [", 1))
    answer, page = ask(room, "GET", f"/{room.secret}/study/first/")
    assert answer.status == 200
    assert "cannot be read as it stands" in page
    seen = hashlib.sha256(file.read_bytes()).hexdigest()
    text = good.decode("utf-8").replace("\n", "\r\n")  # as a browser sends it
    answer, _ = ask(room, "POST", f"/{room.secret}/text/first", fields(seen=seen, text=text),
                    Content_Type="application/x-www-form-urlencoded")  # fmt: skip
    assert answer.status == 303
    assert file.read_bytes() == good


def test_files_of_any_bytes_come_through_a_form_as_they_are():
    data = bytes(range(256)) * 3 + b"\r\n--almost\r\n\r\n"
    body = (
        b'--xyz\r\nContent-Disposition: form-data; name="files"; filename="a.xlsx"\r\n'
        b"Content-Type: application/octet-stream\r\n\r\n" + data + b"\r\n--xyz--\r\n"
    )
    asking = form_of("multipart/form-data; boundary=xyz", body)
    assert asking.files == (("a.xlsx", data),)


def test_a_form_of_more_parts_than_any_page_sends_is_refused_at_once(room):
    """Two hundred thousand took minutes."""
    part = b'--x\r\nContent-Disposition: form-data; name="a%d"\r\n\r\n1\r\n'
    head = b"--x\r\nContent-Disposition: form-data; name=a" + b"; b=c" * 500_000 + b"\r\n\r\n1\r\n"
    deep = b"--x\r\nContent-Disposition: form-data; " + b"((" * 5_000 + b"\r\n\r\n1\r\n"
    many = b"".join(part % n for n in range(200_000))
    for body, of in ((deep, "words about a file"), (many, "fields and files"),
                     (head, "words about a file"), (b"a=1&" * 1_000_000, "fields")):  # fmt: skip
        kind = "multipart/form-data; boundary=x" if body.startswith(b"--x") else \
            "application/x-www-form-urlencoded"  # fmt: skip
        began = time.process_time()
        answer, text = ask(room, "POST", f"/{room.secret}/begin", body, Content_Type=kind)
        told = f"too many {of} were sent at once; nothing was saved\n"
        assert (answer.status, text) == (413, told)
        assert time.process_time() - began < 5
    assert not (room.root / "studies").exists()


def test_a_form_within_a_file_that_looks_like_one_stays_the_file_s():
    inner = b"Content-Type: multipart/mixed; boundary=y\r\n\r\n--y\r\n\r\n2\r\n--y--"
    body = (
        b'before\r\n--x\r\nContent-Disposition: form-data; name="files"; '
        b'filename="M\xc3\xbcller.csv"\r\n\r\n' + inner
        + b'\r\n--x\r\nContent-Disposition: form-data; name="name"\r\n\r\n'
        b"one\r\ntwo\r\n--x--\r\nafter"
    )
    asking = form_of("multipart/form-data; boundary=x", body)
    assert asking.files == (("Müller.csv", inner),)
    assert asking.fields == {"name": "one\r\ntwo"}
    assert form_of("multipart/form-data", body) == form_of("multipart/form-data; boundary=z", body)


@pytest.mark.parametrize(
    ("file", "kept"),
    [("..", "sheet.csv"), (".", "sheet.csv"), ("...", "sheet.csv"),
     ("../../up.csv", "up.csv"), ("C:\\\\in\\\\here.csv", "here.csv"), ("con.csv", "sheet.csv"),
     ("a.csv ", "a.csv"), ("a:b.csv", "sheet.csv")],
)  # fmt: skip
def test_a_file_of_no_name_or_one_that_no_system_keeps_gets_another(room, file, kept):
    answer, _ = begin(room, file=file)
    assert answer.status == 303
    originals = room.root / "studies" / "first" / "originals"
    assert [p.name for p in originals.iterdir()] == [kept]


def test_where_it_works(tmp_path, monkeypatch):
    work = tmp_path / "work"
    (work / "studies" / "one").mkdir(parents=True)
    assert folder_to_work_in(None, work / "studies" / "one") == work
    assert folder_to_work_in(Path("given"), work) == Path("given")
    (tmp_path / "empty").mkdir()
    assert folder_to_work_in(None, tmp_path / "empty") == tmp_path / "empty"
    programs = tmp_path / "bin"
    programs.mkdir()
    monkeypatch.setattr("sys.argv", [str(programs / "explainer")])
    home = tmp_path / "home"
    (home / "Documents").mkdir(parents=True)
    assert folder_to_work_in(None, programs, home) == home / "Documents" / OWN
    assert folder_to_work_in(None, Path(tmp_path.anchor), home).is_dir()


def test_a_place_that_is_not_there_and_a_name_that_cannot_be_are_told(room):
    begin(room)
    file = room.root / "studies" / "first" / "study.yaml"
    before = file.read_bytes()
    seen = hashlib.sha256(before).hexdigest()
    for where, sent, told in (
        ("edit/first", {"seen": seen, "f-claims/99999999/say": "x"}, "no place for"),
        ("publish", {"study": "first", "as": "folder", "into": "\0"}, "a character that no name"),
    ):
        answer, text = ask(room, "POST", f"/{room.secret}/{where}", fields(**sent),
                           Content_Type="application/x-www-form-urlencoded")  # fmt: skip
        assert answer.status == 422, text[:300]
        assert told in text
    assert file.read_bytes() == before
