"""SVG file -> Outline: true size, true regions, in mm with y up."""
