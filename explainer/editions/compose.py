"""From a judged study to an ``Article``: words said, figures drawn, everything in order."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from explainer import __version__
from explainer.charts import svg
from explainer.charts.as_read import can_draw, draw_as_read
from explainer.charts.bands import draw_yardstick
from explainer.charts.board import board_plate, board_rows
from explainer.charts.chain import draw_chain
from explainer.charts.kinds import draw
from explainer.charts.strip import draw_outcomes, draw_strip, parts_of
from explainer.charts.style import TALL, WIDE
from explainer.claims.figures.pair import pair
from explainer.claims.kept import LastFew, rests_on
from explainer.claims.verdict import ChainLink, FigureResult, Judgement, Verdict
from explainer.claims.what_if import OtherMargin, what_if
from explainer.editions.article import (
    Article,
    AsReadView,
    ClaimView,
    Download,
    Drawing,
    FigureView,
    LinkView,
    NumberTable,
    OtherSystem,
    PairView,
    QuestionView,
    ReportView,
    RuleView,
    WhatIfRow,
)
from explainer.editions.numbers import (
    claim_numbers,
    claim_readings,
    figure_table,
    public,
    readings_in,
    stated_rows,
    threshold_rows,
)
from explainer.study.description.figures import Figure
from explainer.study.description.rule import Rule
from explainer.study.model import Study, Table
from explainer.words.facts.zone import limits_told
from explainer.words.page.cautions import cautions
from explainer.words.page.claims import catch_in_short, labels
from explainer.words.page.prose import asides, fill
from explainer.words.page.report import as_read_title, as_read_words, source_words
from explainer.words.phrases.book import numbers_of, teller_for
from explainer.words.phrases.sandbox import Concealed
from explainer.words.quantity.numbers import as_given, noun_for, plural_of
from explainer.words.quantity.sizes import listed, number, set_level, tally, tally_from, with_unit
from explainer.words.quantity.systems import strip_in
from explainer.words.quantity.when import day_words
from explainer.words.said import ClaimWords, FigureWords, StudyWords
from explainer.words.say import in_first_units, say
from explainer.words.speakers import (
    in_voices,
    named,
    saying,
    several_voices,
    speaker_of,
    step_by,
    voice_code,
)


def compose(judgement: Judgement) -> Article:
    """Everything an edition shows of a study.  Raises StudyError from stages 4 and 5."""
    study = judgement.study
    said = study.description
    words = say(judgement, study.workspace.settings.audience)
    plainly = {id: claim.plainly for id, claim in words.claims.items()}
    article = Article(
        id=study.id,
        title=said.title,
        question=said.question,
        answer=words.answer,
        short=words.short,
        intro_md=fill(said.intro or "", judgement),
        tested=words.tested,
        facts=_facts(study),
        disclaimer=words.disclaimer,
        unconfirmed=words.unconfirmed,
        report=_report(study),
        figures=tuple(
            _figure(i, result, words, judgement, plainly)
            for i, result in enumerate(judgement.figures, start=1)
        ),
        claims=_claims(judgement, words),
        rule=_rule(judgement, words) if said.rule else None,
        stated=stated_rows(judgement.stated),
        stated_says=words.stated,
        questions=tuple(
            QuestionView(*question, claim)
            for question, claim in zip(words.questions, words.questioned, strict=True)
        ),
        advice=tuple(
            (fill(a.do, judgement),
             tuple((c, plainly[c], words.claims[c].label) for c in a.because)) for a in said.advice
        ),
        cautions=cautions(judgement, teller_for(judgement, study.workspace.settings.audience)),
        several=words.several,
        methods=tuple((c.plainly, c.method) for c in words.claims.values() if c.method),
        thresholds=threshold_rows(judgement),
        left_out=_left_out(study),
        data_source=said.data_source or "",
        hashes=tuple((name, digest) for name, digest in study.sha256.items() if digest),
        downloads=_downloads(study),
        corrections=words.edition.corrections,
        version=__version__,
        base_address=(study.workspace.settings.base_address or "").rstrip("/"),
        paper=study.workspace.settings.paper,
        annex=study.workspace.settings.has_annex,
        site_title=study.workspace.settings.title,
        long=words.long,
        units_first=study.workspace.settings.units_first,
        limits=limits_told(judgement),
        numbers=Concealed(numbers_of(judgement)),
        updated=words.edition.day,
        edition=words.edition,
        as_read=_as_read(study),
        headline=words.headline,
        scope=words.scope,
        board=_board(judgement, words),
        board_rows=board_rows(judgement.verdicts, words.claims),
        voices=words.voices,
        author=words.author,
    )
    return in_first_units(judgement, article, WAYS, drawn=(Drawing, Download, ReportView))


def _claims(judgement: Judgement, words: StudyWords) -> tuple[ClaimView, ...]:
    """Every claim in the order of the page, voice by voice, with the author's words about it."""
    others = _what_if(judgement)
    return tuple(
        replace(
            _claim(i, v, words.claims[v.claim.id], judgement.study),
            what_if=others.get(v.claim.id, ()),
            say_md=fill(v.claim.say or "", judgement),
            asides=asides(v.claim, judgement),
            readings_in=readings_in(v, judgement),
        )
        for i, v in enumerate(in_voices(judgement.verdicts), start=1)
    )


