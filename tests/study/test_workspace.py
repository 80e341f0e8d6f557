"""Which study, which workspace, and whose glossary comes first."""

from __future__ import annotations

import pytest

from explainer.errors import ExplainerError, UsageError, WorkspaceError
from explainer.study.load import find_study, list_studies, open_workspace, study_id
from explainer.study.shipped import home, shipped


def test_a_study_by_its_id(bench):
    root = bench.parent.parent
    for start in (root, root / "studies", bench):
        workspace, folder = find_study("bench", start)
        assert (workspace.root, folder) == (root, bench)


@pytest.mark.parametrize("text", ["studies/bench", "studies/bench/", "studies/bench/study.yaml"])
def test_a_study_by_its_path(bench, text):
    root = bench.parent.parent
    workspace, folder = find_study(text, root)
    assert (workspace.root, folder) == (root, bench)
    assert find_study(str(root / text), root.parent)[1] == bench


def test_a_folder_outside_any_studies_is_in_our_workspace(bench, tmp_path):
    alone = tmp_path / "alone"
    bench.rename(alone)
    workspace, folder = find_study(str(alone), tmp_path)
    assert folder == alone
    assert workspace.root == home()


def test_no_such_study(bench):
    with pytest.raises(UsageError) as raised:
        find_study("bnch", bench)
    assert str(raised.value) == (
        "found no study `bnch`, expected one of `bench` (did you mean `bench`?)"
    )
    with pytest.raises(UsageError, match="found no study `no/such/folder`"):
        find_study("no/such/folder", bench)


def test_studies_are_folders_with_a_description(bench):
    studies = bench.parent
    (studies / "another").mkdir()
    (studies / "another" / "study.yaml").touch()
    (studies / "notes").mkdir()
    (studies / "settings.yaml").touch()
    workspace = open_workspace(studies.parent)
    assert [folder.name for folder in list_studies(workspace)] == ["another", "bench"]
    assert list_studies(open_workspace(studies / "notes")) == ()


@pytest.mark.parametrize(
    ("name", "as_address"),
    [("cover-texture", "cover-texture"), ("My Study_2", "my-study-2"), ("…", "study")],
)
def test_ids(tmp_path, name, as_address):
    assert study_id(tmp_path / name) == as_address


def test_own_glossary_comes_before_ours(tmp_path):
    (tmp_path / "studies").mkdir()
    assert open_workspace(tmp_path).glossary_folders == (shipped("glossary"),)
    (tmp_path / "glossary").mkdir()
    assert open_workspace(tmp_path).glossary_folders == (tmp_path / "glossary", shipped("glossary"))
    assert open_workspace(home()).template_folders == (shipped("templates"),)


def test_settings(tmp_path):
    (tmp_path / "studies").mkdir()
    settings = tmp_path / "studies" / "settings.yaml"
    assert open_workspace(tmp_path).settings.paper == "letter"
    settings.write_text("# nothing yet\n")
    assert open_workspace(tmp_path).settings.paper == "letter"
    settings.write_text("title: Bench\npaper: a4\nunits_first: metric\n")
    assert open_workspace(tmp_path).settings.units_first == "metric"
    settings.write_text("papper: a4\nspeaking_rate: 20\n")
    with pytest.raises(WorkspaceError) as raised:
        open_workspace(tmp_path)
    first, second = str(raised.value).splitlines()
    assert first.startswith("settings.yaml:1:1: found the unknown key `papper`")
    assert "did you mean `paper`?" in first
    assert second.startswith("settings.yaml:2:16: found `20`, expected 60 or more")
    settings.write_text("title: [\n")
    with pytest.raises(WorkspaceError, match=r"settings\.yaml:2:1: found"):
        open_workspace(tmp_path)


LEADS_NOWHERE = [
    "https://example.org:99999", "https://example.org:abc", "https://example.org:0",
    "https://example.org:", "https://example.org:8²", "https://:80", "https://.", "https://..",
    "https://-", "https://-a.org", "https://a-.org", "https://example..org", "https://[",
    "https://]", "https://[zz]", "https://[::1", "https://[::1]x", "https://%", "https://%00",
    "https://example.org/%", "https://example.org/%zz", "https://example.org/a/../b",
    "https://example.org/./", "https://example.org//x", "https://exam{ple", "https://exam^ple",
    "https://exam|ple", "https://ex(am)ple", "https://ex$ample", "https://a=b", "https://a,b",
    "https://a;b", "https://a&b", "https://*", "https://a!b", "https://example.org/{x}",
    "https://example.org/[[a]]", "https://example.org/a|b", "https://\u0301",
    f"https://{'a' * 64}.org",
]  # fmt: skip
LEADS_SOMEWHERE = [
    "https://example.org", "https://example.org/", "https://example.org:8080/lanes",
    "https://[::1]", "https://[2001:db8::1]:80/x/", "http://localhost:8000", "https://exämple.org",
    "https://a_b.org", "https://example.org/é", "https://example.org/(a,b);c", "https://xn--e1a.org",
    "https://example.org/%20x", "https://example.org/~me/lanes", "https://example.org.",
    "https://उदाहरण.परीक्षा", "http://192.168.0.1:80/a/",
]  # fmt: skip


@pytest.mark.parametrize("address", [*LEADS_NOWHERE, *LEADS_SOMEWHERE], ids=ascii)
def test_an_address_of_the_site_leads_somewhere(tmp_path, address):
    (tmp_path / "studies").mkdir()
    (tmp_path / "studies" / "settings.yaml").write_text(f'base_address: "{address}"\n', "utf-8")
    if address in LEADS_SOMEWHERE:
        assert open_workspace(tmp_path).settings.base_address == address
        return
    with pytest.raises(ExplainerError) as caught:
        open_workspace(tmp_path)
    assert str(caught.value).startswith("settings.yaml:1:15: found ")
