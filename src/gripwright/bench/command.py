"""``gripwright bench``: open the workbench in the browser."""

from __future__ import annotations

from pathlib import Path

import click

from gripwright.bench.serve import serve
from gripwright.cli.output import reports_errors


@click.command()
@click.argument("folder", type=click.Path(path_type=Path), default=".")
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=0,
    help="Port; 0 takes the folder's own, or a free one.",
)
@click.option("--no-browser", is_flag=True, help="Only print the address.")
@reports_errors
def command(folder: Path, port: int, no_browser: bool) -> int:
    """Open the workbench for FOLDER in the browser, on this machine only."""
    serve(folder, port=port, show=not no_browser, say=click.echo)
    return 0
