"""What was typed into a form, put into the file; and what of it was not."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from explainer.room.edit import CannotEdit, StudyText
from explainer.room.fields import LAST, LONG, OPEN, ends_of, name_of, path_of, stands
from explainer.study.unseen import first_unseen, told
from explainer.study.yaml12 import Path, scalar

#: Keys that hold a checkpoint, or the first and last of a window.
POINTS = frozenset({"from", "to", "at"})
#: Fields that may be new, empty or of several values at a time: for each the file is read again.
MOST_NEW = 100


def edited(source: StudyText, typed: Mapping[str, str]) -> StudyText:
    """The file with every field that was changed; raises CannotEdit, naming the field.

    Plain values in place of plain ones, which most are, are put there all at once.
    """
    plain: dict[Path, tuple[str, Any]] = {}
    others: list[tuple[str, Path, str, bool]] = []
    for name, path, text, raw in _changes(source, typed):
        if text and not raw and source.stands_plain(path):
            plain[path] = (text, _meant(path, source, text))
        else:
            others.append((name, path, text, raw))
    if len(others) > MOST_NEW:
        raise CannotEdit(
            f"found {len(others):,} fields that are new, empty or of several values, expected at "
            f"most {MOST_NEW} at a time; nothing was saved"
        )
    try:
        source = source.put_all({path: meant for path, (_, meant) in plain.items()})
    except CannotEdit as fault:
        if len(plain) + len(others) > MOST_NEW:
            raise CannotEdit(f"{fault}; nothing was saved") from None
        others = [(name_of(at), at, text, False) for at, (text, _) in plain.items()] + others
    for name, path, text, raw in others:
        try:
            source = _one(source, path, text, raw)
        except CannotEdit as fault:
            raise CannotEdit(f"{name.replace('/', ' › ')}: {fault}; nothing was saved") from None
    return source


def _changes(
    source: StudyText, typed: Mapping[str, str]
) -> Iterator[tuple[str, Path, str, bool]]:
    """What was changed: the field's name, its path, what was typed, and whether that is YAML."""
    for name, text in _joined(source, typed).items():
        path = path_of(name)
        now = source.at(path)
        if now == OPEN and not text:
            continue
        fresh = now is None or name + LAST in typed
        raw = isinstance(now, dict | list) or (fresh and text[:1] in "[{" and text != "")
        if text == (source.written(path).strip() if raw else stands(now)):
            continue
        if isinstance(now, list) and text == _as_window(*(ends_of(now) or ("", ""))):
            continue
        yield name, path, text, raw


#: Blocks within blocks of a description, with room to spare.
_DEEPEST = 20


def _joined(source: StudyText, typed: Mapping[str, str]) -> dict[str, str]:
    """What was typed by the name of its place, the two fields of a window as one."""
    plain = {name: text.replace("\r\n", "\n").strip() for name, text in typed.items()}
    if (deep := max((name.count("/") for name in plain), default=0)) > _DEEPEST:
        raise CannotEdit(f"found a field {deep} blocks deep, expected one of this page; "
                         "nothing was saved")  # fmt: skip
    for name in [name for name in plain if name.endswith(LAST)]:
        last, base = plain.pop(name), name.removesuffix(LAST)
        first = plain.get(base, (ends_of(source.at(path_of(base))) or ("", ""))[0])
        if last and not first:
            raise CannotEdit(f"{base.replace('/', ' › ')}: found the end {last[:80]} of a window, "
                             "expected where it begins, too; nothing was saved")  # fmt: skip
        plain[base] = _as_window(first, last)
    return plain


#: A window as some people write one: 1, 4.
_PAIR = re.compile(r"\[?\s*([\d.]+)\s*,\s*([\d.]+)\s*\]?")


def _as_window(first: str, last: str) -> str:
    if not last and (pair := _PAIR.fullmatch(first)):
        first, last = pair.groups()
    return f"[{first}, {last}]" if last else first


#: What people write for a unit where there is none.
_NO_UNIT = frozenset(["none", "no unit", "no", "-", "n/a", "without", "just a number"])


def _one(source: StudyText, path: Path, text: str, raw: bool) -> StudyText:
    if not text:
        return source.drop(path)
    if raw:
        now, made = source.at(path), source.put_raw(path, text)
        if isinstance(now, dict) and not isinstance(made.at(path), dict):
            as_it_is = source.written(path).strip()
            raise CannotEdit(f"found `{text[:80]}`, expected keys and values like {as_it_is}")
        return made
    return source.put(path, _meant(path, source, text))


def _meant(path: Path, source: StudyText, text: str) -> Any:
    """The plain value, or the two ends of a window, that were typed."""
    if path[-1] == "unit" and text.casefold() in _NO_UNIT:
        text = "count"
    if path[-1] in POINTS and (pair := _PAIR.fullmatch(text)):
        return [scalar(end) for end in pair.groups()]
    return scalar(text) if _is_number(path, source, text) else text


#: Keys of texts: a number typed there is a text, and stands in quotes.
_TEXTS = frozenset(
    ["title", "question", "date", "term", "a", "b", "edition", "value", "id", "topic", "publisher",
     "briefly", *LONG]
)  # fmt: skip


def _is_number(path: Path, source: StudyText, text: str) -> bool:
    """Whether what was typed is meant as a number."""
    value = scalar(text)
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return number and str(path[-1]) not in _TEXTS


def left_out(typed: Mapping[str, str]) -> str:
    """A sentence on what is not in the file of what was typed: characters that nobody sees."""
    found = [(name, plain, at) for name, text in typed.items()
             if (at := first_unseen(plain := text.replace("\r\n", "\n"))) is not None]  # fmt: skip
    if not found:
        return ""
    name, text, at = found[0]
    more = f" and {len(found) - 1} other field{'s' * (len(found) > 2)}" if len(found) > 1 else ""
    place = f"line {name}" if name.isdecimal() else name.replace("/", " › ")
    return (
        f" Characters that nobody sees, or that turn text round, were left out of {place}{more}: "
        f"found {told(text, at)}."
    )
