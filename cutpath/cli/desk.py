"""``cutpath desk``: the page for the tablet beside the table."""

from __future__ import annotations

import contextlib
from pathlib import Path

import click

from cutpath.cli.queue_folder import queue_option


@click.command(short_help="Open the page for the tablet beside the table.")
@queue_option
@click.option(
    "--port", type=click.IntRange(0, 65_535), default=7433, show_default=True, help="0 for any."
)
@click.option(
    "--lan", is_flag=True, help="Let devices in this network in, each with a code shown here."
)
def desk(folder: Path, port: int, *, lan: bool) -> int:
    """Open the desk: machines and their jobs with pictures, progress, pause, and faults in words.

    The page is live in any browser on this computer; with --lan on a tablet too. It watches the
    queue and passes wishes to the senders. It is not an emergency stop.
    """
    from cutpath.errors import InputError

    try:
        from cutpath.desk.serving import Place, serve
    except ImportError as error:
        if error.name and error.name.split(".")[0] not in {"starlette", "uvicorn", "anyio"}:
            raise
        raise InputError(
            "the desk needs packages for the web",
            remedy="Install them with: pip install 'cutpath[desk]'",
        ) from error
    with contextlib.suppress(KeyboardInterrupt):
        serve(folder, Place(port, lan), click.echo)
    click.echo("The desk is closed.")
    return 0
