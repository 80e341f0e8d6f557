"""The checks of a study as a whole, in the order they run.

Each takes the context and gives problems with their places; none depends on another.  A check
says nothing about what another one reports: an unknown table is reported once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from explainer.errors import Problem
from explainer.study.checks import data, names, people, slips, stated, warnings, work
from explainer.study.checks.context import Context, Sheets
from explainer.study.model import Workspace
from explainer.study.tables import Origin

Check = Callable[[Context], Iterator[Problem]]

ERRORS: tuple[Check, ...] = (
    names.units_known,
    names.wishes_known,
    names.measures_measured,
    names.derived_operands,
    names.shared_columns_there,
    names.figures_drawn,
    names.tests_readable,
    names.links_lead,
    names.further_claims_lead,
    names.rule_limit,
    stated.stated_computable,
    names.rows_picked,
    names.endings_lead,
    names.order_names,
    names.figures_side_by_side,
    names.design_named,
    names.thresholds_known,
    data.ids_once,
    data.checkpoints_measured,
    data.figure_points_measured,
    data.stated_points_measured,
    data.one_limit,
    data.percent_possible,
    data.rates_tried,
    data.windows_run_forward,
    data.counts_agree,
    data.averages_agree,
    data.several_items,
    data.dates_are_dates,
    data.edition_after_corrections,
    data.addresses_are_safe,
    data.answers_read_well,
    work.few_in_turn,
    work.little_again,
    work.few_drawn,
    people.nobody_given_away,
)
WARNINGS: tuple[Check, ...] = (
    warnings.anything_to_show,
    warnings.claims_shown,
    warnings.figures_explained,
    warnings.sources_named,
    warnings.margins_set,
    warnings.averages_have_room,
    warnings.pairs_named,
    warnings.limits_reachable,
    warnings.one_uncertainty,
    warnings.pages_there,
    warnings.sizes_seen,
    warnings.measures_read,
    warnings.rows_pasted_twice,
    warnings.points_misplaced,
    slips.units_mixed,
    slips.marks_for_gaps,
    slips.spelled_twice,
    slips.named_twice,
    slips.items_of_one,
    slips.tables_copied,
    people.left_out_of_downloads,
    people.names_in_texts,
    people.names_in_the_workspace,
    people.people_asked,
    people.people_by_looks,
)


#: Faults that only follow from another one: with the cause named, they would be noise.
FOLLOWS = {"no-use-column": ("no-use", "duplicate")}


def without_echoes(problems: Iterable[Problem]) -> list[Problem]:
    """``problems`` without those that only follow from another of them."""
    problems = list(problems)
    echoes = {code for p in problems for code in FOLLOWS.get(p.code, ())}
    return [p for p in problems if p.code not in echoes]


def check(source: Origin, sheets: Sheets, workspace: Workspace | None = None) -> list[Problem]:
    """Every problem found by any check, errors first; of the texts of its workspace, too."""
    context = Context(source, sheets, workspace)
    return [problem for each in (*ERRORS, *WARNINGS) for problem in each(context)]
