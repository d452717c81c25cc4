"""The engine's server for LibreOffice: one line of JSON in, one line out.

It ends when its input ends, that is when LibreOffice ends.
"""

import json
import sys

from .. import sheet_jobs
from ..cell_values import BlankOrZero, CellError
from ..registry import PREFIX, registry
from ..sheet_call import answer

JOB = "job "
"""Begins the name of a job of the toolbar."""


def reply(question):
    """Answer one question.

    Parameters
    ----------
    question : str or bytes
        Name of the function without its prefix, and the arguments as rows.

    Returns
    -------
    rows : list of list
        For a job of the toolbar, the answer of `sheet_jobs.do`.
    """
    name, given = json.loads(question)
    if name.startswith(JOB):
        return sheet_jobs.do(name.removeprefix(JOB), *given)
    entry = registry()[PREFIX + name]
    blocks = [
        _given(block, argument)
        for argument, block in zip(entry.arguments, given, strict=True)
    ]
    return [
        [{"error": str(c)} if isinstance(c, CellError) else c for c in row]
        for row in answer(entry, blocks)
    ]


def _given(block, argument):
    """The cells of an argument, or None if it was left out.

    Calc passes a single blank cell as 0. Unless 0 is the default, such a cell counts
    as unknown; the text "0" means zero.
    """
    if block is None:
        return None
    if argument.kind in ("choice", "names", "cell"):
        left_out = block == [[0.0]] and not argument.required
        return None if left_out else _block(block)
    if argument.kind in ("number", "list", "values"):
        if block == [["0"]]:
            return ((0.0,),)
        if block == [[0.0]] and argument.default != 0:
            return ((BlankOrZero(),),)
    return _block(block)


def _block(rows):
    return tuple(
        tuple(CellError(c["error"]) if isinstance(c, dict) else c for c in row)
        for row in rows
    )


def main(questions=None, answers=None):
    """Answer questions until the input ends."""
    answers = answers or sys.stdout.buffer
    for question in questions or sys.stdin.buffer:
        answers.write(json.dumps(reply(question)).encode() + b"\n")
        answers.flush()


if __name__ == "__main__":
    main()
