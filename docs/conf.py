"""How the manual is built: ``python -m sphinx -W -b html docs build/docs``."""

from __future__ import annotations

import sys
from importlib import metadata
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE / "extensions"))

project = "Noonhold"
author = copyright = "Noonhold contributors"
release = metadata.version("noonhold")
extensions = [
    "myst_nb",
    "docstring_references",
    "sphinx.ext.autodoc",
    "sphinx.ext.extlinks",
    "sphinx.ext.mathjax",
    "sphinx.ext.napoleon",
    "sphinx.ext.viewcode",
    "sphinx_click",
    "generated_pages",
    "measured_sensitivities",
    "memory_list",
    "validation_pages",
]
myst_enable_extensions = ["dollarmath", "amsmath", "deflist"]
myst_heading_anchors = 3
# Pages with a kernel in their header are executed at every build; a cell that fails, fails it.
nb_execution_mode = "force"
nb_execution_raise_on_error = True
nb_execution_timeout = 300
nb_merge_streams = True
# Their parts are included by pages.
exclude_patterns = ["generated/*"]
html_theme = "furo"
html_title = "Noonhold"
autodoc_typehints = "none"
autodoc_member_order = "bysource"
napoleon_google_docstring = False
# Types stand in docstrings as words, some with a name that two modules have: they are not linked.
napoleon_use_param = napoleon_use_rtype = False
napoleon_use_ivar = True
# The members of a page stand in its own contents; in the tree of every page they would take half
# the time of a build.
toc_object_entries = False
extlinks = {"doi": ("https://doi.org/%s", "doi:%s")}
