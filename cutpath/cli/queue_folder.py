"""Where the queue is kept: an option, an environment variable, or the user's own data folder."""

from __future__ import annotations

from pathlib import Path

import click

queue_option = click.option(
    "--queue",
    "folder",
    type=click.Path(path_type=Path),
    envvar="CUTPATH_QUEUE",
    default=lambda: Path(click.get_app_dir("cutpath")) / "queue",
    help="Folder of the queue; otherwise CUTPATH_QUEUE, or your own data folder.",
)
"""Gives ``folder``."""
