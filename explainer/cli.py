"""The command line: each command names its inputs, calls one stage, and says what happened.

What a user can cause ends here as one line per problem on standard error and an exit status:
0 fine, 2 wrong usage, 3 a study has problems, 4 output could not be written.  Commands import
what they need when they run, so that ``--help`` and ``define`` stay quick.
"""

from __future__ import annotations

import os
import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from explainer import __version__
from explainer.errors import ExplainerError, OurFault, OutputError, StudyError, UsageError
from explainer.lifting import by_hand, lifted_first, say_moves, today
from explainer.process import Commands, as_status, say, show
from explainer.publish.commands import EDITIONS, GENERAL, KIT, command

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from explainer.draft.plan import FindTerm
    from explainer.errors import Problem
    from explainer.publish.site import Outcome
    from explainer.study.model import Workspace


# What a shell offers where Tab is pressed: studies, kinds of skeletons, terms of the glossary.

def study_names(context: click.Context, _: click.Parameter, begun: str) -> list[str]:
    """The studies of the workspace that begin so."""
    from explainer.study.load import list_studies

    workspace = _workspace(context)
    found = [folder.name for folder in list_studies(workspace)] if workspace else []
    return [name for name in found if name.startswith(begun)]


def kinds(_: click.Context, __: click.Parameter, begun: str) -> list[str]:
    """The kinds of worked skeletons that begin so."""
    from explainer.draft.draft import KINDS

    return [kind for kind in KINDS if kind.startswith(begun)]


def terms(context: click.Context, _: click.Parameter, begun: str) -> list[str]:
    """The glossary's terms that begin so."""
    from explainer.words.glossary.entries import load_glossary

    workspace = _workspace(context)
    try:
        entries = load_glossary(workspace.glossary_folders).entries if workspace else ()
    except ExplainerError:
        return []
    return [entry.term for entry in entries if entry.term.startswith(begun.lower())]


def _workspace(context: click.Context) -> Workspace | None:
    """The workspace that the command would use; None where its settings are at fault."""
    from explainer.study.load import open_workspace, workspace_above
    from explainer.study.shipped import home

    given = context.find_root().params.get("workspace")
    try:
        return open_workspace(given or workspace_above(Path.cwd()) or home())
    except ExplainerError:
        return None


NEXT = (
    "to begin one: explainer draft NAME --from FILE.csv, or explainer draft NAME --like over-use, "
    "or explainer alone for a page in your browser"
)
"""What to type where there is no study."""


@click.group(
    cls=Commands,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
    epilog="Start with: explainer proof, then: explainer publish",
)
@click.version_option(__version__, prog_name="explainer")
@click.option("--debug", is_flag=True, help=dict(GENERAL)["--debug"])
@click.option(
    "--workspace",
    type=click.Path(path_type=Path, file_okay=False),
    help=dict(GENERAL)["--workspace FOLDER"],
)
@click.pass_context
def cli(context: click.Context, debug: bool, workspace: Path | None) -> None:
    """Turns a bowling equipment study into an explainer ordinary bowlers understand."""
    context.obj = {"debug": debug, "workspace": workspace}
    if context.invoked_subcommand is None:
        _open_workroom(context.obj, None, browse=True)


@cli.command("open", help=command("open").help)
@click.option("--port", type=click.IntRange(0, 65535), help=command("open").option("--port"))
@click.option("--no-browser", is_flag=True, help=command("open").option("--no-browser"))
@click.pass_obj
def open_(options: dict[str, Any], port: int | None, no_browser: bool) -> None:
    _open_workroom(options, port, browse=not no_browser)


def _open_workroom(options: dict[str, Any], port: int | None, browse: bool) -> None:
    """The local page, on the folder that was named or is worked in."""
    from explainer.publish.workers import unhurried
    from explainer.room.room import folder_to_work_in
    from explainer.room.server import open_room

    unhurried()
    root = folder_to_work_in(options["workspace"])
    open_room(root, port, say, browse)


