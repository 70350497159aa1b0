"""Lets ``python -m cutpath`` do what ``cutpath`` does."""

import sys

from cutpath.cli.main import run

sys.exit(run())
