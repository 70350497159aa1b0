"""The page to look at before the knife drops: one HTML file that needs nothing else."""