@cli.command(help=command("draft").help)
@click.argument("name")
@click.option(
    "--from",
    "first",
    type=click.Path(path_type=Path),
    metavar="FILE...",
    help=command("draft").option("--from"),
)
@click.argument("more", nargs=-1, type=click.Path(path_type=Path), metavar="")
@click.option(
    "--like",
    metavar="KIND",
    shell_complete=kinds,
    help=command("draft").option("--like"),
)
@click.option("--quiet", "-q", is_flag=True, help=command("draft").option("--quiet"))
@click.pass_obj
def draft(
    options: dict[str, Any],
    name: str,
    first: Path | None,
    more: tuple[Path, ...],
    like: str | None,
    quiet: bool,
) -> None:
    from explainer.draft.draft import draft_from, skeleton
    from explainer.draft.folder import new_folder, write_folder, write_schema
    from explainer.study.load import open_workspace, workspace_above

    if more and first is None:
        raise UsageError(f"what is {more[0]}? write --from before the files to draft from")
    if first is not None and like is not None:
        raise UsageError("--from and --like start a study in two ways; choose one")
    root = options["workspace"] or workspace_above(Path.cwd()) or Path.cwd()
    folder, workspace = new_folder(name, root), open_workspace(root)
    if first is not None:
        given, report = lifted_first((first, *more))
        made = draft_from(name, given, _finder(workspace), report)
    else:
        made = skeleton(like or "over-use", workspace.template_folders)
    write_folder(folder, made.files)
    write_schema(folder.parent)
    for guess in () if quiet else made.guesses:
        say(f"  {guess}")
    check = sum(guess.sure == "please check" for guess in made.guesses)
    to_check = f", {check} guess{'es' * (check != 1)} to check" if check else ""
    say(f"drafted: {folder / 'study.yaml'}{to_check}")
    command = f"explainer --workspace {given}" if (given := options["workspace"]) else "explainer"
    say(f"next: {command} proof {name}, then: {command} publish {name}")


@cli.command(help=command("proof").help)
@click.argument("studies", nargs=-1, metavar="[STUDY]...", shell_complete=study_names)
@click.option("--json", "as_json", is_flag=True, help=command("proof").option("--json"))
@click.option("--quiet", "-q", is_flag=True, help=command("proof").option("--quiet"))
@click.pass_obj
def proof(options: dict[str, Any], studies: tuple[str, ...], as_json: bool, quiet: bool) -> None:
    from explainer.proof.read import proofread

    said: dict[str, list[dict[str, Any]]] = {}
    faulty = False
    for folder, workspace in _chosen(options, studies):
        found = proofread(folder, workspace)
        faulty = faulty or any(p.severity == "error" for p in found)
        if as_json:
            said[folder.name] = [_record(p, folder) for p in found]
        elif found or not quiet:
            say(f"{folder.name}: {_tally(found)}")
            _say_problems(found, folder)
    if as_json:
        _say_json(said)
    if faulty:
        raise SystemExit(StudyError.exit_status)


def _say_problems(found: Sequence[Problem], folder: Path) -> None:
    """Each with its text and marker; the way to mend it once for each kind."""
    from explainer.proof.place import shown

    sys.stdout.flush()
    codes: set[str] = set()
    for problem in found:
        text = shown(problem, folder, _paint, mend=problem.code not in codes)
        click.echo(text, err=True, color=_colour())
        codes.add(problem.code)


@cli.command(help=command("weigh").help)
@click.argument("study", shell_complete=study_names)
@click.option("--json", "as_json", is_flag=True, help=command("weigh").option("--json"))
@click.pass_obj
def weigh(options: dict[str, Any], study: str, as_json: bool) -> None:
    from explainer.claims.judge import judge
    from explainer.study.load import load_study

    [(folder, workspace)] = _chosen(options, (study,))
    judgement = judge(load_study(folder, workspace))
    if as_json:
        from explainer.claims.results import results

        _say_json(results(judgement))
        return
    from explainer.words.ledger import ledger
    from explainer.words.say import say as in_words

    words = in_words(judgement, workspace.settings.audience)

    show(ledger(judgement, words))


