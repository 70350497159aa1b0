"""Panels as digitised to panels as a careful hand would redraw them: fair edges, true pairs."""
