"""Written bytes back to strokes, by the published manuals, and the proof that they cut as asked."""
