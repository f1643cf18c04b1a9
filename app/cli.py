"""The commands; what is heavy is imported by the command that uses it."""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # small matrices: threads cost more than they bring

import sys
import traceback

import click

from .assess import assess
from .beside import compare
from .calibrate import calibrate
from .drive import drive
from .equations import sheet
from .exports import export
from .fitted import fitted
from .hand import try_it
from .harm import harm
from .measured_host import host
from .new_case import new
from .pairs import pairs
from .read import read
from .remedies import remedies
from .road import road
from .robust import robust
from .verify import score, verify

ANSWERED, OUR_OWN_FAILURE, FAULT_OF_THE_INPUT, INTERRUPTED = 0, 1, 2, 130


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(package_name="counterbounce", prog_name="counterbounce")
def cli() -> None:
    """Find why a vehicle shakes in a narrow band of road speed, and size the damper that would, or
    would not, cure it.

    Exit code: 0 answered ("no" is an answer), 2 faults of the input, 1 a failure of our own, 130 interrupted.
    """


@cli.command()
def schema() -> None:
    """Print the JSON Schema of a case file, for editors that check while you type."""
    import json

    from ..model.case import json_schema

    click.echo(json.dumps(json_schema(), indent=2, ensure_ascii=False))


for command in (
    new,
    assess,
    try_it,
    remedies,
    drive,
    compare,
    calibrate,
    sheet,
    export,
    road,
    read,
    host,
    harm,
    pairs,
    robust,
    verify,
    score,
    fitted,
):
    cli.add_command(command)


def main(arguments: list[str] | None = None) -> None:
    """Run a command and leave with its exit code."""
    sys.exit(run(sys.argv[1:] if arguments is None else arguments))


def run(arguments: list[str]) -> int:
    """Run a command; its exit code."""
    try:
        code = cli.main(arguments, prog_name="counterbounce", standalone_mode=False)
        sys.stdout.flush()
        return code if isinstance(code, int) else ANSWERED
    except click.ClickException as fault:
        fault.show()
        return FAULT_OF_THE_INPUT
    except (click.Abort, KeyboardInterrupt):
        click.echo("interrupted", err=True)
        return INTERRUPTED
    except SystemExit:  # so click says that whoever read us has read enough
        return ANSWERED
    except BrokenPipeError:  # the same, at the last flush
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return ANSWERED
    except Exception as failure:
        return _failed(failure)


def _failed(failure: Exception) -> int:
    from ..model.faults import CounterbounceError

    if isinstance(failure, CounterbounceError):
        click.echo(str(failure), err=True)
        return FAULT_OF_THE_INPUT
    if os.environ.get("COUNTERBOUNCE_DEBUG") == "1":
        traceback.print_exception(failure)
    click.echo(
        f"counterbounce failed, and the fault is ours ({type(failure).__name__}: {_one_line(str(failure))}). "
        "Please report it with the case file and what COUNTERBOUNCE_DEBUG=1 prints.",
        err=True,
    )
    return OUR_OWN_FAILURE


def _one_line(text: str) -> str:
    return " ".join(text.split())[:300]
