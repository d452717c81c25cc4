"""A private LibreOffice with our extension in its profile."""

import os
import sys
from pathlib import Path
from unittest import mock

from pennyweight.addins.calc.extension import extension_bytes
from tests.oracles import office

WORKER = Path(__file__).with_name("calc_worker.py")


class CalcOffice(office.Office):
    """LibreOffice with our functions installed."""

    def __init__(self, python=sys.executable, extension=True):
        """Install the extension; the office starts anew with it."""
        super().__init__()
        self.python = python
        if extension:
            self._install()

    def _install(self):
        extension = self.folder / "pennyweight.oxt"
        extension.write_bytes(extension_bytes())
        self.installed = self.ask("install", url=extension.as_uri())
        self.stop()

    def _start_office(self, pipe):
        with mock.patch.dict(os.environ, self._world()):
            return super()._start_office(pipe)

    def _start_worker(self):
        with (
            mock.patch.dict(os.environ, self._world()),
            mock.patch.object(office, "WORKER", WORKER),
        ):
            super()._start_worker()

    def _world(self):
        """Environment with the path of the engine and its own log."""
        return {
            "PENNYWEIGHT_PYTHON": str(self.python),
            "PENNYWEIGHT_LOG": str(self.folder / "reasons.log"),
        }

    def one(self, formula, cells=None):
        """What one formula shows."""
        return self.ask("work_out", cells=cells or {}, formulas=[["Z1", formula]])[0][
            0
        ][0]
