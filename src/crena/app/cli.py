"""The command line: parse, call, print; no decision is made here."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, datetime, timedelta
from enum import StrEnum
from importlib import import_module
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn
from typer.exceptions import TyperException

from crena.app import planning_job
from crena.app.case_files import schema_text
from crena.app.demonstration import PRINTED_DAY, write_demonstration, write_operated
from crena.app.languages import LanguageCode
from crena.app.reports import figures_that_matter, healing_figures
from crena.draw import Paper
from crena.records import Cancelled, CrenaError, NoPlanError

EXIT_BAD_INPUT = 2
EXIT_NO_PLAN = 3
EXIT_CANCELLED = 130

STOPPED = "Stopped. Nothing was written."

DATA_FOLDER = Path.home() / "crena-cases"
"""Where cases are kept when nothing else is said."""

PORT = 8765
PORT_HELP = "Of the page, on this computer alone; 0: any free one."

HEALING_JOB, WORKBENCH = "crena.app.healing_job", "crena.app.workbench"
"""What follows the operation; database and server. Loaded by the commands that need them, so that
a plan does not wait."""

CAUTION = "Research and teaching software, not a medical device. The surgeon decides."

cli = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    help=f"Plan the cure of pilonidal sinus disease. {CAUTION}",
)


class SchemaName(StrEnum):
    """The files whose schemas are published."""

    CASE = "case"
    PLAN = "plan"
    HEALING = "healing"


class AccountRole(StrEnum):
    """What an account may do; each one may do what those before it may."""

    READ = "read"
    FOLLOW_UP = "follow up"
    PLAN = "plan"
    ADMINISTER = "administer"


@cli.command()
def demo(out: Annotated[Path, typer.Argument(help="Folder for case.json and the scan.")]) -> None:
    """Write the demonstration case: a synthetic scan as DICOM, clicks and probing notes."""
    with progress_bar() as progress:
        case_file = write_demonstration(out, date.today(), progress)
    typer.echo(f"Case: {case_file}\nScan: {out / 'mri'}")


@cli.command()
def plan(
    case: Annotated[Path, typer.Argument(help="Case file, crena.case/1.")],
    out: Annotated[Path, typer.Option(help="Folder for the plan's files.")],
    mri: Annotated[Path | None, typer.Option(help="Folder of one MR series in DICOM.")] = None,
    paper: Annotated[
        Paper, typer.Option(help="Paper of the sheets.", case_sensitive=False)
    ] = Paper.A4,
    choose: Annotated[str | None, typer.Option(help="Letter of the plan to draw.")] = None,
    language: Annotated[
        LanguageCode, typer.Option(help="Language of the sheets.", case_sensitive=False)
    ] = LanguageCode.EN,
) -> None:
    """Plan a case: excision, closures, plan sheet and true-size template."""
    order = planning_job.Order(
        case_file=case,
        mri_folder=mri,
        out_folder=out,
        paper=paper,
        choice=choose,
        language=language.language,
    )
    with progress_bar() as progress:
        plan_set = planning_job.run(order, date.today(), progress)
    typer.echo(figures_that_matter(plan_set, out))


@cli.command()
def heal(  # noqa: PLR0913
    case: Annotated[Path, typer.Argument(help="Case file, crena.case/1, with the operation.")],
    out: Annotated[Path, typer.Option(help="Folder for the sheets.")],
    plans: Annotated[
        Path | None, typer.Option(help="Plan file, crena.plan/1, that the operation followed.")
    ] = None,
    on: Annotated[
        datetime | None,
        typer.Option(formats=["%Y-%m-%d"], help="Day that is printed; today if left out."),
    ] = None,
    study: Annotated[
        str | None, typer.Option(help="Study Instance UID of the scan, for the health record.")
    ] = None,
    paper: Annotated[
        Paper, typer.Option(help="Paper of the sheets.", case_sensitive=False)
    ] = Paper.A4,
    language: Annotated[
        LanguageCode,
        typer.Option(help="Language of all sheets but the patient's.", case_sensitive=False),
    ] = LanguageCode.EN,
) -> None:
    """Write what follows the plan: sheets, dates, calendar file, operation note."""
    job = import_module(HEALING_JOB)
    order = job.HealingOrder(
        case_file=case,
        plan_file=plans,
        out_folder=out,
        paper=paper,
        study_uid=study,
        language=language.language,
    )
    healing, names = job.heal(order, on.date() if on else date.today())
    typer.echo(healing_figures(healing, names, out))


@cli.command()
def schema(
    name: Annotated[SchemaName, typer.Argument(help="Which file.")] = SchemaName.CASE,
) -> None:
    """Print the JSON schema of a case file, a plan file or a healing file."""
    typer.echo(schema_text(name), nl=False)


@cli.command()
def run(
    out: Annotated[Path, typer.Option(help="Folder for the demonstration.")] = Path("out/demo"),
    once: Annotated[bool, typer.Option("--once", help="Do the job and exit.")] = False,  # noqa: FBT002
    port: Annotated[int, typer.Option(help=PORT_HELP)] = PORT,
) -> None:
    """Do the main job on the demonstration case and say where everything is."""
    case_file = out / "case.json"
    if not case_file.exists():
        demo(out)
    plan(case_file, out / "plan", mri=out / "mri")
    typer.echo("")
    later = datetime.now() + timedelta(days=PRINTED_DAY)
    after_file = write_operated(case_file, out / "plan" / "plan.json", date.today())
    heal(after_file, out / "healing", plans=out / "plan" / "plan.json", on=later)
    if not once:
        workbench = import_module(WORKBENCH)
        case_id = workbench.keep_demonstration(out / "cases", out)
        workbench.serve(out / "cases", port, _say_address, case_id)


@cli.command()
def serve(
    data: Annotated[
        Path, typer.Option(help="Folder of the cases; made when it is not there.")
    ] = DATA_FOLDER,
    port: Annotated[int, typer.Option(help=PORT_HELP)] = PORT,
) -> None:
    """Serve the cases on this computer until Ctrl-C."""
    import_module(WORKBENCH).serve(data, port, _say_address)


@cli.command()
def department(
    settings: Annotated[Path, typer.Argument(help="TOML file of the server (docs/server.md).")],
) -> None:
    """Serve the cases of a department, with accounts and TLS, until Ctrl-C."""
    import_module(WORKBENCH).serve_department(settings, _say_address)


@cli.command()
def account(
    name: Annotated[str, typer.Argument(help="Who logs in; letters, digits and . - _")],
    settings: Annotated[Path, typer.Option(help="TOML file of the department's server.")],
    role: Annotated[AccountRole, typer.Option(help="What the account may do.")] = AccountRole.READ,
    remove: Annotated[bool, typer.Option("--remove", help="Take the account away.")] = False,  # noqa: FBT002
) -> None:
    """Make an account, give one another role and password, or take it away."""
    workbench = import_module(WORKBENCH)
    if remove:
        typer.echo(workbench.removed_account(settings, name))
        return
    password = typer.prompt("Password", hide_input=True, confirmation_prompt="Once more")
    typer.echo(workbench.kept_account(settings, name, role.value, password))


@cli.command()
def backup(
    target: Annotated[Path, typer.Argument(help="The archive to be written.")],
    data: Annotated[Path, typer.Option(help="Folder of the cases.")] = DATA_FOLDER,
) -> None:
    """Write all cases into one archive, and read it back."""
    typer.echo(import_module(WORKBENCH).backed_up(data, target))


@cli.command()
def restore(
    source: Annotated[Path, typer.Argument(help="An archive that `crena backup` wrote.")],
    data: Annotated[Path, typer.Option(help="A new folder.")],
) -> None:
    """Make a new folder of cases from an archive; cases are never written over."""
    typer.echo(import_module(WORKBENCH).restored(source, data))


@cli.command()
def verify(
    data: Annotated[Path, typer.Option(help="Folder of the cases.")] = DATA_FOLDER,
    against: Annotated[
        Path | None, typer.Option(help="A backup: the audit must still hold its last entry.")
    ] = None,
) -> None:
    """Go through all that is stored and say what is not as it was saved."""
    typer.echo(import_module(WORKBENCH).verified(data, against))


def main() -> None:
    """Run a command; turn every error meant for the user into one sentence and an exit code."""
    sys.exit(outcome(lambda: cli(standalone_mode=False)))


def outcome(command: Callable[[], object]) -> int:
    """Run a command and return its exit code."""
    try:
        code = command()
    except (CrenaError, OSError, KeyboardInterrupt, TyperException) as stop:
        return _said(*_sentence_and_code(stop))
    if code == EXIT_CANCELLED:
        return _said(STOPPED, EXIT_CANCELLED)
    return code if isinstance(code, int) else 0


def _sentence_and_code(stop: BaseException) -> tuple[str, int]:
    if isinstance(stop, NoPlanError):
        return str(stop), EXIT_NO_PLAN
    if isinstance(stop, Cancelled | KeyboardInterrupt):
        return STOPPED, EXIT_CANCELLED
    if isinstance(stop, OSError):
        return f"{stop.strerror}: {stop.filename}. Check the folder.", EXIT_BAD_INPUT
    if isinstance(stop, TyperException):
        return stop.format_message(), EXIT_BAD_INPUT
    return str(stop), EXIT_BAD_INPUT


@contextmanager
def progress_bar() -> Iterator[Callable[[str, float], None]]:
    """Show a bar on the terminal with what is being done."""
    columns = TextColumn("{task.description:<38}"), BarColumn(), TimeElapsedColumn()
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("Starting", total=1.0)
        yield lambda step, share: bar.update(task, description=step, completed=share)


def _say_address(address: str) -> None:
    typer.echo(f"Open {address}")


def _said(message: object, code: int) -> int:
    typer.echo(str(message), err=True)
    return code
