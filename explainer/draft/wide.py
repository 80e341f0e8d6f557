"""Wide tables turned into rows: a column per checkpoint, day, condition, person or item.

Each way looks at the columns and gives the tidy ones with what it guessed, or None.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from explainer import units
from explainer.draft.columns import Column, renamed
from explainer.draft.guess import Guess, Sure
from explainer.draft.headers import (
    DAYS_SINCE,
    ITEM_WORDS,
    MEASURE_WORDS,
    ORDER_WORDS,
    USE_WORDS,
    Header,
    Step,
    date_in,
    parse,
    slug,
    step,
)
from explainer.study.called import is_called_so
from explainer.study.sums import MEANS, SUMS

Found = tuple[list[Column], Guess]

#: Words that say in which state an item was read, where a header says nothing else of it.
STATES = frozenset(
    ["new", "used", "old", "before", "after", "fresh", "worn", "start", "end", "pre", "post",
     "initial", "final", "sanded", "unsanded", "polished", "dry", "oiled", "first", "last",
     "burnt", "burned", "clean", "dirty", "short", "long", "wet"]
)  # fmt: skip
#: A header that names one item: P1, T-12, "Ball 3".
_CODE = re.compile(r"([^\W\d_]+)[ _-]?\d+[a-z]?", re.IGNORECASE)
#: Words for what is played once a week or night, whose wide columns are most often scores.
_PLAYED = frozenset(["week", "weeks", "night", "nights", "session", "sessions", "round", "game",
                     "games", "day", "date"])  # fmt: skip


@dataclass(frozen=True)
class CalledSo:
    """What a table is called where its own columns do not say what they hold."""

    where: str
    """The file, its sheet and which table of it, as guesses name it."""
    file: str
    title: str = ""
    sheet: str = ""
    notes: tuple[str, ...] = ()
    """What stands around it and in no cell of it."""

    @property
    def measured(self) -> Header:
        """A name, and the unit if one stands there, for the values of bare wide columns: of the
        caption, the sheet or the file the first that is short enough for a name."""
        titles = ("" if _use_alone(self.title) else self.title, self.sheet)
        for title in (t for t in titles if len(slug(t)) > 1 and not _is_somebody(t)):
            titled = parse(title)
            if titled.unit in USE_WORDS.values() and titled.unit != "count":
                titled = Header(titled.written, titled.words)  # `Sanding (games)`: read at these
            if slug(titled.words) and len(titled.words.split()) <= 4:
                return Header(title, titled.words, titled.unit)
            unit = "" if title != self.title else titled.unit
            named = _OF_WHAT.split(title, maxsplit=1)[0].strip()
            if named != title and slug(named) and len(named.split()) <= 2:
                return Header(title, named, unit)
        stem = re.sub(r"^[\W\d_]+", "", self.file.rsplit(".", 1)[0])
        words = ("" if _is_somebody(stem) else slug(stem).replace("_", " ")) or "reading"
        return Header(self.title or self.sheet or self.file, words, parse(self.title).unit)

    @property
    def counted(self) -> str:
        """What a short line over the columns says their numbers count: ``after games``."""
        return next(filter(None, map(_use_alone, self.notes)), "")


def _is_somebody(title: str) -> bool:
    return is_called_so(title.replace("_", " "))


def _use_alone(line: str) -> str:
    """The word for use of a line that says nothing else: ``after games``, ``Weeks``."""
    words = line.casefold().split()
    said = [w for w in words if w in USE_WORDS]
    rest = [w for w in words if w not in said]
    return said[0] if len(said) == 1 and set(rest) <= _LEADS_UP else ""


#: Words that lead up to what is counted.
_LEADS_UP = frozenset(["after", "at", "by", "of", "in", "number", "no.", "#", "how", "many",
                       "rolled", "bowled", "played", "use"])  # fmt: skip

#: Where a caption has named what was read: ``Surface of the same balls``.
_OF_WHAT = re.compile(r"(?<!\s)\s+(?:of|by|for|per|on|after|over)\b|[,;:(]", re.IGNORECASE)


def long(source: CalledSo, columns: list[Column]) -> Found | None:
    """The first way that fits."""
    return next((f for way in WAYS if (f := way(source, columns)) is not None), None)


def per_item(source: CalledSo, columns: list[Column]) -> Found | None:
    """A first column of checkpoints or shots, and a column for each ball beside it."""
    first, *others = columns
    counted = next((w for w in words_of_head(first) if w in USE_WORDS or w in ORDER_WORDS), "")
    others = [c for c in others if not c.sums]
    if not counted or not first.numeric or len(others) < 2 or not all(c.numeric for c in others):
        return None
    stems = {m[1].casefold() if (m := _CODE.fullmatch(c.header.words)) else "" for c in others}
    if "" in stems or stems & (USE_WORDS.keys() | ORDER_WORDS | MEASURE_WORDS):
        return None
    unit = next((c.header.unit for c in others if c.header.unit), "")
    each = next(iter(stems & ITEM_WORDS), "ball")
    names = [c.header.words for c in others]
    called = source.measured
    rows = [(c, r) for c in others for r in range(len(first.cells)) if c.cells[r]]
    header = Header(called.words, called.words, unit or called.unit)
    made = [
        Column(each, Header(each, each), tuple(c.header.words for c, _ in rows), False),
        Column(first.name, first.header, tuple(first.cells[r] for _, r in rows), True),
        Column(slug(called.words), header, tuple(c.cells[r] for c, r in rows), True,
               marks=_marks(others), heads=_heads(others), asks=NAMED_BY_SHEET),
    ]  # fmt: skip
    shown = ", ".join(names[:6]) + (", …" if len(names) > 6 else "")
    what = f"a column per {each} turned into rows: {shown}"
    return renamed(made), Guess(source.where, what, "please check", worth=70)


def per_checkpoint(source: CalledSo, columns: list[Column]) -> Found | None:
    """Columns that differ by a number in their headers."""
    steps = {
        c.name: s for c in columns
        if _read(c) and not _setting(c) and (s := step(c.header)) is not None
    }  # fmt: skip
    stems = _together(columns, steps)
    if not stems:
        return None
    points = sorted({n for by in stems.values() for n in by})
    told = _counted([steps[c.name] for by in stems.values() for c in by.values()], points, source)
    begun = _from_new(columns, steps, stems, told[0])
    if begun:
        steps |= {name: s for name, (s, _) in begun.items()}
        stems = _together(columns, steps)
    points = sorted({n for by in stems.values() for n in by})
    of_stems = {c.name for by in stems.values() for c in by.values()}
    counted, sure = _counted([s for n, s in steps.items() if n in of_stems], points, source)
    people = _people(stems, points, counted)
    made = (
        _by_person(source, columns, stems, steps, points, counted) if people
        else _melted(source, columns, stems, steps, points, counted)
    )  # fmt: skip
    if sure == "please check":
        made = [replace(c, counted=counted) if c.name == counted else c for c in made]
    old = {c.name for c in columns} | {counted}
    names = ", ".join(c.name for c in made if c.name not in old)
    what = f"a column per {counted} turned into rows: {names} at "
    shown = ", ".join(f"{p:g}" for p in points[:12])
    if people:
        return made, Guess(source.where, f"{what}{shown} of {', '.join(people)}", "please check",
                           "who took the reading, or what was different?", 75)  # fmt: skip
    if begun:
        word = next(iter(begun.values()))[1]
        asks = f"is {word} 0 {counted}? If not, put `zero_is_new: no` into `use`"
        made = [replace(c, asks=asks) if c.name == counted else c for c in made]
        return made, Guess(source.where, what + shown, "likely", worth=75)  # the column asks
    return made, Guess(source.where, what + shown, sure, worth=70)


#: Words for an item that has had no use yet, where the heads beside it count use.
_UNUSED = frozenset(["fresh", "new", "unused", "start", "before", "initial", "baseline", "neu"])


def _from_new(
    columns: list[Column], steps: Mapping[str, Step],
    stems: Mapping[str, Mapping[float, Column]], told: str,
) -> dict[str, tuple[Step, str]]:
    """Columns headed ``Fresh`` beside ``10 games``, ``20 games``: checkpoint 0, with the word.

    Only beside heads that count use, in words of their own or (``told``) by what stands over them,
    and only where these have no 0 of their own.
    """
    found: dict[str, tuple[Step, str]] = {}
    for column in columns:
        words = column.header.words.split()
        said = [w for w in words if w.casefold() in _UNUSED]
        stem = " ".join(w for w in words if w not in said).casefold()
        if len(said) != 1 or not _read(column) or column.name in steps or stem not in stems:
            continue
        first = steps[next(iter(stems[stem].values())).name]
        counted = first.counted or told
        if counted in USE_WORDS and 0.0 not in stems[stem]:
            own = Step(first.stem, column.header.unit, 0.0, first.counted)
            found.setdefault(column.name, (own, said[0]))
    return found


#: A head that counts twice: ``Week 3 G2``, ``Night 1, game 3``.
_TWICE = re.compile(r"([^\W\d_]+)[ _#.-]*(\d+)[ ,;:/_-]+([^\W\d_]+)[ _#.-]*(\d+)")
#: What a single letter counts behind a week or a night.
_LETTERS = {"g": "game", "s": "shot", "f": "frame"}


def per_night_and_game(source: CalledSo, columns: list[Column]) -> Found | None:
    """Columns that count twice, the nights and on each the games: a row for each game."""
    read: dict[str, tuple[str, float, str, float]] = {}
    for column in columns:
        head = _TWICE.fullmatch(column.header.words)
        if head is None or not _read(column):
            continue
        outer, inner = head[1].casefold(), _LETTERS.get(head[3].casefold(), head[3].casefold())
        if outer in USE_WORDS and (inner in ORDER_WORDS or inner in USE_WORDS) and inner != outer:
            read[column.name] = (outer, float(head[2]), inner, float(head[4]))
    pairs = sorted({(n, k) for _, n, _, k in read.values()})
    if len(pairs) < 4 or len({(o, i) for o, _, i, _ in read.values()}) > 1:
        return None
    outer, _, inner, _ = next(iter(read.values()))
    steps = {name: Step("", "", float(pairs.index((n, k))), outer)
             for name, (_, n, _, k) in read.items()}  # fmt: skip
    stems = _together(columns, steps)
    made = _melted(source, columns, stems, steps, [float(i) for i in range(len(pairs))], outer)
    at = next(i for i, c in enumerate(made) if c.name == outer)
    where = [pairs[int(cell)] for cell in made[at].cells]
    made[at] = replace(made[at], cells=tuple(f"{n:g}" for n, _ in where))
    games = tuple(f"{k:g}" for _, k in where)
    made.insert(at + 1, Column(inner, Header(inner, inner), games, True))
    last = ", ".join(f"{n:g}" for n in sorted({n for n, _ in pairs})[:12])
    what = f"a column per {outer} and {inner} turned into rows: {outer} {last}"
    return renamed(made), Guess(source.where, what, "likely", worth=70)


#: A head that ends in a number and its unit: ``Carry 20ml``, ``Ra at 500 grit``.
_SETTING = re.compile(
    r"(.*?)(?<![\s,(])[\s,(]*+(?:at|@)?\s*+(?<![\w.])(\d+(?:\.\d+)?)\s*([^\W\d_]+|°[FC])\)?"
)
#: One that begins with them, as heads of two rows do: ``18 mL`` over ``Hook (boards)``.
_SET_FIRST = re.compile(r"(\d+(?:\.\d+)?)\s*([^\W\d_]+|°[FC])\b[\s,:/-]+(.+)")


def _setting(column: Column) -> tuple[str, float, str] | None:
    """(the other words, the number, its unit or ``grit``) of a head that says what was set."""
    words = column.header.words
    if head := _SETTING.fullmatch(words):
        stem, number, written = head[1].strip(" ,-–("), head[2], head[3]
    elif head := _SET_FIRST.fullmatch(words):
        stem, number, written = head[3].strip(), head[1], head[2]
    else:
        return None
    word = written.casefold()
    if word in USE_WORDS or word in ORDER_WORDS:
        return None
    unit = parse(f"x ({written})").unit or ("grit" if word == "grit" else "")
    return (stem, float(number), unit) if unit else None


def per_setting(source: CalledSo, columns: list[Column]) -> Found | None:
    """Columns headed by values of something set, with its unit: millilitres are no games."""
    steps: dict[str, Step] = {}
    found: set[str] = set()
    for column in columns:
        head = _setting(column)
        if head and _read(column):
            stem, number, unit = head
            found.add(unit)
            stem = stem or source.measured.words
            steps[column.name] = Step(stem, column.header.unit, number, unit)
    stems = _together(columns, steps)
    if not stems or len(found) > 1:
        return None
    [unit] = found
    name = "grit" if unit == "grit" else "volume" if units.alike(unit, "mL") else "setting"
    points = sorted({n for by in stems.values() for n in by})
    told = Header(name, name, "" if unit == "grit" else unit)
    made = [
        replace(c, header=told) if c.name == name else c
        for c in _melted(source, columns, stems, steps, points, name)
    ]
    shown = ", ".join(f"{p:g}" for p in points[:12])
    what = f"a column per {name} turned into rows: {shown} {unit}".strip()
    return made, Guess(source.where, what, "please check", worth=70)


def per_day(source: CalledSo, columns: list[Column]) -> Found | None:
    """Columns headed by days: the checkpoint is the number of days since the first of them."""
    days = {c.name: d for c in columns if _read(c) and (d := date_in(c.header.words)) is not None}
    if len(days) < 2:
        return None
    first = min(days.values())
    steps = {n: Step("", "", float((d - first).days), "day") for n, d in days.items()}
    stems = _together(columns, steps)
    if not stems:
        return None
    points = sorted({n for by in stems.values() for n in by})
    made = _melted(source, columns, stems, steps, points, "day")
    dates = {f"{s.number:g}": days[n].isoformat() for n, s in steps.items()}
    at = next(i for i, c in enumerate(made) if c.name == "day")
    made[at] = replace(made[at], header=Header("day", DAYS_SINCE))
    told = Header("date", "date")
    made.insert(at + 1, Column("date", told, tuple(dates[d] for d in made[at].cells), False))
    what = f"a column per date turned into rows: days since {first.isoformat()}"
    return renamed(made), Guess(source.where, what, "likely", worth=70)


def per_condition(source: CalledSo, columns: list[Column]) -> Found | None:
    """Columns that differ by a word for the state an item was in: Ra before, Ra after."""
    told = _by_stretch(columns) or _one_word_apart(columns) or _by_state(columns)
    states = list(dict.fromkeys(state for state, _ in told.values()))
    steps = {
        c.name: Step(told[c.name][1], c.header.unit, float(states.index(told[c.name][0])), "state")
        for c in columns if c.name in told
    }  # fmt: skip
    stems = _together(columns, steps)
    if not stems:
        return None
    points = sorted({n for by in stems.values() for n in by})
    made = [
        replace(c, cells=tuple(states[int(cell)] for cell in c.cells), numeric=False)
        if c.name == "condition" else c
        for c in _melted(source, columns, stems, steps, points, "condition")
    ]  # fmt: skip
    named = ", ".join(states[int(p)] for p in points)
    what = f"a column per condition turned into rows: {named}"
    heads = ", ".join(c.header.written for by in stems.values() for c in by.values())
    return made, Guess(source.where, what, "please check", heads, 70)


def _by_state(columns: list[Column]) -> dict[str, tuple[str, str]]:
    """Columns whose head has one word for a state: the state and the other words, by name."""
    told = {}
    for column in columns:
        words = column.header.words.split()
        said = [w for w in words if w.casefold() in STATES]
        if _read(column) and len(said) == 1:
            told[column.name] = (said[0].casefold(), " ".join(w for w in words if w != said[0]))
    return told


#: A stretch of use at the head of a column: ``Weeks 1 to 5 made``, ``Games 1-20``.
_STRETCH = re.compile(r"([^\W\d_]+) (\d+) ?(?:to|[-–]) ?(\d+)\b[ ,:-]*(.*)", re.IGNORECASE)


def _by_stretch(columns: list[Column]) -> dict[str, tuple[str, str]]:
    """Columns under stretches of weeks or games: the stretch and the other words, by name."""
    told = {}
    for column in columns:
        head = _STRETCH.fullmatch(column.header.words)
        if head and _read(column) and head[1].casefold() in USE_WORDS:
            told[column.name] = (f"{head[1].casefold()} {head[2]} to {head[3]}", head[4].strip())
    return told if len({stretch for stretch, _ in told.values()}) > 1 else {}


def _one_word_apart(columns: list[Column]) -> dict[str, tuple[str, str]]:
    """Three columns or more whose heads differ in one word, at the same place, in one unit:
    ``Short pattern avg, Medium pattern avg, Long pattern avg``."""
    apart: dict[tuple[int, str, str], dict[str, tuple[str, str]]] = defaultdict(dict)
    for column in columns:
        words = column.header.words.casefold().split()
        for at, word in enumerate(words if _read(column) and len(words) > 1 else ()):
            stem = " ".join(words[:at] + words[at + 1 :])
            if not re.search(r"\d", word):
                apart[at, stem, column.header.unit][column.name] = (word, stem)
    return next((found for found in apart.values() if len(found) > 2), {})


WAYS: tuple[Callable[[CalledSo, list[Column]], Found | None], ...] = (
    per_item,
    per_night_and_game,
    per_day,
    per_setting,
    per_checkpoint,
    per_condition,
)


def _read(column: Column) -> bool:
    return (column.numeric or column.pins) and not column.sums


def words_of_head(column: Column) -> list[str]:
    return re.sub(r"[_.#]+", " ", column.header.words.casefold()).split()


def _marks(columns: list[Column]) -> frozenset[str]:
    return frozenset().union(*(c.marks for c in columns))


def _heads(columns: list[Column]) -> tuple[str, ...]:
    return tuple(c.header.written for c in columns)


def _together(columns: list[Column], steps: Mapping[str, Step]) -> dict[str, dict[float, Column]]:
    """Columns with the same words beside their number, by these words; two or more of each."""
    stems: dict[str, dict[float, Column]] = defaultdict(dict)
    for column in columns:
        if column.name in steps:
            found = steps[column.name]
            stems[found.stem.casefold()].setdefault(found.number, column)
    return {k: v for k, v in stems.items() if len(v) >= 2}


def _counted(steps: list[Step], points: list[float], source: CalledSo) -> tuple[str, Sure]:
    """What the numbers in the headers count, and how sure that is."""
    said = next((s.counted for s in steps if s.counted), "")
    if said:
        return said, "likely"
    if source.counted:
        return source.counted, "please check"
    in_turn = points == [float(n) for n in range(1, len(points) + 1)]
    return ("reading" if in_turn else "games"), "please check"


def _people(
    stems: Mapping[str, Mapping[float, Column]], points: list[float], counted: str
) -> list[str]:
    """Heads that name who read, where each stands over readings 1, 2, 3 and none says what was
    read: ``Mia 1, Mia 2, Noel 1, Noel 2``."""
    in_turn = points == [float(n) for n in range(1, len(points) + 1)]
    if len(stems) < 2 or "" in stems or not in_turn or counted in USE_WORDS:
        return []
    if len({tuple(sorted(by)) for by in stems.values()}) > 1:
        return []
    several = {c.header.unit for by in stems.values() for c in by.values()}
    said = {w for stem in stems for w in re.findall(r"[^\W\d_]+", stem)}
    if len(several) > 1 or said & MEASURE_WORDS:
        return []
    return [stem.capitalize() for stem in stems]


def _by_person(
    source: CalledSo, columns: list[Column], stems: dict[str, dict[float, Column]],
    steps: Mapping[str, Step], points: list[float], counted: str,
) -> list[Column]:  # fmt: skip
    """A row per item, person and repeat."""
    names = {stem: steps[next(iter(by.values())).name].stem for stem, by in stems.items()}
    melted = {c.name for by in stems.values() for c in by.values()}
    kept = [c for c in columns if c.name not in melted]
    rows = range(len(columns[0].cells))
    where = [
        (r, stem, p) for r in rows for stem, by in stems.items() for p in points if by[p].cells[r]
    ]
    head = "condition" if set(stems) <= STATES else "operator"
    read = [c for by in stems.values() for c in by.values()]
    called = source.measured
    unit = next((c.header.unit for c in read if c.header.unit), called.unit)
    made = [of_rows(c, [r for r, _, _ in where]) for c in kept]
    made += [
        Column(head, Header(head, head), tuple(names[s] for _, s, _ in where), False),
        Column(counted, Header(counted, counted), tuple(f"{p:g}" for _, _, p in where), True),
        Column(slug(called.words), Header(called.words, called.words, unit),
               tuple(stems[s][p].cells[r] for r, s, p in where), all(c.numeric for c in read),
               marks=_marks(read), heads=_heads(read), asks=NAMED_BY_SHEET),
    ]  # fmt: skip
    return renamed(made)


def of_rows(column: Column, rows: list[int]) -> Column:
    """A kept column, each cell repeated as often as its row was turned into rows."""
    was = set(column.empty)
    return replace(
        column, cells=tuple(column.cells[r] for r in rows),
        empty=tuple(i for i, r in enumerate(rows) if r in was),
    )  # fmt: skip


def _melted(
    source: CalledSo, columns: list[Column], stems: dict[str, dict[float, Column]],
    steps: Mapping[str, Step], points: list[float], counted: str,
) -> list[Column]:  # fmt: skip
    melted = {c.name for by in stems.values() for c in by.values()}
    kept = [c for c in columns if c.name not in melted]
    n = len(columns[0].cells)
    blank = _left_blank(stems)
    where = [
        (row, p) for row in range(n) for p in points
        if any(p in by and (by[p].cells[row] or (row, p) in blank) for by in stems.values())
    ]  # fmt: skip
    made = [of_rows(c, [r for r, _ in where]) for c in kept]
    made.append(Column(counted, Header(counted, counted), tuple(f"{p:g}" for _, p in where), True))
    for by in stems.values():
        read = list(by.values())
        first = read[0]
        called, asks = Header("", steps[first.name].stem), ""
        if not called.words and (called := _summed_up(columns) or Header("", "")).words == "":
            called, asks = _called(source, read, counted)
        unit = next((c.header.unit for c in read if c.header.unit), called.unit)
        cells = tuple(by[p].cells[r] if p in by else "" for r, p in where)
        header = Header(first.header.written, called.words, unit)
        made.append(Column(slug(called.words), header, cells, all(c.numeric for c in read),
                           marks=_marks(read), heads=_heads(read),
                           pins=all(c.pins for c in read), asks=asks))  # fmt: skip
    return renamed(made)


def _left_blank(stems: Mapping[str, Mapping[float, Column]]) -> frozenset[tuple[int, float]]:
    """(row, step) of cells with nothing in them that are readings somebody missed.

    So where the sheet marks such readings elsewhere (``bye``, ``absent``), where the row has
    readings at other steps and most rows have one at this step: a blank is one more of them, and no
    reading that was never planned.
    """
    found: set[tuple[int, float]] = set()
    for by in stems.values():
        if not any(cell and not c.reads(cell) for c in by.values() for cell in c.cells):
            continue
        for row in range(len(next(iter(by.values())).cells)):
            has = any(c.reads(c.cells[row]) for c in by.values())
            found |= {
                (row, p) for p, c in by.items()
                if has and not c.cells[row] and 2 * len(c.values) > len(c.cells)
            }  # fmt: skip
    return frozenset(found)


def _summed_up(columns: list[Column]) -> Header | None:
    """What a column of means beside bare wide ones says they hold: ``Mean hook`` is of hook."""
    for column in columns:
        words = column.header.words.split()
        rest = [w for w in words if w.casefold().strip(".") not in SUMS | MEANS]
        if column.sums and 0 < len(rest) < len(words):
            return Header("", " ".join(rest), column.header.unit)
    return None


#: What is asked of readings that no head names.
NAMED_BY_SHEET = "named after its sheet or caption, since no head says what was read: what was it?"
LIKE_SCORES = "no head says what was read; the numbers look like scores: are they?"


def _called(source: CalledSo, read: list[Column], counted: str) -> tuple[Header, str]:
    """A name for the values of bare wide columns (scores where they look like scores), and what
    only the author can say of it."""
    if all(c.pins for c in read):
        return Header("", "pins"), ""
    numbers = [n for c in read for n in c.numbers]
    whole = all(c.whole for c in read) and numbers and min(numbers) >= 0
    if counted in _PLAYED and whole and sum(numbers) / len(numbers) >= 60 and max(numbers) <= 300:
        return Header("", "score"), LIKE_SCORES
    return source.measured, NAMED_BY_SHEET