def _what_if(judgement: Judgement) -> dict[str, tuple[WhatIfRow, ...]]:
    """Claim id to its verdicts for other margins, in words."""
    teller = teller_for(judgement, judgement.study.workspace.settings.audience)
    called = labels(teller)

    def named(claim: str, row: OtherMargin) -> str:
        known = {"label": called[row.code], "catch": catch_in_short(teller, judgement, row.verdict)}
        caught = "what-if.short" if row.code == "against" else "what-if.caught"
        name = caught if known["catch"] else "what-if.small" if row.small else ""
        return teller.fragment([name], known, about=claim) if name else called[row.code]

    found = _WHAT_IFS.of(rests_on(judgement.study, judgement.thresholds),
                         lambda: what_if(judgement))  # fmt: skip
    return {
        claim: tuple(
            WhatIfRow(
                with_unit(as_given(r.margin), r.unit),
                r.code, named(claim, r), r.chosen,
                r.verdict.test.own_margin is not None,
                r.code != "against" and bool(catch_in_short(teller, judgement, r.verdict)),
            )
            for r in rows
        )
        for claim, rows in found.items()
    }  # fmt: skip


#: What verdicts would be for other margins.  It takes a fifth of the time of a page, and while an
#: author rewords it in rehearsal none of it changes.
_WHAT_IFS: LastFew[Mapping[str, tuple[OtherMargin, ...]]] = LastFew()


def _board(judgement: Judgement, words: StudyWords) -> Drawing | None:
    """Every claim on one small picture: what a reader sees first."""
    if not judgement.verdicts:
        return None
    told = in_voices(judgement.verdicts)
    groups = [speaker_of(v.claim.said_by).heading for v in told]
    plate = board_plate(board_rows(told, words.claims, groups if len(set(groups)) > 1 else ()))
    title = "Every claim at a glance"
    each = ((v, words.claims[v.claim.id]) for v in told)
    said = " ".join(
        f"{i}. {_whose(v, told)}{claim.plainly} {claim.label}."
        for i, (v, claim) in enumerate(each, start=1)
    )
    return Drawing(
        svg=svg.render(plate, "board", title, said, ground=False),
        alt=f"{title}. {said}",
        on_white=svg.render(plate, "board", title, said, ground=False, white=True),
    )


def _whose(verdict: Verdict, told: tuple[Verdict, ...]) -> str:
    """Who says it, before it, where more than one voice is told."""
    return f"{saying(verdict.claim)}: " if several_voices(told) else ""


def _as_it_is(value: Any) -> Any:
    return value


def _metric(table: NumberTable) -> NumberTable:
    """A table with its columns in metric where they have another head and other cells."""
    swapped = {i: o for i, o in enumerate(table.other) if o is not None and o.system == "metric"}
    if not swapped:
        return table
    return replace(
        table,
        columns=tuple(swapped[i].head if i in swapped else c for i, c in enumerate(table.columns)),
        rows=tuple(
            tuple(swapped[i].cells[r] if i in swapped else cell for i, cell in enumerate(row))
            for r, row in enumerate(table.rows)
        ),
        other=tuple(
            OtherSystem("inch", table.columns[i], tuple(row[i] for row in table.rows))
            if i in swapped else other
            for i, other in enumerate(table.other)
        ),
    )


#: What is not told again in other units: drawings are drawn from words that were, tables bring
#: their metric columns along, and what others wrote stays.
WAYS: dict[type, Callable[[Any], Any]] = {
    Drawing: _as_it_is, Download: _as_it_is, ReportView: _as_it_is, NumberTable: _metric,
}  # fmt: skip


