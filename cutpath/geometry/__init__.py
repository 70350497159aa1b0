"""Pure functions on points and exact curves, in millimetres, y up.

Knows no file, no cloth and no machine. Import from the modules: each answers one kind of question.
"""
