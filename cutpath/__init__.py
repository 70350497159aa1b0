"""cutpath: from traced panel outlines to cut cloth."""

__version__ = "0.1.0"
