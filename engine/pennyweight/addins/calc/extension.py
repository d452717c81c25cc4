"""The extension file (.oxt): type library, component and function descriptions.

It is the same on every machine, so it can be built once and passed on.
"""

import io
import zipfile
from importlib.resources import files
from xml.sax.saxutils import escape, quoteattr

from ... import __version__
from ..registry import PREFIX, registry
from .type_library import ROWS, type_library

IDENTIFIER = "pennyweight.functions"
SERVICE = "dwt"
NAME = "pennyweight.oxt"
MOMENT = (2026, 1, 1, 0, 0, 0)

BUTTON = """\
<node oor:name="m{place}" oor:op="replace">
<prop oor:name="URL"><value>vnd.pennyweight:{job}</value></prop>
<prop oor:name="Title"><value xml:lang="en">{title}</value></prop>
<prop oor:name="Target"><value>_self</value></prop>
<prop oor:name="Context"><value>com.sun.star.sheet.SpreadsheetDocument</value></prop>
</node>
"""
BUTTONS = {
    "judge": "Judge",
    "risk": "Risk",
    "compare": "Compare",
    "quote": "Quote",
    "settle": "Statement",
    "renew": "Renew",
}
"""Jobs of the toolbar, with the captions of their buttons."""


def toolbar():
    """The buttons of the toolbar, as LibreOffice's settings."""
    return "".join(
        BUTTON.format(place=place, job=job, title=title)
        for place, (job, title) in enumerate(BUTTONS.items(), 1)
    )


MONEY = (
    *("cutoff", "contracts", "purchase", "settlement", "bullion"),
    *("scaling", "money", "tax", "partners"),
)
CHANCE = ("samples", "lognormal", "grains", "sampling", "assay_exchange")
"""Topics of the wizard's categories Financial and Statistical."""


def extension_bytes():
    """Give the bytes of the extension file; always the same for one registry.

    Returns
    -------
    content : bytes
    """
    parts = {
        "META-INF/manifest.xml": _part("manifest.xml"),
        "description.xml": _part("description.xml").format(version=__version__),
        "pennyweight.rdb": type_library("dwt", "XFunctions", methods()),
        "component.py": _part("component.py"),
        "CalcAddIn.xcu": _part("CalcAddIn.xcu").format(functions=descriptions()),
        "ProtocolHandler.xcu": _part("ProtocolHandler.xcu"),
        "Addons.xcu": _part("Addons.xcu").format(buttons=toolbar()),
    }
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as package:
        for name, content in parts.items():
            item = zipfile.ZipInfo(name, MOMENT)
            item.compress_type = zipfile.ZIP_DEFLATED
            package.writestr(item, content)
    return target.getvalue()


def _part(name):
    """A file beside this one."""
    return files(__package__).joinpath(name).read_text("utf-8")


def method(entry):
    """Name of a function's method: without the prefix, which is the service's name."""
    return entry.name.removeprefix(PREFIX)


def methods():
    """Every method with the names and types of its arguments.

    A required argument is rows of cells, so that a blank is not zero. An optional one
    is of the type any, the only type that Calc can leave out.
    """
    return {
        method(entry): [
            (f"a{place}", ROWS if argument.required else "any")
            for place, argument in enumerate(entry.arguments, 1)
        ]
        for entry in registry().values()
    }


def descriptions():
    """Names, help and arguments of every function, as LibreOffice's settings."""
    return "".join(_function(entry) for entry in registry().values())


def _function(entry):
    arguments = "".join(
        f'<node oor:name="a{place}" oor:op="replace">'
        f"{_said('DisplayName', argument.name)}{_said('Description', argument.help)}"
        "</node>\n"
        for place, argument in enumerate(entry.arguments, 1)
    )
    return (
        f'<node oor:name={quoteattr(method(entry))} oor:op="replace">\n'
        f"{_said('DisplayName', entry.name)}{_said('Description', entry.help)}"
        f'<prop oor:name="Category"><value>{category(entry)}</value></prop>\n'
        f"{_said('CompatibilityName', entry.name)}"
        f'<node oor:name="Parameters">\n{arguments}</node>\n</node>\n'
    )


def category(entry):
    """The category of the wizard; LibreOffice knows these words only."""
    topic = entry.category.removeprefix("Pennyweight ")
    if topic in MONEY:
        return "Financial"
    if topic in CHANCE:
        return "Statistical"
    return "Add-In" if entry.of_model else "Technical"


def _said(name, text):
    return (
        f'<prop oor:name="{name}"><value xml:lang="en">{escape(text)}</value></prop>\n'
    )
