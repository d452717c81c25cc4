"""The command line, called in this process or run as one of its own.

A process takes a second to start; only what is the process's own is tested with one.
"""

import contextlib
import io
import os
import subprocess
import sys
from types import SimpleNamespace
from unittest import mock

from pennyweight.cli.main import main

WIDE = {"COLUMNS": "100"}


def pennyweight(*arguments, cwd):
    """Call the command line in this process, in a folder of its own."""
    out, err, code = io.StringIO(), io.StringIO(), 0
    with (
        contextlib.chdir(cwd),
        mock.patch.dict(os.environ, WIDE),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
    ):
        try:
            main([str(argument) for argument in arguments])
        except SystemExit as stop:
            code = stop.code
    assert "Traceback" not in out.getvalue() + err.getvalue()
    return SimpleNamespace(
        returncode=code, stdout=out.getvalue(), stderr=err.getvalue()
    )


def process(*arguments, cwd):
    """Run the command; whatever happens, no traceback is shown."""
    done = subprocess.run(
        [sys.executable, "-m", "pennyweight", *map(str, arguments)],
        capture_output=True,
        text=True,
        cwd=cwd,
        env={**os.environ, **WIDE},
    )
    assert "Traceback" not in done.stdout + done.stderr
    return done
