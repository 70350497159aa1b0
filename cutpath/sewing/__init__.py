"""The order of sewing: from seams and parts to steps, each after what it needs."""
