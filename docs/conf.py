"""How the manual is built: ``python -m sphinx -W -b html docs build/docs``."""

from __future__ import annotations

import sys
from importlib import metadata
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

project = "Noonhold"
author = copyright = "Noonhold contributors"
release = metadata.version("noonhold")
extensions = [
    "myst_parser",
    "numpydoc",
    "sphinx.ext.autodoc",
    "sphinx.ext.autosummary",
    "sphinx.ext.extlinks",
    "sphinx.ext.intersphinx",
    "sphinx.ext.mathjax",
    "sphinx.ext.viewcode",
    "sphinx_click",
    "generated",
]
myst_enable_extensions = ["dollarmath", "amsmath", "deflist"]
myst_heading_anchors = 3
html_theme = "furo"
html_title = "Noonhold"
exclude_patterns = ["performance_raw.md"]
autosummary_generate = True
autodoc_typehints = "none"
autodoc_member_order = "bysource"
# Types stand in the docstrings as words; linking each of them is left to the reader's editor.
numpydoc_show_class_members = False
numpydoc_xref_param_type = False
extlinks = {"doi": ("https://doi.org/%s", "doi:%s")}
suppress_warnings = ["ref.python"]
# Inventories are looked up on the network; without it, builds go on without the links.
intersphinx_mapping = {}
