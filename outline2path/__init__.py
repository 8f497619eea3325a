"""outline2path: from an SVG outline to a judged cutter path."""
