"""Files that nobody should have to open: one clear line, bounded time, nothing written half."""

from __future__ import annotations

import io
import os
import struct
import zlib
from pathlib import Path

import pikepdf
import pytest
from layouts import LAYOUTS
from makers import MAKERS
from weasyprint import HTML

from explainer.errors import UsageError
from explainer.lift import bounded
from explainer.lift.bounded import page_picture, read_report
from explainer.lift.lift import chosen_pages, chosen_places, lift_report

DAY = "2026-01-31"
ROOT = Path(__file__).parents[2]


def saved_pdf(pdf: pikepdf.Pdf, **how) -> bytes:
    out = io.BytesIO()
    pdf.save(out, **how)
    return out.getvalue()


def drawing_of(content: bytes, count: int = 1) -> bytes:
    """A PDF whose pages draw ``content``."""
    pdf = pikepdf.new()
    for _ in range(count):
        page = pdf.add_blank_page(page_size=(612, 792))
        page.Contents = pdf.make_stream(content)
    return saved_pdf(pdf)


def refused(path, **how) -> str:
    with pytest.raises(UsageError) as fault:
        lift_report(path, DAY, **how)
    assert "\n" not in str(fault.value)
    return str(fault.value)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "is no PDF file"),
        (b"ball,games\nA,1\n", "is no PDF file"),
        (b"PK\x03\x04 a spreadsheet", "is no PDF file"),
        (b"%PDF-1.7\nand then nothing of the kind", "broken or no PDF"),
        (b"%PDF-1.7\n" + b"\x00\xff" * 5000, "broken or no PDF"),
    ],
)
def test_what_is_no_report_is_refused(saved, data, said) -> None:
    assert said in refused(saved(data))


def test_a_missing_file_and_a_folder_are_refused(tmp_path) -> None:
    assert "no file" in refused(tmp_path / "gone.pdf")
    assert "no file" in refused(tmp_path)


def test_an_encrypted_report_asks_for_an_open_copy(saved) -> None:
    pdf = pikepdf.new()
    pdf.add_blank_page()
    locked = saved_pdf(pdf, encryption=pikepdf.Encryption(user="secret", owner="secret"))
    assert "encrypted" in refused(saved(locked))


def test_a_report_that_only_forbids_copying_is_read(saved) -> None:
    """An owner's password alone locks nothing that a reader sees."""
    pdf = pikepdf.open(io.BytesIO(MAKERS["matplotlib"]("lines")))
    locked = saved_pdf(pdf, encryption=pikepdf.Encryption(owner="secret", user=""))
    assert len(lift_report(saved(locked), DAY).parts) == 1


def test_half_a_file_is_repaired_or_refused(saved) -> None:
    whole = MAKERS["matplotlib"]("lines")
    for share in (0.3, 0.6, 0.95):
        path = saved(whole[: int(share * len(whole))])
        said = ""
        try:
            assert lift_report(path, DAY).report.pages >= 1
        except UsageError as fault:
            said = str(fault)
        assert not said or "broken" in said


def test_a_scan_without_text_says_what_can_still_be_done(saved) -> None:
    from PIL import Image

    out = io.BytesIO()
    Image.new("RGB", (1200, 900), "white").save(out, "PDF")
    lifted = lift_report(saved(out.getvalue()), DAY)
    assert lifted.parts == []
    assert any("page 1" in f and "scan without text" in f and "--picture" in f
               for f in lifted.faults)  # fmt: skip


def test_a_million_drawn_objects_end_in_a_line_and_other_pages_are_read(saved) -> None:
    many = b"".join(b"%d %d m %d 9 l S\n" % (i % 600, i % 780, i % 500) for i in range(20_000))
    pdf = pikepdf.new()
    page = pdf.add_blank_page(page_size=(612, 792))
    page.Contents = pikepdf.Array([pdf.make_stream(many)] * 50)
    pdf.pages.extend(pikepdf.open(io.BytesIO(MAKERS["matplotlib"]("lines"))).pages)
    began = sum(os.times()[:4])
    lifted = lift_report(saved(saved_pdf(pdf)), DAY)
    assert sum(os.times()[:4]) - began < 30
    assert len(lifted.parts) == 1 and lifted.parts[0].says.startswith("page 2")
    (fault,) = lifted.faults
    assert "page 1" in fault and "--picture" in fault


def test_a_tree_of_pages_that_holds_itself_and_says_a_million_is_refused(saved) -> None:
    """The library would look for each of them, for ever."""
    objects = (b"<</Type/Catalog/Pages 2 0 R>>", b"<</Type/Pages/Kids[2 0 R]/Count 1000000>>")
    data, starts = b"%PDF-1.7\n", []
    for number, said in enumerate(objects, start=1):
        starts.append(len(data))
        data += b"%d 0 obj\n%s\nendobj\n" % (number, said)
    table = b"".join(b"%010d 00000 n \n" % at for at in starts)
    data += b"xref\n0 3\n0000000000 65535 f \n%strailer<</Size 3/Root 1 0 R>>\nstartxref\n%d\n" % (
        table, len(data))  # fmt: skip
    assert "says that it has 1,000,000 pages, expected 3,000" in refused(saved(data + b"%%EOF"))


