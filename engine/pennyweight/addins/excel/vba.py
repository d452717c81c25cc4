"""The macro module through which Excel's cells call Python.

It has one short function for each of the registry, and one that turns the error
markers in an answer into error values, which Python cannot return.
"""

from importlib.resources import files

from ..registry import registry

MODULE = "Pennyweight"
SERVER_MODULE = "pennyweight.addins.excel.functions"

HEAD = files(__package__).joinpath("vba_head.bas").read_text("ascii")
"""Error values, the calling cell, and what the buttons run."""

FUNCTION = """\
Public Function {name}({signature})
    On Error GoTo failed
    {name} = DWT_CELLS(XLPy.CallUDF("{module}", "{name}", Array({given}), \
ThisWorkbook, Application.Caller))
    Exit Function
failed:
    {name} = DWT_FAILED("{name}", Err.Description)
End Function

"""

REASON = """\
Public Function DWT_REASON(Optional cell)
    Dim place
    On Error GoTo failed
    place = ""
    If Not IsMissing(cell) Then place = DWT_ADDRESS(cell)
    If LastFailure <> "" Then
        DWT_REASON = LastFailure
        LastFailure = ""
        Exit Function
    End If
    DWT_REASON = XLPy.CallUDF("{module}", "DWT_REASON", Array(place), \
ThisWorkbook, Application.Caller)
    Exit Function
failed:
    DWT_REASON = Err.Description
End Function

"""


def macro_module():
    """Give the text of the macro module, for the editor's File, Import File.

    Returns
    -------
    text : str
        With the line ends of the macro editor.
    """
    parts = [HEAD]
    for entry in registry().values():
        parts.append(macro_function(entry))
    return "".join(parts).rstrip("\n").replace("\n", "\r\n") + "\r\n"


def macro_function(entry):
    """Give the macro of one worksheet function."""
    if entry.name == "DWT_REASON":
        return REASON.format(module=SERVER_MODULE)
    names = [argument.name for argument in entry.arguments]
    return FUNCTION.format(
        name=entry.name,
        signature=entry.signature("Optional {}"),
        module=SERVER_MODULE,
        given=", ".join([*names, "DWT_PLACE()"]),
    )
