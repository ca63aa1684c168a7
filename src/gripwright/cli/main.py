"""The command line: parse, call one library function, present.

Each command lives in a module of its own name here, with a click command called ``command``.
They load only when asked for, so that a one-grip question starts fast.
"""

from __future__ import annotations

import importlib
import sys

import click

from gripwright.cli.output import fail
from gripwright.cli.unforeseen import foreseen
from gripwright.errors import StoppedError

COMMANDS = {
    "name": "Name a grip: its readings, each note's degree, and why.",
    "explain": "Explain changes: keys, numerals, remarks and threads.",
    "grips": "List the playable grips for a symbol, easiest first.",
    "arrange": "Choose the best chain of grips through changes.",
    "tunings": "Rank tunings and capos for a lesson.",
    "hear": "Listen to a take: tuning, beats, key, chords and grips.",
    "sync": "Find where each event of a lesson falls in a take.",
    "record": "Work on a record: loop, slow, retune, what sounds here.",
    "proof": "Check a lesson before it is published.",
    "build": "Build the pack of a lesson.",
    "shelf": "Keep lessons together: find, report, what comes next.",
    "bench": "Open the workbench in the browser.",
}
# The bench stands above the command line: it asks the commands' answer functions.
ELSEWHERE = {"bench": "gripwright.bench.command"}


class _Commands(click.Group):
    """A group whose commands are imported when they are asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, name: str) -> click.Command | None:
        if name not in COMMANDS:
            return None
        module = importlib.import_module(ELSEWHERE.get(name, f"gripwright.cli.{name}"))
        command = module.command
        assert isinstance(command, click.Command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="gripwright", prog_name="gripwright")
def root() -> None:
    """The workbench of a guitar teacher who publishes song lessons."""


def main() -> None:
    """Run the command line; whatever goes wrong prints one error object under --json.

    The exit code is the command's own, 2 for wrong use and for whatever nobody foresaw, and
    130 where the user stopped it.
    """
    as_json = "--json" in sys.argv or "--jsonl" in sys.argv
    try:
        sys.exit(root.main(standalone_mode=False) or 0)
    except (click.exceptions.Abort, KeyboardInterrupt):
        stopped = StoppedError("stopped; nothing is half written, what was there before is whole")
        fail(stopped, as_json=as_json)
        sys.exit(130)
    except click.exceptions.Exit as error:
        sys.exit(error.exit_code)
    except click.ClickException as error:
        sys.exit(fail(error, as_json=as_json))
    except Exception as error:  # noqa: BLE001 - the outermost place: no traceback reaches a user
        sys.exit(fail(foreseen(error), as_json=as_json))
