"""An Atom feed of the site (RFC 4287): one entry per study, newest first.

Its only dates are those of the reports and of their corrections, so the same studies give the
same bytes on any day.  Atom asks for a date of every entry: a study without one is not in it.
"""

from __future__ import annotations

from collections.abc import Iterable
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from explainer.publish.manifest import Listing
from explainer.study.description.study import Settings

PATH = "feed.xml"
_ATOM = "http://www.w3.org/2005/Atom"
_FIRST_DAY = "0001-01-01"


def feed(settings: Settings, studies: Iterable[Listing]) -> bytes | None:
    """The feed as UTF-8; None without a base address, since a feed needs absolute ones."""
    base = (settings.base_address or "").rstrip("/")
    if not base:
        return None
    dated = [(latest(study), study) for study in studies if latest(study)]
    dated.sort(key=lambda pair: (pair[0], pair[1].id), reverse=True)
    root = Element("feed", xmlns=_ATOM)
    SubElement(root, "title").text = settings.title
    SubElement(root, "id").text = f"{base}/"
    SubElement(root, "updated").text = _moment(dated[0][0] if dated else _FIRST_DAY)
    SubElement(root, "link", rel="self", href=f"{base}/{PATH}")
    SubElement(root, "link", rel="alternate", href=f"{base}/")
    SubElement(SubElement(root, "author"), "name").text = settings.title
    for day, study in dated:
        _entry(root, f"{base}/{study.id}/", day, study)
    indent(root, " ")
    return bytes(tostring(root, encoding="utf-8", xml_declaration=True)) + b"\n"


def latest(study: Listing) -> str:
    """The latest date of edition, correction and report; empty where there is none."""
    return max(study.ties.date, study.ties.updated)


def _entry(root: Element, address: str, day: str, study: Listing) -> None:
    entry = SubElement(root, "entry")
    SubElement(entry, "title").text = study.title
    SubElement(entry, "id").text = address
    SubElement(entry, "updated").text = _moment(day)
    SubElement(entry, "link", rel="alternate", href=address)
    put_right = [f"Corrected on {when}: {what}" for when, what in study.ties.corrections]
    said = [*put_right, f"{study.question} {study.answer}", study.ties.edition]
    SubElement(entry, "summary").text = " ".join(filter(None, said))


def _moment(day: str) -> str:
    """A date as Atom writes one; a month or a year alone counts from its first day."""
    return f"{day}{_FIRST_DAY[len(day) :]}T00:00:00Z"
