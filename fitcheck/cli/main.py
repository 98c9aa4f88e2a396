"""The `fitcheck` program gathers the commands and turns each error into a line and a status."""

from __future__ import annotations

import contextlib
import os
import sys
from typing import Annotated, NoReturn

import typer

from fitcheck.cli.bench import bench_command
from fitcheck.cli.check import check_command
from fitcheck.cli.collector import collect_as_usual, hold_collector
from fitcheck.cli.compare import compare_command
from fitcheck.cli.coupon import coupon_command
from fitcheck.cli.demo import demo_command
from fitcheck.cli.dummy import dummy_command
from fitcheck.cli.explain import explain_command
from fitcheck.cli.gauge import gauge_command
from fitcheck.cli.guide import guide_command
from fitcheck.cli.learn import learn_command
from fitcheck.cli.listing import list_command
from fitcheck.cli.new import new_command
from fitcheck.cli.publish import publish_command
from fitcheck.cli.record import record_command
from fitcheck.cli.schema import schema_command
from fitcheck.cli.sheet import sheet_command
from fitcheck.cli.suggest import suggest_command
from fitcheck.cli.terminal import plain_streams
from fitcheck.cli.threads import hold_to_one
from fitcheck.cli.usage import usage_line
from fitcheck.errors import DEBUG, FitcheckError, InputError
from fitcheck.plain import first_lines
from fitcheck.workspace.allocator import keep_memory
from fitcheck.workspace.outside import MEND
from fitcheck.workspace.paths import current_folder
from fitcheck.workspace.reading import noting_what_is_read

FAILED = 3
ABORTED = 1

app = typer.Typer(
    help="Tells a papercraft designer, before good paper is cut, whether the lid slides on and "
    "the contents go in. Exit status: 0 everything fits, 1 something does not, 2 the input is "
    "wrong, 3 the program failed.",
    no_args_is_help=True,
    add_completion=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)


def _tell_version(asked: bool) -> None:
    if asked:
        from fitcheck import __version__

        print(f"fitcheck {__version__}")
        raise typer.Exit


@app.callback()
def _options(
    version: Annotated[
        bool,
        typer.Option(
            "--version", callback=_tell_version, is_eager=True, help="Show the version and exit."
        ),
    ] = False,
) -> None:
    """What goes before every command."""


app.command("bench")(bench_command)
app.command("check")(check_command)
app.command("compare")(compare_command)
app.command("coupon")(coupon_command)
app.command("demo")(demo_command)
app.command("dummy")(dummy_command)
app.command("explain")(explain_command)
app.command("gauge")(gauge_command)
app.command("guide")(guide_command)
app.command("learn")(learn_command)
app.command("list")(list_command)
app.command("new")(new_command)
app.command("publish")(publish_command)
app.command("record")(record_command)
app.command("schema")(schema_command)
app.command("sheet")(sheet_command)
app.command("suggest")(suggest_command)


def run() -> None:
    """Run the program; never shows a traceback unless FITCHECK_DEBUG is set."""
    hold_to_one(os.environ)
    hold_collector()
    keep_memory()
    with plain_streams():
        try:
            _run_commands()
        except FitcheckError as error:
            _stop(
                error.exit_code, *(error.lines if isinstance(error, InputError) else [str(error)])
            )
        except BrokenPipeError:
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            sys.exit(FAILED)
        except Exception as error:
            if os.environ.get(DEBUG):
                raise
            _stop(*_unforeseen(error))


def _run_commands() -> None:
    """All that was printed is written before this ends, so that a failure to do so is told."""
    try:
        with noting_what_is_read():
            status = app(standalone_mode=False)
    except typer.Abort:
        _stop(ABORTED, "stopped before it was done")
    except Exception as error:
        line = usage_line(error)
        if line is None:
            raise
        if type(error).__name__ == "NoArgsIsHelpError":  # its message is the help
            print(error, file=sys.stderr)
            sys.exit(InputError.exit_code)
        _stop(InputError.exit_code, line)
    finally:
        sys.stdout.flush()
        collect_as_usual()
    # commands give nothing back: a number is the status that one of them ended with
    sys.exit(status if isinstance(status, int) else 0)


def _unforeseen(error: Exception) -> tuple[int, str]:
    """The status and the line for an error that nobody explained where it arose."""
    if isinstance(error, FileNotFoundError) and error.filename is None:
        try:
            current_folder()
        except InputError as gone:
            return gone.exit_code, gone.lines[0]
    if isinstance(error, OSError) and error.errno is not None:
        return InputError.exit_code, (
            f"{error.filename or 'the output'}: cannot be used ({error.strerror}); check its name, "
            "its rights and its disk"
        )
    theirs = _whose(error)
    if theirs:
        said = f"{type(error).__name__}: {error}"
        return InputError.exit_code, f"{theirs} fails ({said}); {MEND}"
    return FAILED, (
        f"the program failed ({type(error).__name__}: {error}); set {DEBUG}=1 to see where"
    )


def _whose(error: Exception) -> str:
    """The style or the kind of another package in whose code an error arose; empty for none."""
    from fitcheck.kinds import KINDS
    from fitcheck.styles import STYLES

    return STYLES.failed_in(error) or KINDS.failed_in(error)


def _stop(status: int, *lines: str) -> NoReturn:
    with contextlib.suppress(OSError):  # whoever listens may be gone; the status still tells
        for line in first_lines(lines):
            print(f"fitcheck: {line}", file=sys.stderr)
    sys.exit(status)
