"""Can this cutter get there? Narrow spots, thin walls, and what would help."""
