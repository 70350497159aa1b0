"""Full-size paper templates: pieces tiled on pages that are taped together."""
