"""What a worksheet function and its arguments may be called: the linter."""

import re

CELL = re.compile(r"^[A-Z]{1,3}[0-9]+$", re.IGNORECASE)
ROW_COLUMN = re.compile(r"^R[0-9]*C[0-9]*$", re.IGNORECASE)
WORD = re.compile(r"^[A-Za-z][A-Za-z0-9_]*$")
LONGEST_LINE = 1000
"""Characters that one line of a macro may have, with some to spare."""
MOST_ARGUMENTS = 29
"""Arguments that Excel's function wizard takes in a macro's description."""

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
"""Words that a macro cannot use as the name of an argument."""


def faults(entry):
    """Say what is wrong with the names of a worksheet function.

    Parameters
    ----------
    entry : SheetFunction

    Returns
    -------
    faults : list of str
    """
    found = [f"{entry.name}: {said}" for said in name_faults(entry.name)]
    if entry.name != entry.name.upper():
        found.append(f"{entry.name}: it is not in capitals")
    names = [argument.name for argument in entry.arguments]
    if len({name.lower() for name in names}) < len(names):
        found.append(f"{entry.name}: two arguments differ only by case")
    for argument in entry.arguments:
        said = name_faults(argument.name)
        if not argument.help:
            said.append("it has no help")
        found += [f"{entry.name}, {argument.name}: {fault}" for fault in said]
    return found + _order_faults(entry)


def _order_faults(entry):
    found = []
    needed = [argument.required for argument in entry.arguments]
    if needed != sorted(needed, reverse=True):
        found.append(f"{entry.name}: an argument that is needed follows an optional")
    if len(needed) > MOST_ARGUMENTS:
        found.append(f"{entry.name}: too many arguments")
    if not entry.help:
        found.append(f"{entry.name}: it has no help")
    line = sum(len(argument.name) + 11 for argument in entry.arguments)
    if line + 2 * len(entry.name) + 120 > LONGEST_LINE:
        found.append(f"{entry.name}: its macro's line is too long")
    return found


def name_faults(name):
    """Say what is wrong with a name in a macro."""
    found = []
    if not WORD.match(name):
        found.append("only letters, digits and _ may stand in it")
    if CELL.match(name) or ROW_COLUMN.match(name):
        found.append("it reads as a cell")
    if name.lower() in RESERVED:
        found.append("it is a word of the macro language")
    return found