@cli.command(help=command("publish").help)
@click.argument("studies", nargs=-1, metavar="[STUDY]...", shell_complete=study_names)
@click.option("--into", type=click.Path(path_type=Path), help=command("publish").option("--into"))
@click.option(
    "--edition",
    "editions",
    multiple=True,
    type=click.Choice((*EDITIONS, KIT)),
    help=command("publish").option("--edition"),
)
@click.option("--workers", type=click.IntRange(1), help=command("publish").option("--workers"))
@click.option("--quiet", "-q", is_flag=True, help=command("publish").option("--quiet"))
@click.pass_obj
def publish(
    options: dict[str, Any],
    studies: tuple[str, ...],
    into: Path | None,
    editions: tuple[str, ...],
    workers: int | None,
    quiet: bool,
) -> None:
    from explainer.publish.site import publish as publish_site, telling
    from explainer.publish.workers import default_workers, from_folder, unhurried

    _can_make(editions)
    unhurried()
    chosen = _chosen(options, studies)
    workspaces = {workspace.root: workspace for _, workspace in chosen}
    if len(workspaces) > 1:
        raise UsageError("these studies lie in several workspaces; publish one at a time")
    [workspace] = workspaces.values()
    folders = _by_id(chosen)
    target = into if into is not None else _own_site(workspace)
    only = tuple(folders) if studies else None
    here = Path.cwd()
    with telling(len(folders), quiet) as tell:
        outcome = publish_site(
            workspace,
            folders,
            target,
            only=only,
            tell=tell,
            build=partial(from_folder, editions=editions) if editions else None,
            workers=workers or default_workers(),
        )
    _say_trouble(outcome, folders)
    lines = [f"{kept}: its last good pages stand" for kept in outcome.kept]
    lines += [f"{gone}: no longer in the workspace, taken off the site" for gone in outcome.gone]
    for line in () if quiet else (*lines, f"published: {target / 'index.html'}"):
        say(line)
    _say_where_we_stand(here)
    faults = outcome.failed.values()
    for fault in faults:
        if options["debug"] and isinstance(fault, OurFault):
            show(fault.trace, err=True)
    if faults:
        raise SystemExit(min(fault.exit_status for fault in faults))


def _say_trouble(outcome: Outcome, folders: Mapping[str, Path]) -> None:
    """What a publish found wrong, set aside, could not make, or found unconfirmed: a line each."""
    from explainer.proof.read import to_confirm

    for study, fault in outcome.failed.items():
        for problem in fault.problems:
            say(f"{study}/{problem}" if len(folders) > 1 else str(problem), err=True)
    for warning in outcome.warnings:
        say(str(warning), err=True)
    for place in outcome.set_aside:
        say(
            f"{place}: files that explainer did not write were in its way; kept there", err=True
        )
    if outcome.lacks:
        say(outcome.lacks, err=True)
    for study in outcome.published:
        marks = len(list(to_confirm(folders[study])))
        if marks:
            said = f"{marks} guess{'es' * (marks != 1)} of its draft not confirmed; see proof"
            say(f"{study}: {said}", err=True)


def _can_make(editions: Sequence[str]) -> None:
    """Raises UsageError, before anything is built, for a kit where films cannot be made."""
    if KIT in editions:
        from explainer.editions.film import need_encoder

        need_encoder()


@cli.command(help=command("rehearse").help)
@click.option("--port", type=click.IntRange(0, 65535), help=command("rehearse").option("--port"))
@click.option("--quiet", "-q", is_flag=True, help=command("rehearse").option("--quiet"))
@click.pass_obj
def rehearse(options: dict[str, Any], port: int | None, quiet: bool) -> None:
    from explainer.publish.rehearse import rehearse as rehearse_site
    from explainer.publish.workers import unhurried

    unhurried()

    def tell(line: str) -> None:
        if not quiet or line.startswith("rehearsing"):
            say(line)

    rehearse_site(_root(options), port, tell)


