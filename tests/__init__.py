"""The tests; a package of its own, since a library puts one of this name on the path too."""
