"""The commands in words: the help of the command line and the reference page read the same."""

from __future__ import annotations

from dataclasses import dataclass

EDITIONS = ("page", "handout", "rule-card", "script")
"""What is published unless ``--edition`` or a study says otherwise; the page itself is always
there, since it leads to the others.  The same as a study's ``editions``, which the command line
must not load to know."""
KIT = "kit"
"""Made only when asked for; the script is its table of contents and comes with it."""


@dataclass(frozen=True)
class Command:
    """One command; ``options`` pairs what is typed with what it does."""

    name: str
    usage: str
    does: str
    more: str
    example: str
    options: tuple[tuple[str, str], ...] = ()
    practice: str = ""
    """What to type to try it on files that come with the repository."""

    @property
    def help(self) -> str:
        """As ``--help`` shows it."""
        return "\n\n".join(filter(None, (self.does, self.more, f"Example: {self.example}")))

    def option(self, flag: str) -> str:
        """What an option does, by the first word it is typed as."""
        return next(says for typed, says in self.options if typed.split()[0].strip(",") == flag)


_STUDY = "STUDY is the name of a folder under studies/, or the path of a study folder."
_JSON = "--json"

COMMANDS: tuple[Command, ...] = (
    Command(
        "open", "explainer [open] [--port N] [--no-browser]",
        "Open the workroom: everything below on a page in your browser, without a terminal.",
        "Drop spreadsheets on it, answer what they don't say, see the page and what to mend, "
        "publish. Without a command, explainer does this in the folder it is started in. Only this "
        "computer can reach it, and only with the address it says. It writes the same files as "
        "the other commands.",
        "explainer open",
        (("--port N", "The port to serve on (else 8319, or the next one free)."),
         ("--no-browser", "Say the address, and do not open a browser.")),
    ),
    Command(
        "draft", "explainer draft NAME [--from FILE...] [--like KIND]",
        "Start a study folder from spreadsheets, or a worked skeleton.",
        "Lists what only you can know, what most hangs on it first, says what else it guessed and "
        "how sure it is, and marks both in study.yaml (CONFIRM): answer there, in an editor, or as "
        "a form (explainer open). The page says that it is a draft until no mark is left. Nothing "
        "is ever overwritten. Files are kept as they came in originals/. Of a report's PDF the "
        "tables, drawn charts and claim-like sentences are taken; the PDF itself is not kept.",
        "explainer draft worn-covers --from readings.csv shots.csv",
        (("--from FILE...", "Workbooks (.xlsx, .ods: every table of every sheet), CSV files as a "
          "spreadsheet wrote them, or a report's PDF; several may follow."),
         ("--like KIND", "A worked skeleton: over-use, new-against-used, gauge-check, rates, "
          "season or paths."),
         ("--quiet, -q", "Do not list what was guessed.")),
        "explainer --workspace try draft worn-covers --from studies/cover-texture/originals/*.csv",
    ),
    Command(
        "proof", "explainer proof [STUDY...]",
        "Check studies: every problem with its place.",
        "Description, data and prose. What to mend first comes first. Warnings alone leave exit "
        f"status 0. {_STUDY} Without "
        "one, all are checked.",
        "explainer proof cover-texture",
        ((_JSON, "One JSON document, for editors."),
         ("--quiet, -q", "Say nothing of studies that are sound.")),
    ),
    Command(
        "weigh", "explainer weigh STUDY",
        "Show the verdict on each claim of a study, with its numbers.", _STUDY,
        "explainer weigh cover-texture",
        ((_JSON, "The results file, on standard output."),),
    ),
    Command(
        "publish", "explainer publish [STUDY...] [--into FOLDER] [--edition NAME]",
        "Build the site: all studies, or only those named.",
        "What is not named is kept as it is. The new site is put in place in one step. A study "
        "with problems keeps its last good "
        "pages, and the others are published.",
        "explainer publish --into site",
        (("--into FOLDER", "The folder to publish to (else site/)."),
         ("--edition NAME", "Only this edition beside the page itself: page (its PDF), handout, "
          "rule-card, script, or kit (the script with tall stills, overlays, films and short "
          "clips; it needs pip install 'explainer[kit]'); may be given again (else what the "
          "study's editions say, or all but kit)."),
         ("--workers N", "How many studies to build at once (else one per processor, at most 4)."),
         ("--quiet, -q", "Say only what went wrong.")),
    ),
    Command(
        "rehearse", "explainer rehearse [--port N]",
        "Show the site in your browser and build it anew whenever a file changes.",
        "Only this computer can reach it. While a study has problems, its last good page stays, "
        "with the list of problems on top. Ctrl-C ends it.",
        "explainer rehearse",
        (("--port N", "The port to serve on (else 8319, or the next one free)."),
         ("--quiet, -q", "Say only what went wrong.")),
    ),
    Command(
        "lift", "explainer lift REPORT.pdf [--into FOLDER] [--pages 3,5-8] [--picture]",
        "Lift a report's numbers from its PDF: tables, drawn charts, sentences that claim.",
        "Each table and chart becomes a CSV file with another beside it that says page, figure, "
        "method, date and error; sentences become claims to confirm. It needs two more libraries "
        "(pip install 'explainer[lift]'). The report is opened in a process of its own, with ten "
        "seconds and a gigabyte a page; nothing in it is run, followed or sent.",
        "explainer lift report.pdf --pages 5-9",
        (("--into FOLDER", "The new folder for what is found (else the report's name, -lifted)."),
         ("--pages PAGES", "Only these pages, such as 3,5-8, each of them looked at closely."),
         ("--at PLACES", "Values of lines at these places, such as 0,10,20 (along a ball's path: "
          "feet)."),
         ("--against FOLDER", "Say what moved since an earlier lifting, which lies there, or since "
          "a study folder's, and which verdicts."),
         ("--picture", "Read one chart by hand, in your browser: of an image file, or of the one "
          "page that --pages names."),
         ("--port N", "The port for --picture (else 8319, or the next one free)."),
         ("--quiet, -q", "Say only what went wrong.")),
    ),
    Command(
        "define", "explainer define TERM", "Look a term up in the glossary.",
        "Finds a term by any of its names, and offers the nearest where there is none.",
        "explainer define total hook",
    ),
)  # fmt: skip

