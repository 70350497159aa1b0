"""From panels to ordered toolpaths: allowances, notches, lettering, places, order."""
