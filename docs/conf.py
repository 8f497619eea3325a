"""How the pages are built: `python -m sphinx docs build/docs`."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

project = "outline2path"
author = "the outline2path authors"
extensions = ["myst_parser", "sphinx.ext.autodoc", "sphinx.ext.napoleon", "docs.making.site"]
exclude_patterns = ["making", "theme"]
myst_enable_extensions = ["attrs_block", "deflist", "smartquotes"]
myst_heading_anchors = 3
napoleon_google_docstring = False
napoleon_use_rtype = False
autodoc_typehints = "none"
autodoc_member_order = "bysource"
default_role = "code"
add_module_names = False
html_theme = "workshop"
html_theme_path = ["theme"]
html_title = "outline2path"
html_copy_source = False
html_show_sphinx = False
html_use_index = False
pygments_style = "bw"
