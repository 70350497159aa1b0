"""Pieces to their places on cloth."""
