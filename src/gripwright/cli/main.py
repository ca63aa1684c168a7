"""The command line: parse, call one library function, present.

Each command lives in a module of its own name here, with a click command called ``command``.
They load only when asked for, so that a one-grip question starts fast.
"""

from __future__ import annotations

import importlib
import importlib.util
import sys

import click

from gripwright.cli.output import fail

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
    "bench": "Open the workbench in the browser.",
    "shelf": "Keep lessons on a shelf and ask it questions.",
}


class _Commands(click.Group):
    """A group whose commands are imported when they are asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return [name for name in COMMANDS if _exists(name)]

    def get_command(self, ctx: click.Context, name: str) -> click.Command | None:
        if name not in COMMANDS or not _exists(name):
            return None
        module = importlib.import_module(f"gripwright.cli.{name}")
        command = module.command
        assert isinstance(command, click.Command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        rows = [(name, COMMANDS[name]) for name in self.list_commands(ctx)]
        if rows:
            with formatter.section("Commands"):
                formatter.write_dl(rows)


def _exists(name: str) -> bool:
    return importlib.util.find_spec(f"gripwright.cli.{name}") is not None


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="gripwright", prog_name="gripwright")
def root() -> None:
    """The workbench of a guitar teacher who publishes song lessons."""


def main() -> None:
    """Run the command line; wrong use prints one error object under --json."""
    try:
        sys.exit(root.main(standalone_mode=False) or 0)
    except click.exceptions.Abort:
        sys.exit(130)
    except click.exceptions.Exit as error:
        sys.exit(error.exit_code)
    except click.ClickException as error:
        sys.exit(fail(error, as_json="--json" in sys.argv))
