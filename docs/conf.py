"""Settings of the documentation: Markdown pages, and reference pages made from the program before each build."""

from __future__ import annotations

import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

from generate import write_all  # noqa: E402 - the path is set above

write_all(HERE / "reference")

project = "Turnback"
author = "The Turnback authors"
copyright = "The Turnback authors, Apache-2.0"
extensions = ["myst_parser"]
myst_enable_extensions = ["deflist"]
myst_heading_anchors = 3
exclude_patterns = ["_build"]
html_theme = "furo"
html_title = "Turnback"
html_show_sourcelink = False
html_show_sphinx = False
html_copy_source = False
