"""What a draft asks, as questions of a form: each is a mark CONFIRM that stands in the file."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from explainer import units
from explainer.draft.written import scalar_text
from explainer.room.edit import StudyText
from explainer.room.fields import NOTHING_OFFERED, Offered, name_of, path_of, stands
from explainer.room.renamed import also_said, follow_terms
from explainer.room.typed import edited
from explainer.study.load import UNQUOTED
from explainer.study.yaml12 import Path, scalar

_ASKS = re.compile(r"([^#]*)#.*?\bCONFIRM\b:?\s*(.*)")
_QUOTES_NOBODY = re.compile(rf"([^#]*{re.escape(UNQUOTED)}[^#]*)()")
_OFFERS = re.compile(r"\bis it `([^`]+)`\?")
_ADD = re.compile(r"add `(\w+):`,?\s*(.*)")


@dataclass(frozen=True)
class DraftQuestion:
    """One mark: what is asked, and the value it is asked of."""

    line: int
    path: Path
    """Where the answer goes; empty where no single value stands on the line."""
    what: str
    """The value's own name, in words."""
    ask: str
    value: str
    adds: bool = False
    """The answer is a key that is not there yet."""
    raw: bool = False
    yes: bool = False
    """Whether it only asks if what was made of the sheet is so."""
    no: Path = ()
    """Where `no` to that is written; empty where the sheet itself has to be mended then."""
    offered: str = ""
    """An answer that the sheet itself suggests."""
    suggest: tuple[str, ...] = ()
    held: str = ""
    """Of a report's sentence: what the claim holds it against."""
    out: Path = ()
    """The claim that goes, where its sentence is missing and is not to be had: a place that was
    left for one is never right as it stands."""

    @property
    def name(self) -> str:
        return name_of(self.path)


def asked(source: StudyText) -> Iterator[DraftQuestion]:
    """Every question of a draft that is still open, in the order of the file."""
    by_line: dict[int, Path] = {}
    for path, (line, _) in source.document.places.items():
        if path and not isinstance(path[-1], int) and source.in_one_line(path):
            by_line[line] = path if line not in by_line else min(by_line[line], path, key=len)
    for path, (line, _) in source.document.keys.items():
        by_line.setdefault(line, path)
    for number, text in enumerate(source.text.split("\n"), start=1):
        found = _ASKS.match(text) or _QUOTES_NOBODY.match(text)
        if not found or not found[1].strip():
            continue
        here = by_line.get(number, ())
        added = _ADD.match(found[2])
        if added and here:
            block = here if isinstance(source.at(here), dict) else here[:-1]
            path = (*block, added[1])
            yield DraftQuestion(number, path, _told(source, path), added[2] or found[2],
                        _text(source, path), adds=True)  # fmt: skip
            continue
        value = source.at(here) if here else None
        tick = found[2].endswith("?") or "zero_is_new" in found[2]
        if here[-1:] == ("file",) or (isinstance(value, dict) and tick):
            # Yes or no to what was made of the sheet: nothing there is to be typed over.
            key = "zero_is_new" if here[-1:] == ("use",) and "zero_is_new" in found[2] else ""
            no = (*here, key) if key else ()
            ask = found[2].partition(" If not, ")[0]
            yield DraftQuestion(number, (), _told(source, here), ask, "", yes=True, no=no)
            continue
        if not here or (isinstance(value, dict | list) and not source.in_one_line(here)):
            yield DraftQuestion(number, (), _told(source, here), found[2], "")
            continue
        raw = isinstance(value, dict | list)
        said = source.written(here).strip() if raw else _text(source, here)
        offers = _OFFERS.search(found[2])
        known = tuple(units.names()) if here[-1] == "unit" else ()
        ask = found[2] or ("the report's own sentence" if said == UNQUOTED else "is it right?")
        yield DraftQuestion(number, here, _told(source, here), ask, said, raw=raw,
                            offered=offers[1] if offers else "", suggest=known,
                            held=_held_against(source, here),
                            out=here[:-1] if said == UNQUOTED else ())  # fmt: skip


def _held_against(source: StudyText, path: Path) -> str:
    """What a claim's sentence is held against, as its test has it: a sentence about anything else
    is not tested by it."""
    if path[-1:] != ("report_says",):
        return ""
    claim = source.at(path[:-1])
    test = claim.get("test") if isinstance(claim, dict) else None
    if not isinstance(test, dict):
        return ""
    keys = ", ".join(f"{key.replace('_', ' ')} {scalar_text(value)}".replace('"', "")
                     for key, value in test.items() if key != "kind")  # fmt: skip
    return f"{claim.get('plainly', '')} ({test.get('kind', '')}: {keys})".strip()


