"""The extension's type library, in LibreOffice's binary format.

Its compiler is part of a development kit that few have. For one interface whose
methods give rows the format is simple, so it is written here. A test compares it with
the output of the compiler, byte for byte.
"""

import struct

MAGIC = b"UNOIDL\xff\0"
INTERFACE, MODULE = 5, 0
SEEN = 0x80000000
"""Flag of a pointer to a text that was written before."""

ROWS = "[][]any"
"""The type of rows of cells in the binary format."""

BASE = "com.sun.star.uno.XInterface"


class _TypeWriter:
    """The bytes written; a text is written once, then referred to by its place."""

    def __init__(self, start):
        self.content, self.places = bytearray(start), {}

    def number(self, value):
        self.content += struct.pack("<I", value)

    def byte(self, value):
        self.content.append(value)

    def text(self, value):
        if value in self.places:
            self.number(SEEN | self.places[value])
            return
        self.places[value] = len(self.content)
        self.number(len(value))
        self.content += value.encode("ascii")

    def name(self, value):
        place = len(self.content)
        self.content += value.encode("ascii") + b"\0"
        return place

    def entry(self, entries):
        place = len(self.content)
        for name, entity in entries:
            self.number(name)
            self.number(entity)
        return place


def type_library(module, interface, methods, comment="pennyweight"):
    """Write a library with one module that has one interface.

    Parameters
    ----------
    module, interface : str
    methods : mapping of str to sequence of (str, str)
        Names and types of the methods' arguments, under the methods' names. The
        answers are rows of cells, too.
    comment : str
        Text at the start of the file.

    Returns
    -------
    content : bytes
    """
    writer = _TypeWriter(MAGIC + b"\0" * 8 + b"\0" + comment.encode("ascii") + b"\0")
    entity = _interface(writer, methods)
    name = writer.name(interface)
    inner = len(writer.content)
    writer.byte(MODULE)
    writer.number(1)
    writer.entry([(name, entity)])
    outer = writer.name(module)
    root = writer.entry([(outer, inner)])
    writer.content[8:16] = struct.pack("<II", root, 1)
    return bytes(writer.content)


def _interface(writer, methods):
    place = len(writer.content)
    writer.byte(INTERFACE)
    writer.number(1)  # base interfaces
    writer.text(BASE)
    writer.number(0)  # optional base interfaces
    writer.number(0)  # attributes
    writer.number(len(methods))
    for method, arguments in methods.items():
        writer.text(method)
        writer.text(ROWS)
        writer.number(len(arguments))
        for argument, kind in arguments:
            writer.byte(0)  # direction: in
            writer.text(argument)
            writer.text(kind)
        writer.number(0)  # exceptions
    return place
