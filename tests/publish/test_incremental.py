"""A study is built again when anything its pages are made from changed, and only then."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from explainer.errors import DescriptionError, Problem
from explainer.publish import site
from explainer.publish.build_cache import BuildCache, shared_inputs
from explainer.publish.exchange import Staging
from explainer.publish.manifest import Built, Listing, digest
from explainer.publish.site import publish
from explainer.publish.ties import Ties
from explainer.study.load import open_workspace

NAMES = ("first", "second", "third")
PAGE = (
    "<!doctype html><html lang=en><title>t</title><h1 id=top>{}</h1><a href='../index.html'>.</a>"
    "<!-- other studies --><!-- /other studies -->"
)


@pytest.fixture
def root(tmp_path):
    for name in NAMES:
        folder = tmp_path / "home" / "studies" / name
        folder.mkdir(parents=True)
        (folder / "study.yaml").write_text(f"title: {name}\n")
        (folder / "a.csv").write_text("ball,hook\n")
    return tmp_path / "home"


@pytest.fixture
def again(root, target, monkeypatch):
    """Publishes and gives the studies that were built."""
    built: list[str] = []

    def quick(folder, workspace):
        built.append(folder.name)
        files = {f: (folder / f).read_bytes() for f in ("study.yaml", "a.csv")}
        said = files["study.yaml"].decode()
        if "fault" in said:
            raise DescriptionError(Problem("study.yaml", found="a fault"))
        return Built(
            Listing(
                folder.name, said.strip(), "Does it?", "It does.",
                ties=Ties(topic=said.partition(" about ")[2].strip()),
            ),
            {"index.html": PAGE.format(said).encode(), "data/a.csv": files["a.csv"]},
            read={name: digest(content) for name, content in files.items()},
        )  # fmt: skip

    def run(**more) -> list[str]:
        built.clear()
        workspace = open_workspace(root)
        folders = {f.name: f for f in sorted((root / "studies").iterdir()) if f.is_dir()}
        publish(workspace, folders, target, **more)
        return sorted(built)

    monkeypatch.setattr(site, "from_folder", quick)
    return run


def bytes_of(target: Path) -> dict[str, bytes]:
    return {str(p.relative_to(target)): p.read_bytes() for p in target.rglob("*") if p.is_file()}


def test_nothing_changed_builds_nothing_and_touches_nothing(again, target):
    assert again() == list(NAMES)
    before, inode = bytes_of(target), target.stat().st_ino
    assert again() == []
    assert bytes_of(target) == before
    assert target.stat().st_ino == inode  # not even swapped


@pytest.mark.parametrize("file", ["study.yaml", "a.csv"])
def test_a_changed_file_builds_its_study_alone(again, root, target, file):
    again()
    (root / "studies" / "second" / file).write_text("title: other\n")
    assert again() == ["second"]
    part = "index.html" if file == "study.yaml" else "data/a.csv"
    assert b"title: other" in (target / "second" / part).read_bytes()
    assert again() == []


def test_a_page_is_looked_at_again_only_where_its_word_about_others_is_new(
    again, root, target, monkeypatch
):
    looked: list[str] = []
    read = Staging.read
    monkeypatch.setattr(Staging, "read", lambda s, path: (looked.append(path), read(s, path))[1])

    def say(name: str, text: str) -> list[str]:
        looked.clear()
        (root / "studies" / name / "study.yaml").write_text(text)
        return again()

    again()
    assert say("second", "title: of late about wear\n") == ["second"]
    assert looked == ["second/index.html"]
    assert say("third", "title: of old about wear\n") == ["third"]
    assert looked == ["second/index.html", "third/index.html"]
    assert b"topic/wear/index.html" in (target / "second/index.html").read_bytes()
    assert say("third", "title: of old about hooks\n") == ["third"]
    assert looked == ["second/index.html", "third/index.html"]
    assert b"topic/" not in (target / "second/index.html").read_bytes()
    (root / "templates" / "parts").mkdir(parents=True)
    (root / "templates" / "parts" / "others.html.j2").write_text("<p>mine</p>")
    assert say("first", "title: first\n") == list(NAMES)
    assert looked == [f"{name}/index.html" for name in NAMES]
    assert all(b"<p>mine</p>" in (target / path).read_bytes() for path in looked)


def test_a_file_that_only_looks_new_builds_nothing(again, root):
    again()
    os.utime(root / "studies" / "second" / "a.csv", (1, 1))
    assert again() == []


@pytest.mark.parametrize(
    ("file", "text", "expected"),
    [
        ("studies/settings.yaml", "title: Ours\n", list(NAMES)),
        ("templates/site.css", "body { color: black }\n", list(NAMES)),
        ("templates/phrases/own.yaml", "greeting: Hello.\n", list(NAMES)),
        ("templates/everyday.yaml", "a pin: {like: a pin, size: 15 inch}\n", list(NAMES)),
        ("templates/index.html.j2", "<!doctype html><title>mine</title>", list(NAMES)),
        ("glossary/own.yaml", "- {term: zorple, plainly: p, explained: It is.}\n", list(NAMES)),
    ],
)
def test_what_all_studies_share_builds_them_all(again, root, target, file, text, expected):
    again()
    (root / file).parent.mkdir(parents=True, exist_ok=True)
    (root / file).write_text(text)
    before = bytes_of(target)
    assert again() == expected
    assert again() == []
    if "index" in file:
        assert b"mine" in (target / "index.html").read_bytes() != before["index.html"]


@pytest.mark.parametrize("kind", ["templates/parts", "templates", "glossary",
                                  "templates/site.css"])  # fmt: skip
def test_what_is_read_through_a_link_counts_too(again, root, target, kind):
    """Inside the workspace links are followed when templates are read."""
    real, link = root / "kept", root / kind
    inner = {"templates/parts": "index.html.j2", "templates": "site.css",
             "glossary": "own.yaml", "templates/site.css": ""}[kind]  # fmt: skip
    file = real / inner if inner else real
    file.parent.mkdir(parents=True, exist_ok=True)
    texts = ("/* 1 */\n", "/* 2 */\n")
    if kind == "glossary":
        entry = "- {term: zorple, plainly: p, explained: It is.}\n"
        texts = (entry, entry.replace("It is.", "It was."))
    file.write_text(texts[0])
    link.parent.mkdir(parents=True, exist_ok=True)
    link.symlink_to(real)
    (root / "templates").mkdir(exist_ok=True)
    (root / "templates" / "round").symlink_to(root / "templates")
    (root / "templates" / "out").symlink_to("/")
    again()
    assert again() == []
    file.write_text(texts[1])
    assert again() == list(NAMES)


def test_another_version_of_a_library_or_of_our_code_counts_for_every_page(root, monkeypatch):
    from explainer.publish import build_cache

    before = shared_inputs(open_workspace(root))
    monkeypatch.setattr(build_cache, "version", lambda name: "0")
    assert shared_inputs(open_workspace(root)) != before
    monkeypatch.undo()
    copy = root / "code"
    shutil.copytree(
        build_cache._PACKAGE, copy, ignore=shutil.ignore_patterns("__pycache__"), symlinks=True
    )
    monkeypatch.setattr(build_cache, "_PACKAGE", copy)
    assert shared_inputs(open_workspace(root)) == before
    (copy / "units.py").write_text("# other\n")
    assert shared_inputs(open_workspace(root)) != before


def test_a_page_somebody_changed_or_removed_is_made_again(again, target):
    again()
    good = bytes_of(target)
    page = target / "second" / "index.html"
    page.write_bytes(page.read_bytes().replace(b"second", b"sec0nd"))
    assert again() == ["second"]
    (target / "third" / "data" / "a.csv").unlink()
    assert again() == ["third"]
    (target / "index.html").write_text("spoilt")
    assert again() == []
    assert bytes_of(target) == good


@pytest.mark.parametrize(
    "spoil", ["gone", "garbage", "cut short", "another's", "other hashes", "a page of its own"]
)
def test_the_cache_is_never_trusted(again, root, target, spoil, monkeypatch, tmp_path):
    cache = tmp_path / "cache"
    monkeypatch.setenv("EXPLAINER_CACHE", str(cache))
    again()
    good = bytes_of(target)
    cached = BuildCache(root, target)
    held = {path: path.read_bytes() for path in cache.glob("*/*.json")}
    for path, content in held.items():
        if spoil == "gone":
            path.unlink()
        elif spoil == "garbage":
            path.write_bytes(b"[" * 100_000)
        elif spoil == "cut short":
            path.write_bytes(content[:-30])
        elif spoil == "another's":
            path.write_bytes(next(held[p] for p in held if p.stem in NAMES and p != path))
        else:  # as somebody would who knows how an entry is sealed: the pages still are hashed
            entry = cached.recall(path.stem)
            files = dict.fromkeys(entry.files, "0" * 64)
            if spoil == "a page of its own":
                files = {**entry.files, "../../evil.html": "0" * 64}
            cached.keep(path.stem, replace(entry, files=files))
    assert again() == list(NAMES)
    assert bytes_of(target) == good
    assert again() == []


def test_nobody_else_may_write_what_is_remembered(again, root, target, monkeypatch, tmp_path):
    """Even where whatever is made may be written by all."""
    monkeypatch.setenv("EXPLAINER_CACHE", str(tmp_path / "cache"))
    before = os.umask(0)
    try:
        again()
    finally:
        os.umask(before)
    assert list((tmp_path / "cache").glob("*/*.json"))
    assert all(p.stat().st_mode & 0o077 == 0 for p in (tmp_path / "cache").iterdir())


def test_a_byte_turned_anywhere_in_an_entry_makes_it_no_entry(again, target, root):
    """Listing, warnings and what the check found are taken from an entry as they stand."""
    again()
    good = bytes_of(target)
    cached = BuildCache(root, target)
    path = cached.folder / "second.json"
    whole, entry = path.read_bytes(), cached.recall("second")
    assert entry is not None and entry.looked and entry.listing
    for at in range(len(whole)):
        path.write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
        assert cached.recall("second") is None, at
    for part in (b'"made_from"', b'"listing"', b'"warnings"', b'"looked"', b'"read"'):
        at = whole.index(part) + len(part) + 5
        path.write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
        assert again() == ["second"], part
        assert bytes_of(target) == good


def test_a_cache_that_cannot_be_written_is_no_fault(again, target, monkeypatch, tmp_path):
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv("EXPLAINER_CACHE", str(tmp_path / "file"))
    assert again() == list(NAMES)
    assert again() == list(NAMES)


def test_a_change_while_publishing_is_not_remembered(root, target, again, monkeypatch):
    slow = site.from_folder

    def meddling(folder, workspace):
        (root / "templates").mkdir(exist_ok=True)
        (root / "templates" / "site.css").write_text("body { color: black }")
        return slow(folder, workspace)

    monkeypatch.setattr(site, "from_folder", meddling)
    again()
    monkeypatch.setattr(site, "from_folder", slow)
    assert again() == list(NAMES)


def test_a_study_that_fails_shows_the_day_of_its_pages_until_it_is_mended(again, root, target):
    again()
    good = bytes_of(target)
    os.utime(target / "second" / "index.html", (1_700_000_000, 1_700_000_000))
    said = (root / "studies" / "second" / "study.yaml").read_text()
    (root / "studies" / "second" / "study.yaml").write_text("fault")
    for _ in range(2):
        assert again() == ["second"]
        front = (target / "index.html").read_text()
        assert "last good pages, built on 2023-11-14." in front  # 1.7e9 s after 1970
        assert bytes_of(target)["second/index.html"] == good["second/index.html"]
    (root / "studies" / "second" / "study.yaml").write_text(said)
    assert again() == []  # its good pages are those of today again
    assert bytes_of(target) == good


def test_nothing_heavy_is_loaded_where_nothing_is_built(tmp_path):
    """Two runs on an empty study list's neighbour: a site whose one study is remembered."""
    code = """
import sys
from pathlib import Path
from explainer.publish import site
from explainer.publish.manifest import Built, Listing, digest
from explainer.study.load import open_workspace
root, target = Path(sys.argv[1]), Path(sys.argv[2])
page = b"<!doctype html><html lang=en><title>t</title><h1>x</h1>"
site.from_folder = lambda folder, workspace: Built(
    Listing("one", "T", "Q?", "A."), {"index.html": page},
    read={"study.yaml": digest((folder / "study.yaml").read_bytes())})
site.publish(open_workspace(root), {"one": root / "studies" / "one"}, target)
print(*sorted({name.split(".")[0] for name in sys.modules}))
"""
    folder = tmp_path / "home" / "studies" / "one"
    folder.mkdir(parents=True)
    (folder / "study.yaml").write_text("title: T\n")
    command = [sys.executable, "-c", code, str(tmp_path / "home"), str(tmp_path / "site")]
    for loaded in (True, False):
        done = subprocess.run(command, capture_output=True, text=True, check=True)
        assert ("jinja2" in done.stdout.split()) is loaded
    heavy = {"pandas", "numpy", "scipy", "matplotlib", "weasyprint", "pint", "statsmodels"}
    assert not heavy & set(done.stdout.split())


def test_a_cache_reads_back_what_it_kept(tmp_path):
    from explainer.publish.build_cache import Kept
    from explainer.publish.check import Looked

    cached = BuildCache(tmp_path / "home", tmp_path / "site", tmp_path / "cache")
    entry = Kept(
        "a", {"one/index.html": "0"}, ("study.yaml",), Listing("one", "T", "Q?", "A."),
        (Problem("study.yaml", 3, found="x", severity="warning"),),
        {"one/index.html": Looked(("top",), ("../index.html",))},
    )  # fmt: skip
    cached.keep("one", entry)
    assert cached.recall("one") == entry
    other = BuildCache(tmp_path / "home", tmp_path / "other", tmp_path / "cache")
    assert other.recall("one") is None
    place = cached.folder / "one.json"
    place.unlink()
    os.mkfifo(place)  # waits for nobody
    assert cached.recall("one") is None
    place.unlink()
    with place.open("wb") as stream:
        stream.truncate(10**12)
    assert cached.recall("one") is None
