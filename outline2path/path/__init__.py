"""Cuts -> Toolpath: order, arcs, linking moves, time."""
