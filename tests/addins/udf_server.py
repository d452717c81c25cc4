"""xlwings' server with COM stood in for, as a process: a line of JSON a call.

The first line out is "ready". An argument is a scalar, ``{"range": rows}`` or
``{"missing": true}``; an error value is ``{"error": text}``, here and in the answer's
markers as the functions give them.
"""

import contextlib
import io
import json
import sys


def main():
    """Answer until the calls end."""
    from tests.addins import com

    answers = sys.stdout
    with contextlib.redirect_stdout(io.StringIO()), com.windows():
        from xlwings import com_server

        server, book = com_server.XLPython(), com.Book()
        print("ready", file=answers, flush=True)
        for line in sys.stdin:
            script, name, given = json.loads(line)
            arguments = [_argument(com, book, item) for item in given]
            found = server.CallUDF(script, name, arguments, book, book.cells([0.0]))
            print(json.dumps(found), file=answers, flush=True)


def _argument(com, book, item):
    if isinstance(item, dict) and "range" in item:
        rows = [[_cell(com, cell) for cell in row] for row in item["range"]]
        return book.cells(*rows)
    if isinstance(item, dict) and "missing" in item:
        return com.MISSING
    return _cell(com, item)


def _cell(com, item):
    return com.error(item["error"]) if isinstance(item, dict) else item


if __name__ == "__main__":
    main()
