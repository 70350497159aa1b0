"""Many jobs at once: found in a folder, prepared by processes or a cluster, each kept apart."""