def _figure(
    number: int, result: FigureResult, said: StudyWords, judgement: Judgement,
    plainly: dict[str, str],
) -> FigureView:  # fmt: skip
    figure, words = result.figure, said.figures[result.figure.id]
    table = judgement.study.tables[figure.table]
    names = _names(judgement.study, table)
    files = [t.file for t in judgement.study.tables.values()]
    shown = replace(result, table=public(result.table, judgement.study, table))
    return FigureView(
        id=figure.id,
        number=number,
        words=words,
        say_md=fill(figure.say or "", judgement),
        drawing=_drawing(result, words, judgement),
        table=figure_table(shown, f"Figure {number}: {words.title}", names, files),
        report_figure=figure.report_figure or "",
        source=_sources(judgement.study, figure),
        claims=tuple((c, plainly[c]) for c in result.claims if c in plainly),
        yardstick=_yardstick(result, words),
        kind=figure.kind,
        asides=asides(figure, judgement),
        ask_first=figure.ask_first or "",
        pair=_pair(result, judgement, said),
    )


def _pair(result: FigureResult, judgement: Judgement, said: StudyWords) -> PairView | None:
    """The two figures that the author wants side by side under this one."""
    if result.figure.pair is None:
        return None
    made = pair(result.figure.id, *(judgement.figure(id) for id in result.figure.pair))
    numbers = {f.figure.id: i for i, f in enumerate(judgement.figures, start=1)}
    told = said.pairs[result.figure.id]

    def drawn(one: FigureResult, side: str) -> tuple[str, int, Drawing]:
        id = one.figure.id
        uid = f"p-{result.figure.id}-{side}"
        return id, numbers[id], _drawing(one, said.figures[id], judgement, uid)

    return PairView(told.title, told.scale, drawn(made.first, "a"), drawn(made.second, "b"))


def _sources(study: Study, figure: Figure) -> str:
    """Where its numbers stand, of every table it draws on: y's first, then x's and the line's."""
    operands = (getattr(figure, name, None) for name in ("y", "x"))
    named = [figure.table, *(getattr(operand, "table", None) for operand in operands)]
    named.append(getattr(figure, "line_from", None))
    tables = [study.tables[name] for name in dict.fromkeys(named) if name is not None]
    said = (source_words(study, t) or f"the file {t.file}" for t in tables)
    return listed(list(dict.fromkeys(said)))


def _as_read(study: Study) -> tuple[AsReadView, ...]:
    """Each chart of the report that numbers were read off, once for each file."""
    tables = {t.file: t for t in study.tables.values() if t.lifted and can_draw(t.lifted)}
    views = []
    for position, table in enumerate(tables.values(), start=1):
        assert table.lifted is not None
        title, says = as_read_title(table), as_read_words(study, table)
        plate, uid = draw_as_read(table.lifted), f"as-read-{position}"
        tall = draw_as_read(table.lifted, phone=True)
        views.append(AsReadView(title, says, Drawing(
            svg.render(plate, uid, title, says, ground=False), f"{title}. {says}",
            svg.render(plate, uid, title, says, ground=False, white=True),
            svg.render(tall, f"{uid}-n", "", "", ground=False, named_by=uid),
        )))  # fmt: skip
    return tuple(views)


def _yardstick(result: FigureResult, words: FigureWords) -> Drawing | None:
    """The physics curve the author asked for beside a figure."""
    if result.yardstick is None or words.yardstick is None:
        return None
    said, curve, uid = words.yardstick, result.yardstick, f"y-{result.figure.id}"
    wide, tall = draw_yardstick(curve, said, WIDE), draw_yardstick(curve, said, TALL)
    return Drawing(
        svg=svg.render(wide, uid, said.title, said.description, ground=False),
        alt=f"{said.title}. {said.description}",
        on_white=svg.render(wide, uid, said.title, said.description, ground=False, white=True),
        narrow=svg.render(tall, f"{uid}-n", "", "", ground=False, named_by=uid),
    )


def _names(study: Study, table: Table) -> dict[str, str]:
    """Words for the columns that study.yaml calls something shorter."""
    names = {name: study.term(name) for name in study.description.measures}
    return {"use": table.use_term or "use", **names}


