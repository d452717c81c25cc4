"""How the pages become a website: ``make site``."""

import re
import sys
from pathlib import Path

from sphinx.application import Sphinx

import pennyweight

sys.path.insert(0, str(Path(__file__).parent))

project = "pennyweight"
version = release = pennyweight.__version__
copyright = "the pennyweight authors, MIT licence"
html_show_copyright = html_show_sphinx = html_copy_source = False

extensions = [
    "myst_parser",
    "sphinx.ext.autodoc",
    "sphinx.ext.napoleon",
    "equations",
]
exclude_patterns = ["_build"]
source_suffix = {".md": "markdown", ".rst": "restructuredtext"}
html_theme = "furo"
html_title = "pennyweight"
html_math_renderer = "mathml"

# Equations stand in ```math fences, as code hosts want them; a $ is money.
myst_fence_as_directive = ["math"]
myst_enable_extensions = ["deflist"]
myst_heading_anchors = 3

autodoc_member_order = "bysource"
autodoc_typehints = "none"
napoleon_google_docstring = False
napoleon_use_rtype = False
napoleon_use_param = False
napoleon_custom_sections = [("Source", "notes_style"), ("Validity", "notes_style")]

BARE_EXAMPLE = re.compile(r"^>>> .*?(?=\n\n|\Z)", re.MULTILINE | re.DOTALL)


def fence_examples(_app: Sphinx, _page: str, source: list[str]) -> None:
    """Show an example at the prompt as code, where a page has it bare."""
    outside = re.split(r"(^```.*?^```$)", source[0], flags=re.MULTILINE | re.DOTALL)
    outside[::2] = [
        BARE_EXAMPLE.sub(lambda found: f"```pycon\n{found[0]}\n```", text)
        for text in outside[::2]
    ]
    source[0] = "".join(outside)


def setup(app: Sphinx) -> None:
    """Join in what Sphinx lacks."""
    app.connect("source-read", fence_examples)
