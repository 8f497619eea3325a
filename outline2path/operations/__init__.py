"""Region and cutter -> cuts: polylines in three dimensions with their roles."""