def answering(source: StudyText) -> str:
    """The claims that the study's question turns on, in their everyday words; empty for none."""
    claims = source.at(("claims",))
    said = [str(c.get("plainly") or c.get("report_says") or c.get("id")).rstrip(".")
            for c in claims or ()
            if isinstance(c, dict) and stands(c.get("answers_question")) == "yes"]  # fmt: skip
    return "”, “".join(said)


def asked_anew(before: StudyText, after: StudyText) -> str:
    """What to look at where the question was changed and what answers it was not."""
    same = before.at(("question",)) == after.at(("question",))
    if same or not (now := answering(after)) or now != answering(before):
        return ""
    return (f" The page still answers its question with “{now}”: if that is no answer to it any "
            "more, set “answers question” at the claim that is.")  # fmt: skip


def followed(before: StudyText, after: StudyText) -> tuple[StudyText, str]:
    """What follows from an edit, made too, and what of it there is to look at."""
    made, told = follow_terms(before, after)
    return made, f"{asked_anew(before, after)}{also_said(told)}"


def _text(source: StudyText, path: Path) -> str:
    return stands(source.at(path))


def _told(source: StudyText, path: Path) -> str:
    """``texture: term``, ``claims: hook-falls: report says`` and the like."""
    steps = [
        str(source.at((*path[: n + 1], "id")) or step + 1) if isinstance(step, int)
        else step.replace("_", " ") for n, step in enumerate(path)
    ]  # fmt: skip
    if len(steps) > 1 and steps[0] in ("measures", "tables"):
        steps = steps[1:]
    return ": ".join(steps) or "this line"


def answered(
    source: StudyText, typed: Mapping[str, str], right: frozenset[int],
    no: frozenset[int] = frozenset(), offer: Offered = NOTHING_OFFERED,
    out: frozenset[int] = frozenset(),
) -> StudyText:  # fmt: skip
    """The file with the answers: a changed value is written and its mark goes; a value that is
    right as it stands (``right``: its line) only loses its mark; what is not so (``no``) is
    written where the question says; a claim that is to go (``out``) goes."""
    lines: list[int] = []
    gone: list[Path] = []
    fresh: dict[str, str] = {}
    for question in asked(source):
        if question.no and question.line in no:
            lines.append(question.line)
            fresh[name_of(question.no)] = "no"
            continue
        text = typed.get(f"{question.line}", question.value).replace("\r\n", "\n").strip()
        changed = bool(question.path) and text not in (question.value, "" if question.out else None)
        if changed:
            fresh[name_of(question.path)] = text
        elif question.out and question.line in out:
            gone.append(question.out)
        if changed or (question.line in right and not question.out):
            lines.append(question.line)
    source = edited(source.confirmed(*lines), fresh)
    for path in map(path_of, fresh):
        if path[-1] == "zero_is_new":
            source = _from_the_first_known(source, path[:-1], offer)
    for claim in reversed(gone):  # from the last on: those before it keep their places
        source = source.drop(claim)
    return source


def _from_the_first_known(source: StudyText, use: Path, offer: Offered) -> StudyText:
    """What began at the 0 that is none, or was read there, is at the first checkpoint after it."""
    column = source.at((*use, "column"))
    read = (scalar(word) for word in offer.values.get(str(column), ()))
    points = sorted(p for p in read if isinstance(p, int | float) and p > 0)
    parts: tuple[tuple[str, Path], ...] = (("claims", ("test",)), ("figures", ()))
    places: list[Path] = [(part, i, *more) for part, more in parts
                          for i in range(len(source.at((part,)) or ()))]  # fmt: skip
    for place in places if points else ():
        block = source.at(place)
        at_zero = [key for key in ("from", "at") if isinstance(block, dict) and block.get(key) == 0]
        own: Path = ("tables", str(source.at((*place, "table"))), "use")
        if (own if source.at(own) else ("use",)) == use:
            for key in at_zero:
                source = source.put((*place, key), points[0])
                said = source.at((*place[:2], "plainly"))
                if key == "at" and isinstance(said, str):
                    now = said.replace(" at 0 ", f" at {points[0]:g} ")
                    source = source.put((*place[:2], "plainly"), now) if now != said else source
    return source


_NOTICE = re.compile(r"# - (.+)")


def noticed(text: str) -> tuple[str, ...]:
    """What the draft noted at the head of the file: rows left out, columns turned into rows."""
    head = text.split("\ntitle:")[0].splitlines()
    return tuple(found[1] for line in head if (found := _NOTICE.fullmatch(line)))