def _drawing(
    result: FigureResult, words: FigureWords, judgement: Judgement, uid: str = ""
) -> Drawing:
    """The figure for a wide page; drawn anew for a phone, and so for half a column of paper."""
    uid = uid or f"f-{result.figure.id}"
    study = rests_on(judgement.study, judgement.thresholds)
    rests = f"{study}\0{result.claims}\0{uid}\0{words!r}"
    return _DRAWN.of(rests, lambda: _drawn(result, words, uid))


#: Drawings stay while an author rewords what is not written on them; so many are kept.
_DRAWN: LastFew[Drawing] = LastFew(most=100)


def _drawn(result: FigureResult, words: FigureWords, uid: str) -> Drawing:
    wide, tall = draw(result, words, WIDE), draw(result, words, TALL)
    title, description = words.title, words.description
    return Drawing(
        svg=svg.render(wide, uid, title, description, ground=False),
        alt=f"{title}. {description}",
        on_white=svg.render(tall, uid, title, description, ground=False, white=True),
        narrow=svg.render(tall, f"{uid}-n", "", "", ground=False, named_by=uid),
    )


def _claim(number: int, verdict: Verdict, words: ClaimWords, study: Study) -> ClaimView:
    numbers = {f.id: i for i, f in enumerate(study.description.figures, start=1)}
    claim = verdict.claim
    return ClaimView(
        id=claim.id,
        number=number,
        code=verdict.code,
        words=words,
        report_says=claim.sentence,
        said_by=named(claim),
        of_report=claim.of_report,
        voice=voice_code(claim.said_by),
        group=speaker_of(claim.said_by).heading,
        where=_where(claim.page),
        key=claim.is_key,
        strip=_strip(verdict, words, "s", study),
        drawn=() if verdict.strip is None
        else tuple(sorted(parts_of(verdict.strip, bool(words.held)))),
        figure=(claim.figure, numbers[claim.figure]) if claim.figure in numbers else None,
        numbers=claim_numbers(verdict, _item(study, verdict), study),
        readings=None if _of_people(study, verdict)
        else claim_readings(verdict, _item(study, verdict)),
        outcomes=_outcomes(verdict, words, study),
    )


def _strip(verdict: Verdict, words: ClaimWords, kind: str, study: Study) -> Drawing | None:
    """The claim's range strip; none where there is nothing to draw."""
    strip = verdict.strip
    if strip is None or (strip.value is None and strip.measured is None):
        return None
    strip = strip_in(strip, study)
    uid = f"{kind}-{verdict.claim.id}"
    return Drawing(
        draw_strip(strip, uid, words), words.strip, draw_strip(strip, uid, words, white=True)
    )


def _outcomes(verdict: Verdict, words: ClaimWords, study: Study) -> Drawing | None:
    """The range as twenty answers; None where it gives none."""
    if verdict.strip is None or len(words.outcomes) < 2:
        return None
    said = words.outcomes[1]
    strip = strip_in(verdict.strip, study)
    return Drawing(draw_outcomes(strip, f"o-{verdict.claim.id}", said), said)


def _item(study: Study, verdict: Verdict) -> str:
    """The word for one item of the table a verdict rests on."""
    table = study.tables.get(verdict.table)
    return table.item if table else study.description.tested.item


def _of_people(study: Study, verdict: Verdict) -> bool:
    table = study.tables.get(verdict.table)
    return table is not None and table.people


def _where(page: int | str | None) -> str:
    if page is None:
        return ""
    return f"page {page}" if isinstance(page, int) or page.isdigit() else page


def _rule(judgement: Judgement, words: StudyWords) -> RuleView | None:
    rule = judgement.study.description.rule
    if rule is None:
        return None
    chain = judgement.chain
    drawing: Drawing | None = None
    links: tuple[LinkView, ...] = ()
    if chain is not None:
        spoken = {
            link.claim: speaker_of(judgement.verdict(link.claim).claim.said_by).who
            for link in chain.links
        }
        spoken = spoken if set(spoken.values()) != {"the report"} else {}
        drawing = Drawing(
            draw_chain(chain, "chain", words.claims, words.chain, spoken=spoken),
            words.chain,
            draw_chain(chain, "chain", words.claims, words.chain, white=True, spoken=spoken),
        )
        links = tuple(_link(link, words.claims[link.claim]) for link in chain.links)
    return RuleView(
        rule.change, _rule_facts(rule, judgement.study), drawing, links, words.chain,
        say_md=fill(rule.say or "", judgement), asides=asides(rule, judgement),
    )  # fmt: skip