#: Options that come before the command.
GENERAL: tuple[tuple[str, str], ...] = (
    ("--workspace FOLDER", "The folder that holds studies/ (else the one you are in, or above)."),
    ("--debug", "Show where in the program an error arose."),
    ("--version", "Show the version and exit."),
    ("--help, -h", "Show what a command does and exit."),
)
#: What a command leaves behind for scripts.
STATUSES: tuple[tuple[int, str], ...] = (
    (0, "fine; there may be warnings"),
    (1, "a fault of explainer itself"),
    (2, "wrong usage: a name, file or option that does not exist"),
    (3, "a study has problems"),
    (4, "the output could not be written; what was there before still stands"),
)
WHEEL = "explainer-VERSION-py3-none-any.whl"
"""The file to install from, as it is called for a version."""
#: System, where to type, what to do in words or as it is typed (the latter is marked so).
INSTALL: tuple[tuple[str, str, tuple[tuple[str, str], ...]], ...] = (
    ("Windows", "PowerShell, opened in the folder with that file (Shift and a right click)", (
        ("Python 3.11 or newer, from the Store or python.org; once", ""),
        ("pipx, which keeps programs apart; once", "py -m pip install --user pipx"),
        ("so that Windows finds what pipx installs; then open PowerShell anew",
         "py -m pipx ensurepath"),
        ("explainer itself", f"pipx install {WHEEL}"),
        ("the page in your browser; or double-click explainer.exe", "explainer"),
    )),
    ("Mac", "Terminal, in the folder with that file", (
        ("pipx, and what the PDFs need; once", "brew install pipx pango"),
        ("so that it is found; then open the Terminal anew", "pipx ensurepath"),
        ("explainer itself", f"pipx install {WHEEL}"),
        ("the page in your browser", "explainer"),
    )),
    ("Linux", "a terminal, in the folder with that file; the first line is Debian's and Ubuntu's", (
        ("pipx, and what the PDFs need; once",
         "sudo apt install pipx libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"),
        ("so that it is found; then open the terminal anew", "pipx ensurepath"),
        ("explainer itself", f"pipx install {WHEEL}"),
        ("the page in your browser", "explainer"),
    )),
)  # fmt: skip
#: For each shell, the line that switches completion on.
COMPLETION: tuple[tuple[str, str, str], ...] = (
    ("bash", "~/.bashrc", 'eval "$(_EXPLAINER_COMPLETE=bash_source explainer)"'),
    ("zsh", "~/.zshrc", 'eval "$(_EXPLAINER_COMPLETE=zsh_source explainer)"'),
    (
        "fish", "~/.config/fish/completions/explainer.fish",
        "_EXPLAINER_COMPLETE=fish_source explainer | source",
    ),
)  # fmt: skip


def command(name: str) -> Command:
    return next(c for c in COMMANDS if c.name == name)
