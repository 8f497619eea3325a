"""Geometry from hell: rings no one should draw and every program meets, through the whole way."""