def test_forms_that_hold_themselves_end(saved) -> None:
    pdf = pikepdf.new()
    page = pdf.add_blank_page(page_size=(612, 792))
    form = pdf.make_stream(b"/F Do 0 0 m 9 9 l S", Type=pikepdf.Name.XObject,
                           Subtype=pikepdf.Name.Form, BBox=[0, 0, 99, 99])  # fmt: skip
    form.Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(F=form))
    page.Resources = pikepdf.Dictionary(XObject=pikepdf.Dictionary(F=form))
    page.Contents = pdf.make_stream(b"/F Do")
    assert lift_report(saved(saved_pdf(pdf)), DAY).parts == []


def test_a_bomb_of_a_stream_costs_one_page(saved) -> None:
    """A few kilobytes that unpack to half a gigabyte of drawing."""
    pdf = pikepdf.new()
    page = pdf.add_blank_page(page_size=(612, 792))
    packer = zlib.compressobj(9)
    block = b"1 1 m 9 9 l S\n" * 70_000
    packed = b"".join(packer.compress(block) for _ in range(500)) + packer.flush()
    stream = pikepdf.Stream(pdf, packed)
    stream.Filter = pikepdf.Name.FlateDecode
    page.Contents = stream
    pdf.pages.extend(pikepdf.open(io.BytesIO(MAKERS["matplotlib"]("lines"))).pages)
    began = sum(os.times()[:4])
    lifted = lift_report(saved(saved_pdf(pdf)), DAY)
    assert sum(os.times()[:4]) - began < 40
    assert [p.says[:6] for p in lifted.parts] == ["page 2"]
    assert any("page 1" in fault for fault in lifted.faults)


def test_a_page_that_takes_too_long_is_named_and_left(saved) -> None:
    """With no time at all, every page is too slow, and each is said once."""
    pdf = pikepdf.new()
    for _ in range(3):
        pdf.pages.extend(pikepdf.open(io.BytesIO(MAKERS["vega"]("scatter"))).pages)
    records = list(read_report(saved(saved_pdf(pdf)), a_page=0.0))
    assert records[0] == {"pages": 3}
    told = [r for r in records[1:] if r["faults"]]
    assert told and all("--picture" in r["faults"][0] for r in told)
    assert {r["page"] for r in records[1:]} == {1, 2, 3}
    assert len({r["page"] for r in told}) == len(told)


def test_a_book_of_six_hundred_pages_is_skimmed(saved) -> None:
    pdf = pikepdf.open(io.BytesIO(HTML(string="<p>Hook increased by 3 boards here.").write_pdf()))
    for _ in range(597):
        pdf.pages.append(pdf.pages[0])
    last = HTML(string="<p>Texture fell by 9 all the while.").write_pdf()
    pdf.pages.extend(pikepdf.open(io.BytesIO(last)).pages)
    pdf.pages.extend(pikepdf.open(io.BytesIO(MAKERS["matplotlib"]("lines"))).pages)
    began = sum(os.times()[:4])
    lifted = lift_report(saved(saved_pdf(pdf)), DAY)
    assert sum(os.times()[:4]) - began < 60
    assert lifted.report.pages == 600
    assert [p.says[:8] for p in lifted.parts] == ["page 600"]
    said = {s["page"]: s["text"] for s in lifted.sentences}  # each once, however often it comes
    assert said == {1: "Hook increased by 3 boards here.", 599: "Texture fell by 9 all the while."}


def test_nothing_in_the_file_runs_or_is_followed(saved, tmp_path) -> None:
    """Scripts, launches, links and attached files are there, and nothing comes of them."""
    pdf = pikepdf.open(io.BytesIO(MAKERS["matplotlib"]("lines")))
    target = tmp_path / "made"
    pdf.Root.OpenAction = pikepdf.Dictionary(
        S=pikepdf.Name.Launch, F=f"/usr/bin/touch {target}",
        Next=pikepdf.Dictionary(S=pikepdf.Name.JavaScript, JS="app.launchURL('http://127.0.0.1:9')"),
    )  # fmt: skip
    pdf.attachments["evil.sh"] = f"touch {target}".encode()
    before = sorted(tmp_path.iterdir())
    path = saved(saved_pdf(pdf))
    assert len(lift_report(path, DAY).parts) == 1
    assert sorted(tmp_path.iterdir()) == sorted([*before, path])


