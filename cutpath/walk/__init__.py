"""Do the panels fit together? Seams walked on the net line, and what their numbers mean."""
