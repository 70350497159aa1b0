"""The entry point: every way out of the program is decided here.

Exit codes: 0 done; 1 it does not fit or fails its proof; 2 bad input or usage; 3 the machine cannot
or does not answer; 130 stopped by the user; 70 a mistake in cutpath itself (EX_SOFTWARE of BSD's
sysexits.h).
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence

import click

from cutpath import __version__
from cutpath.cli.batch import batch
from cutpath.cli.check import check
from cutpath.cli.cut import cut
from cutpath.cli.desk import desk
from cutpath.cli.look import look
from cutpath.cli.paper import paper
from cutpath.cli.profile import profile
from cutpath.cli.queue_work import queue
from cutpath.cli.send import send
from cutpath.cli.sheet import sheet
from cutpath.cli.start import start
from cutpath.errors import CutpathError


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="cutpath")
def cutpath() -> None:
    """From traced panels to cut cloth.

    Reads panel outlines from a DXF or SVG drawing, adds allowances and marks, orders the cuts
    and writes the file for a cutting table or plotter, proved before anything moves.
    """


cutpath.add_command(start)
cutpath.add_command(cut)
cutpath.add_command(batch)
cutpath.add_command(check)
cutpath.add_command(paper)
cutpath.add_command(sheet)
cutpath.add_command(look)
cutpath.add_command(send)
cutpath.add_command(desk)
cutpath.add_command(profile)
cutpath.add_command(queue)


def run(args: Sequence[str] | None = None) -> int:
    """Run the command line and give its exit code; no traceback reaches the user.

    Set CUTPATH_TRACEBACK=1 to see where a mistake of the program's own comes from.
    """
    try:
        result = cutpath.main(args, prog_name="cutpath", standalone_mode=False)
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except CutpathError as error:
        click.echo(f"Error: {error}", err=True)
        return error.exit_code
    except (KeyboardInterrupt, click.Abort):
        click.echo("\nStopped. No file was left half-written.", err=True)
        return 130
    except OSError as error:
        place = f"{error.filename}: " if error.filename else ""
        click.echo(f"Error: {place}{error.strerror or error}", err=True)
        click.echo("Check the path, the permissions and the room on the disk.", err=True)
        return 2
    except Exception as error:
        if os.environ.get("CUTPATH_TRACEBACK"):
            raise
        click.echo(f"Error: cutpath made a mistake ({type(error).__name__}: {error}).", err=True)
        click.echo("No file was written. Please report it with the drawing and job.", err=True)
        return 70
    return result if isinstance(result, int) else 0


if __name__ == "__main__":
    sys.exit(run())
