"""The command line: verbs of the trade, errors to exit codes."""