@cli.command(help=command("lift").help)
@click.argument("report", type=click.Path(path_type=Path), metavar="REPORT.pdf")
@click.option("--into", type=click.Path(path_type=Path), help=command("lift").option("--into"))
@click.option("--pages", metavar="PAGES", help=command("lift").option("--pages"))
@click.option("--at", "places", metavar="PLACES", help=command("lift").option("--at"))
@click.option(
    "--against", type=click.Path(path_type=Path), help=command("lift").option("--against")
)
@click.option("--picture", is_flag=True, help=command("lift").option("--picture"))
@click.option("--port", type=click.IntRange(0, 65535), help=command("lift").option("--port"))
@click.option("--quiet", "-q", is_flag=True, help=command("lift").option("--quiet"))
@click.pass_obj
def lift(
    options: dict[str, Any],
    report: Path,
    into: Path | None,
    pages: str | None,
    places: str | None,
    against: Path | None,
    picture: bool,
    port: int | None,
    quiet: bool,
) -> None:
    from explainer.draft.folder import write_folder
    from explainer.lift.lift import chosen_pages, chosen_places, lift_report

    def tell(line: str) -> None:
        if not quiet:
            say(line)

    folder = into if into is not None else Path(f"{report.stem}-lifted")
    chosen = chosen_pages(pages) if pages else ()
    if picture:
        by_hand(report, chosen, folder, port, tell)
        return
    if port is not None:
        raise UsageError("--port goes with --picture only")
    if against is None and os.path.lexists(folder):
        raise UsageError(f"{folder} is there already; nothing was changed; choose another --into")
    at = chosen_places(places) if places else ()
    lifted = lift_report(report, today(), chosen, at, tell)
    for fault in lifted.faults:
        say(fault, err=True)
    if against is not None:
        say_moves(options, against, lifted, tell)
        return
    if not lifted.parts and not lifted.sentences:
        raise UsageError(
            f"{report}: no table, drawn chart or claim found; nothing was written; read its charts "
            f"with: explainer lift {report.name} --picture --pages PAGE"
        )
    write_folder(folder, lifted.files)
    count = len(lifted.sentences)
    tell(f"{count} sentence{'s' * (count != 1)} that sound{'s' * (count == 1)} like a claim")
    tell(f"lifted: {folder}")
    again = f"{report} (its sentences come along), or from " if not (pages or places) else ""
    tell(f"next: explainer draft NAME --from {again}{folder}/*.csv")


@cli.command(help=command("define").help)
@click.argument("term", nargs=-1, required=True, shell_complete=terms)
@click.pass_obj
def define(options: dict[str, Any], term: tuple[str, ...]) -> None:
    from explainer.study.load import open_workspace
    from explainer.words.glossary.entries import define as define_term, load_glossary

    workspace = open_workspace(_root(options))
    show(define_term(load_glossary(workspace.glossary_folders), " ".join(term)))


def _root(options: dict[str, Any]) -> Path:
    """The workspace the command was given, else the one it stands in, else ours."""
    from explainer.study.load import workspace_above
    from explainer.study.shipped import home

    given: Path | None = options["workspace"]
    if given is None:
        return workspace_above(Path.cwd()) or home()
    if not (given / "studies").is_dir():
        raise UsageError(f"{given} is no workspace: it has no folder studies; {NEXT}")
    return given


def _chosen(options: dict[str, Any], studies: tuple[str, ...]) -> list[tuple[Path, Workspace]]:
    """Folder and workspace of the studies meant; all of the workspace if none is named."""
    from explainer.study.load import find_study, list_studies, open_workspace, workspace_above
    from explainer.study.shipped import home

    if studies:
        given: Path | None = options["workspace"]
        found = [find_study(name, _root(options) if given else None) for name in studies]
        return [(folder, workspace) for workspace, folder in found]
    workspace = open_workspace(_root(options))
    folders = list_studies(workspace)
    if not folders:
        ours = workspace.root == home() != workspace_above(Path.cwd())
        where = Path.cwd() if ours else workspace.root / "studies"
        raise UsageError(f"no study in {where} yet; {NEXT}")
    return [(folder, workspace) for folder in folders]


def _finder(workspace: Workspace) -> FindTerm:
    """The glossary's term and unit for a word."""
    from explainer.words.glossary.entries import load_glossary

    glossary = load_glossary(workspace.glossary_folders)

    def find(word: str) -> tuple[str, str] | None:
        entry = glossary.find(word)
        return (entry.term, entry.unit or "") if entry else None

    return find