def test_the_reading_process_may_write_nothing_and_take_a_gigabyte(tmp_path) -> None:
    """What its limits are worth: asked of a process that sets them on itself."""
    import subprocess
    import sys

    program = (
        "from explainer.lift.child import MEMORY\n"
        "from explainer.confined import Limits, confine\n"
        "confine(Limits(MEMORY, written=0, files=64))\n"
        "try:\n    bytearray(1_200_000_000); print('took it')\n"
        "except MemoryError: print('memory held')\n"
        "try:\n    open('made', 'wb', buffering=0).write(b'x'); print('wrote')\n"
        "except OSError: print('file held')\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True,
                          check=False, cwd=tmp_path,
                          env={"PYTHONPATH": str(ROOT)})  # fmt: skip
    assert "memory held" in done.stdout
    assert "wrote" not in done.stdout  # it ends by a signal, or with an error


def test_where_a_system_knows_no_such_limit_the_others_hold(monkeypatch) -> None:
    """One that counts no memory refuses to be asked; one that has no such module has no limits."""
    import resource
    import sys

    from explainer.confined import Limits, confine

    held: dict[int, tuple[int, int]] = {}

    def most(what: int, ends: tuple[int, int]) -> None:
        if what == resource.RLIMIT_AS:
            raise ValueError("current limit exceeds maximum limit")
        held[what] = ends

    monkeypatch.setattr(resource, "setrlimit", most)
    monkeypatch.setattr(resource, "getrlimit", lambda what: (100, 100))
    confine(Limits(10**9, written=7, seconds=2.0, files=64))
    assert held[resource.RLIMIT_FSIZE] == (7, 7)
    assert held[resource.RLIMIT_NOFILE] == (64, 64)
    assert held[resource.RLIMIT_CORE] == (0, 0)
    soft, hard = held[resource.RLIMIT_CPU]
    assert 2 < soft <= hard <= 100  # never more than there was
    held.clear()
    monkeypatch.setitem(sys.modules, "resource", None)
    confine(Limits(10**9, written=7))
    assert not held


def png_header(width: int, height: int) -> bytes:
    """A PNG that says it is that large and holds nothing."""
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)

    def chunk(kind: bytes, body: bytes) -> bytes:
        total = struct.pack(">I", zlib.crc32(kind + body))
        return struct.pack(">I", len(body)) + kind + body + total

    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", b"") + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    ("data", "name", "said"),
    [
        (png_header(20_000, 10_000), "large.png", "200 megapixels are too many"),
        (png_header(40, 40), "empty.png", "no image that can be read"),
        (b"not an image", "text.png", "no image that can be read"),
        (b"", "nothing.jpg", "no image that can be read"),
    ],
)
def test_a_picture_that_cannot_be_shown_is_refused(saved, data, name, said) -> None:
    with pytest.raises(UsageError) as fault:
        page_picture(saved(data, name), None, 2000)
    assert said in str(fault.value) and "\n" not in str(fault.value)


def test_a_large_photo_is_made_smaller(saved) -> None:
    from PIL import Image

    out = io.BytesIO()
    Image.new("RGB", (6000, 4000), "white").save(out, "JPEG")
    shown = page_picture(saved(out.getvalue(), "photo.jpg"), None, 2000)
    assert max(shown["width"], shown["height"]) <= 2000


def test_a_page_that_is_not_there_is_refused(saved) -> None:
    path = saved(MAKERS["matplotlib"]("lines"))
    assert "there is no page 7" in refused(path, pages=(7,))
    with pytest.raises(UsageError, match="there is no page 7"):
        page_picture(path, 7, 900)


def test_a_page_that_shows_nothing_of_its_sheet_says_so(saved) -> None:
    pdf = pikepdf.new()
    pdf.add_blank_page(page_size=(612, 792)).CropBox = [90_000, 90_000, 90_600, 90_800]
    with pytest.raises(UsageError, match="there is nothing to show on page 1"):
        page_picture(saved(saved_pdf(pdf)), 1, 900)


@pytest.mark.parametrize("text", ["", "x", "3-", "0", "5-3", "1-999999", "1,,2"])
def test_pages_that_are_none_are_refused(text) -> None:
    with pytest.raises(UsageError, match="--pages"):
        chosen_pages(text)


def test_a_page_beyond_any_report_is_told_as_that() -> None:
    with pytest.raises(UsageError, match="no report has a page 999999"):
        chosen_pages("1-999999")


def test_pages_and_places_are_understood() -> None:
    assert chosen_pages("3, 5-7,6") == (3, 5, 6, 7)
    assert chosen_places("0,12.5,-3") == (0.0, 12.5, -3.0)
    with pytest.raises(UsageError, match="--at"):
        chosen_places("0;1")


def test_without_the_extra_one_line_says_how_to_get_it(monkeypatch, saved) -> None:
    monkeypatch.setattr(bounded, "find_spec", lambda name: None)
    path = saved(HTML(string=LAYOUTS["ruled"][0]).write_pdf())
    assert 'pip install "explainer[lift]"' in refused(path)
