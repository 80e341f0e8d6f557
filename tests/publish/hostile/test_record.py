"""What the record of a published site tells whoever may read the site."""

from __future__ import annotations

import html
import json
from dataclasses import fields
from pathlib import Path

from explainer.publish.manifest import NAME, Listing
from explainer.publish.rehearse import quick
from explainer.publish.site import publish
from explainer.study.load import open_workspace


def test_the_record_of_a_site_says_no_more_than_its_pages(stranger, tmp_path):
    """It lies in the published folder, so whoever reads the site may read it."""
    stranger.write()
    target = tmp_path / "site"
    home = open_workspace(stranger.root)
    publish(home, {"one": stranger.folder}, target, build=quick)
    record = (target / NAME).read_text()
    said = json.loads(record)
    assert set(said) == {"format", "files", "studies"}
    assert set(said["studies"]["one"]) == {f.name for f in fields(Listing)}
    inside = {p.relative_to(target).as_posix() for p in target.rglob("*") if p.is_file()}
    assert set(said["files"]) == inside - {NAME}
    for private in (str(stranger.root), str(Path.home()), str(target), "readings.csv: row"):
        assert private not in record
    page = html.unescape((target / "one" / "index.html").read_text())
    for claim, _ in said["studies"]["one"]["claims"]:
        assert claim in page
