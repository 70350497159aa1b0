"""The patterns, one module each: ``make(profile, ground, wish)`` gives one along machine axes."""
