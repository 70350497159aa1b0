"""Toolpaths to moves to one machine's bytes: blade compensation and the language writers."""