def _say_where_we_stand(here: Path) -> None:
    """A shell that stands in the site stands in the old one, once that was exchanged."""
    try:
        os.getcwd()
    except OSError:
        say(f"you stand in the site as it was before; to see the new one: cd {here}", err=True)


def _own_site(workspace: Workspace) -> Path:
    """``site`` in the workspace's folder; where that is ours and nobody stands in it, in the one we
    are in.  Raises OutputError where a workspace leads elsewhere with it."""
    from explainer.study.files import lies_within
    from explainer.study.load import workspace_above
    from explainer.study.shipped import home

    here = Path.cwd()
    root = here if workspace.root == home() != workspace_above(here) else workspace.root
    site = root / "site"
    if site.is_symlink() and not lies_within(root, site):
        real = os.path.realpath(site)
        raise OutputError(
            f"{site} is a link to {real}, outside the workspace; nothing was written (if you mean "
            f"that folder, name it: --into {real})"
        )
    return site


def _by_id(chosen: list[tuple[Path, Workspace]]) -> dict[str, Path]:
    """The folders by the name each study has in addresses."""
    from explainer.publish.manifest import RESERVED
    from explainer.study.files import DEVICES
    from explainer.study.load import study_id

    folders: dict[str, Path] = {}
    for folder, _ in chosen:
        if study_id(folder) in RESERVED:
            raise UsageError(
                f"{folder.name} is a part of the site already; rename the study's folder"
            )
        if study_id(folder) in DEVICES:
            raise UsageError(
                f"{folder.name} is a name that Windows keeps for itself, and nobody there could "
                "open such a site; rename the study's folder"
            )
        other = folders.setdefault(study_id(folder), folder)
        if other != folder:
            raise UsageError(
                f"{other.name} and {folder.name} would both be published as "
                f"{study_id(folder)}; rename one of the folders"
            )
    return folders


def _tally(found: Sequence[Problem]) -> str:
    errors = sum(p.severity == "error" for p in found)
    warnings = len(found) - errors
    said = f"{errors} problem{'s' * (errors != 1)}" if errors else "sound"
    return f"{said}, {warnings} to look at" if warnings else said


_PAINT = {
    "error": {"fg": "red", "bold": True}, "warning": {"bold": True},
    "marker": {"fg": "red"}, "fix": {"fg": "cyan"},
}  # fmt: skip


def _paint(text: str, what: str) -> str:
    return click.style(text, **_PAINT[what])  # type: ignore[arg-type]


def _colour() -> bool | None:
    """Colour only where a terminal shows it and nobody asked for none (NO_COLOR, no-color.org)."""
    return False if os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb" else None


def _say_json(document: Any) -> None:
    import json

    plain = (sys.stdout.encoding or "").lower().replace("-", "") != "utf8"
    text = json.dumps(document, ensure_ascii=plain, indent=1, allow_nan=False)
    # What is not printable stands in strings only, and could steer a terminal.
    click.echo("".join(c if c.isprintable() or c == "\n" else json.dumps(c)[1:-1] for c in text))


def _record(problem: Problem, folder: Path) -> dict[str, Any]:
    """A problem for an editor; ``length`` is how many characters from ``column`` are meant, and
    ``excerpt`` the line with where in it they stand, from 0 (in a table: the row and the cell)."""
    from dataclasses import asdict

    from explainer.proof.fixes import fix
    from explainer.proof.place import excerpt

    found = excerpt(problem, folder)
    more = {"says": str(problem), "fix": fix(problem), "length": found.length if found else None,
            "excerpt": asdict(found) if found else None}  # fmt: skip
    return asdict(problem) | more


def main(arguments: list[str] | None = None) -> None:
    """Runs the command and ends the process with its exit status."""
    debug = "--debug" in (sys.argv[1:] if arguments is None else arguments)
    command = partial(cli.main, arguments, prog_name="explainer", standalone_mode=False)
    sys.exit(as_status(command, debug))
