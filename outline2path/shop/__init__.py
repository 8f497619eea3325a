"""The bench: cutter, stock, machine, material, feeds and speeds."""
