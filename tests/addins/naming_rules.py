"""Names allowed for a worksheet function and its arguments."""

import re

CELL = re.compile(r"^[A-Z]{1,3}[0-9]+$", re.IGNORECASE)
ROW_COLUMN = re.compile(r"^R[0-9]*C[0-9]*$", re.IGNORECASE)
WORD = re.compile(r"^[A-Za-z][A-Za-z0-9_]*$")

RESERVED = frozenset(
    """
    addressof alias and any append appactivate as attribute base beep begin binary
    boolean byref byte byval call case cbool cbyte ccur cdate cdbl cdec chdir chdrive
    cint class clng clnglng clngptr close compare const csng cstr currency cvar cverr
    date debug decimal declare defbool defbyte defcur defdate defdbl defdec defint
    deflng defobj defsng defstr defvar deletesetting dim do doevents double each else
    elseif empty end endif enum eqv erase error event exit explicit false filecopy fix
    for freefile friend function get getattr global gosub goto if imp implements in
    input instr int integer is kill lbound len lenb let lib like line load local lock
    long longlong longptr loop lset me mid mkdir mod module name new next not nothing
    null object on open option optional or output paramarray preserve print private
    property psderror ptrsafe public put raiseevent random randomize read redim rem
    reset resume return rmdir rset savesetting scale seek select sendkeys set setattr
    sgn shared single static step stop string sub tab text then time to true type
    typeof ubound unknown unload unlock until variant vb_name wend while width with
    withevents write xor
    """.split()  # noqa: SIM905 (a list of words reads better as words)
)
"""Reserved words of VBA, which cannot name an argument."""


def name_faults(name):
    """Say what is wrong with a name in a macro."""
    found = []
    if not WORD.match(name):
        found.append("only letters, digits and _ are allowed")
    if CELL.match(name) or ROW_COLUMN.match(name):
        found.append("it reads as a cell")
    if name.lower() in RESERVED:
        found.append("it is a word of the macro language")
    return found
