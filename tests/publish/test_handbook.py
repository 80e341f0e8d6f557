"""The handbook: every key and every command, from the descriptions the program itself uses."""

from __future__ import annotations

import json

import click
import jsonschema
import lxml.html
import pytest

from explainer.claims.judge import judge
from explainer.cli import cli
from explainer.draft.draft import KINDS, skeleton
from explainer.publish import commands, frontpage
from explainer.publish.site import publish
from explainer.study.description.study import schema
from explainer.study.load import find_study, load_study
from explainer.study.shipped import shipped
from explainer.study.yaml12 import read
from explainer.words.page.prose import names


@pytest.fixture
def site(workspace, folders, target, quickly):
    publish(workspace, folders, target, build=quickly)
    return target


def test_every_key_is_explained():
    unsaid = [(b.id, k.name) for b in frontpage.blocks() for k in b.keys if not k.what]
    assert unsaid == []
    ids = [b.id for b in frontpage.blocks()]
    assert len(ids) == len(set(ids))
    assert {i for b in frontpage.blocks() for k in b.keys for i in k.blocks} <= set(ids)


def test_the_page_and_the_schema_say_the_same(site):
    page = lxml.html.parse(str(site / "how" / "study-yaml" / "index.html"))
    text = " ".join(page.getroot().text_content().split())
    for key, said in schema()["properties"].items():
        assert key in text
        description = said["description"][1:].replace("`", "").replace("'", "’")
        assert description in text.replace("`", "")
    assert page.xpath("//section//h2[@id='test-tracks-within']")


def test_what_holds_if_a_key_is_left_out_is_told_as_a_person_would(site):
    page = lxml.html.parse(str(site / "how" / "study-yaml" / "index.html"))
    said = [d.text_content().partition("If left out")[2] for d in page.xpath("//dd")]
    told = [text for text in said if text]
    assert len(told) > 50 and not [text for text in told if "=" in text or "None" in text]


def test_there_is_a_sentence_for_every_test_and_each_leads_to_it(site):
    page = lxml.html.parse(str(site / "how" / "study-yaml" / "index.html"))
    ids = set(page.xpath("//h2/@id"))
    led = page.xpath("//section[@aria-labelledby='which-test']//a/@href")
    assert set(led) == {f"#{i}" for i in ids if i.startswith("test-")}


def test_the_numbers_a_page_offers_for_prose_can_be_had(site):
    """Each ``.name`` shown for a change is one that a judged change has."""
    page = lxml.html.parse(str(site / "how" / "study-yaml" / "index.html"))
    shown = page.xpath("//section[@aria-labelledby='own-words']//code/text()")
    offered = {text.strip("{}").rpartition(".")[2] for text in shown if "." in text}
    judged = judge(load_study(*reversed(find_study("cover-texture", shipped("studies").parent))))
    had = {**names(judged)["texture-falls"], **names(judged)["texture"], **names(judged)["study"]}
    assert len(offered) > 6
    assert offered <= set(had)


def test_the_schema_is_published_and_takes_what_drafts_write(site):
    said = json.loads((site / "study.schema.json").read_text())
    checker = jsonschema.Draft202012Validator(said)
    for kind in KINDS:
        data = skeleton(kind, (shipped("templates"),)).files["study.yaml"]
        assert data.startswith(b"# yaml-language-server: $schema=../study.schema.json\n")
        checker.validate(read(data, "study.yaml").value)


def test_the_front_page_leads_to_them(site):
    front = lxml.html.parse(str(site / "index.html"))
    assert {"how/study-yaml/index.html", "how/commands/index.html"} <= set(front.xpath("//a/@href"))


def test_the_command_reference_is_the_command_line(site):
    page = lxml.html.parse(str(site / "how" / "commands" / "index.html"))
    assert sorted(cli.commands) == sorted(c.name for c in commands.COMMANDS)
    for name, known in cli.commands.items():
        told = commands.command(name)
        assert known.help == told.help
        flags = {flag for p in known.params if isinstance(p, click.Option) for flag in p.opts}
        typed = {
            w.strip(",") for option, _ in told.options for w in option.split() if w.startswith("-")
        }
        assert flags == typed, name
        [heading] = page.xpath(f"//h2[@id='{name}']")
        assert told.example in heading.getparent().text_content()