def _link(link: ChainLink, words: ClaimWords) -> LinkView:
    return LinkView(
        link.claim, words.plainly, link.code, words.label, link.therefore or "", link.weakest,
        whose=words.whose, step_by=step_by(link),
    )  # fmt: skip


def _rule_facts(rule: Rule, study: Study) -> tuple[tuple[str, str], ...]:
    rows = [("In force from", day_words(rule.in_force)), ("Who it applies to", rule.affects or "")]
    if rule.limit is not None:
        unit, term = study.measure(rule.limit.measure).unit, study.term(rule.limit.measure)
        for edge, value in (("at least", rule.limit.at_least), ("at most", rule.limit.at_most)):
            if value is not None:
                rows.append(("The limit", f"{term} of {edge} {set_level(value, unit)}"))
    rows.append(("A reading that counts", rule.reading or ""))
    return tuple((name, value) for name, value in rows if value)


def _facts(study: Study) -> tuple[tuple[str, str], ...]:
    """What was tested, table by table, without a sentence."""
    rows: list[tuple[str, str]] = []
    for table in study.tables.values():
        name = table.source or table.file
        counted = f"{tally(len(table.items), table.item)}, {tally(len(table.frame), 'row')}"
        if table.mean_of:
            of = tally_from(table.mean_of, table.mean_of_most, table.item)
            counted = f"averages of {of} each"
        if table.checkpoints:
            unit = plural_of(table.use_unit) if table.use_unit not in ("", "count") else ""
            points = ", ".join(number(c) for c in table.checkpoints)
            counted += f", at {points} {unit}".rstrip()
        measured = ", ".join(study.term(m) for m in table.measures)
        rows.append((name, f"{measured}: {counted}" if measured else counted))
    return tuple(rows)


def _report(study: Study) -> ReportView | None:
    report = study.description.report
    if report is None:
        return None
    link = report.link if (report.link or "").startswith(("https://", "http://")) else ""
    return ReportView(
        report.title, report.publisher or "", day_words(report.date), report.pages, link or "",
        published=report.date or "",
    )  # fmt: skip


def _left_out(study: Study) -> tuple[str, ...]:
    """One sentence for each reading that is missing or was left out by the author."""
    said = []
    for table in study.tables.values():
        for note in table.notes:
            told = "" if note.use is None else number(note.use)
            unit = noun_for(told, table.use_unit) if table.use_unit else ""
            at = f" at {told} {unit}".rstrip() if told else ""
            what = (
                study.term(note.column)
                if note.column in study.description.measures
                else note.column
            )
            why = f"left out: {note.why}" if note.why else "no reading"
            said.append(f"{table.file}, row {note.row}: {note.item}{at}, {what}: {why}.")
    people = {t.item for t in study.tables.values() if study.unlisted & set(t.items)}
    for item in sorted(people):
        who = tally(sum(any(n in t.items for t in study.tables.values() if t.item == item)
                        for n in study.unlisted), item)  # fmt: skip
        said.append(f"The rows of {who} are not in the downloads, nor are rows of averages and "
                    "totals. Every result here counts them.")  # fmt: skip
    return tuple(said)


def _downloads(study: Study) -> tuple[Download, ...]:
    sources = {t.file: source_words(study, t) for t in study.tables.values()}
    card = Download("rule-card.pdf", "The rule, its reasons and your ball, for a coach")
    rule_card = (card,) if study.description.rule is not None else ()
    # A list of who bowled, say, of which no claim counts a number, goes out without one.
    numbers = {t.file for t in study.tables.values()
               if {*t.frame.select_dtypes("number")} - {t.item, t.use, t.order}}  # fmt: skip
    tables = tuple(
        Download(f"data/{file}",
                 f"{'The numbers as read' if file in numbers else 'What was named'}{_from(source)}")
        for file, source in sources.items()
    )  # fmt: skip
    return (
        Download("explainer.pdf", "This page, to print or to pass on"),
        Download("handout.pdf", "The study on one sheet, for a noticeboard and a bag"),
        *rule_card,
        Download("results.json", "Every result, unrounded"),
        *tables,
        Download("data/datapackage.json", "What each column is"),
    )


def _from(source: str) -> str:
    return f": {source}" if source else ""
