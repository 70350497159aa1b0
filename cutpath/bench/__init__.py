"""The technician's bench: test patterns that show a machine's faults, and what to measure."""
