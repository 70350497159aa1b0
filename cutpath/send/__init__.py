"""Bytes to the machine: ways, flow control, and what the machine answers in plain words."""
