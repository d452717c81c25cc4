"""One LibreOffice process of our own, with the worker that drives it.

Nothing here is shared with an office that a person has open: the profile and the
pipe are private, so several test processes can each have one.
"""

from __future__ import annotations

import contextlib
import json
import os
import queue
import shutil
import signal
import subprocess
import tempfile
import threading
import time
import uuid
import warnings
from pathlib import Path
from typing import Any

from tests.oracles.values import OracleFailed

PROGRAM = "soffice"
UNO_PYTHON = "/usr/bin/python3"  # the UNO modules belong to the system's Python
WORKER = Path(__file__).with_name("uno_worker.py")
PIPES = Path("/tmp")  # LibreOffice puts pipes here whatever TMPDIR says
START_SECONDS = 90
ANSWER_SECONDS = 120
END_SECONDS = 15
START_AGAIN = 81  # how the first start in a new profile may end
ATTEMPTS = 2

# Without the first two, values stored by other programs are trusted on load. The
# last keeps TRUE and FALSE in English on any machine.
SETTINGS = (
    ("org.openoffice.Office.Calc/Formula/Load", "OOXMLRecalcMode", "0"),
    ("org.openoffice.Office.Calc/Formula/Load", "ODFRecalcMode", "0"),
    ("org.openoffice.Setup/L10N", "ooSetupSystemLocale", "{locale}"),
)


def missing() -> str | None:
    """Say what to install where no office can run, None where it can."""
    if shutil.which(PROGRAM) is None:
        return "soffice is missing: install LibreOffice (Debian's libreoffice-calc)."
    command = [UNO_PYTHON, "-I", "-c", "import uno"]
    try:
        subprocess.run(command, check=True, capture_output=True, timeout=START_SECONDS)
    except (OSError, subprocess.SubprocessError):
        return f"{UNO_PYTHON} lacks the UNO modules: install python3-uno."
    return None


class OfficeLost(OracleFailed):
    """The office or the bridge to it ended before it answered."""


class Office:
    """A headless LibreOffice that lives until `end`, and is started when first asked.

    One that crashed or took too long is ended, and the next request starts a new
    one, so that one bad book doesn't spoil the tests after it.
    """

    def __init__(self, locale: str = "en-US") -> None:
        """Make the private folder; nothing runs yet."""
        self._folder = tempfile.TemporaryDirectory(
            prefix="oracle-office-", ignore_cleanup_errors=True
        )
        self.folder = Path(self._folder.name)
        self._office: subprocess.Popen | None = None
        self._worker: subprocess.Popen | None = None
        self._pipe = ""
        self._answers: queue.Queue[str] = queue.Queue()
        write_profile(self.folder / "profile", locale)

    def ask(self, task: str, **given: Any) -> Any:
        """Have the worker do ``task`` and give its answer.

        An office that was lost on the way is started anew, and asked once more. What
        it answered is never asked again.
        """
        for attempt in range(1, ATTEMPTS + 1):
            try:
                return self._ask(task, given)
            except OfficeLost as lost:
                if attempt == ATTEMPTS:
                    raise
                warnings.warn(f"{lost}; asked again with a new office", stacklevel=2)

    def _ask(self, task: str, given: dict[str, Any]) -> Any:
        if self._office is not None and self._office.poll() is not None:
            self.stop()
        if self._worker is None:
            self._start()
        reply = self._exchange(task, given)
        if "answer" in reply:
            return reply["answer"]
        if reply["lost"]:
            raise self._lost(f"during {task}: {reply['fault']}")
        raise OracleFailed(f"LibreOffice, {task}: {reply['fault']}")

    def _lost(self, when: str) -> OfficeLost:
        """End what is left, and say what is known of an office that went away."""
        with contextlib.suppress(subprocess.TimeoutExpired):
            self._office.wait(1)
        code = self._office.poll()
        self.stop(patience=0.5)
        said = (self.folder / "office.log").read_text(errors="replace").strip()
        return OfficeLost(
            f"LibreOffice was lost {when} (exit code {code}; its log ends: "
            f"{said[-300:] or 'empty'})"
        )

    def end(self) -> None:
        """End what was started and take the private folder away."""
        self.stop()
        self._folder.cleanup()

    def stop(self, patience: float = END_SECONDS) -> None:
        """End the worker, which ends the office; then either by its id, if it stays."""
        if self._worker is not None:
            with contextlib.suppress(OSError):  # the worker may be gone
                self._worker.stdin.close()
            _end(self._worker, patience)
        if self._office is not None:
            _end(self._office, patience)
        self._worker = self._office = None
        if self._pipe:
            for left in PIPES.glob(f"OSL_PIPE_*_{self._pipe}"):
                left.unlink(missing_ok=True)  # an office that was killed leaves it

    def _start(self) -> None:
        self._pipe = pipe = f"oracle{os.getpid()}x{uuid.uuid4().hex[:8]}"
        self._office = self._start_office(pipe)
        self._start_worker()
        limit = time.monotonic() + START_SECONDS
        while not (reply := self._exchange("connect", {"pipe": pipe})).get("answer"):
            ended = self._office.poll()
            if ended == START_AGAIN:
                self._office = self._start_office(pipe)
            elif ended is not None or time.monotonic() > limit:
                raise self._lost(
                    f"as it started: {reply.get('fault', 'no connection')}"
                )
            time.sleep(0.1)

    def _start_office(self, pipe: str) -> subprocess.Popen:
        profile = (self.folder / "profile").as_uri()
        command = [
            PROGRAM,
            "--headless",
            "--nologo",
            "--nodefault",
            "--norestore",
            "--nolockcheck",
            f"-env:UserInstallation={profile}",
            f"--accept=pipe,name={pipe};urp;StarOffice.ComponentContext",
        ]
        with (self.folder / "office.log").open("ab") as log:
            return subprocess.Popen(
                command,
                env={
                    **os.environ,
                    "SAL_USE_VCLPLUGIN": "svp",  # draws without a screen
                    "LC_ALL": "C.UTF-8",
                    "TMPDIR": str(self.folder),
                },
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=log,
                start_new_session=True,  # a group of its own, to be ended as one
            )

    def _start_worker(self) -> None:
        self._answers = queue.Queue()
        with (self.folder / "worker.log").open("ab") as log:
            self._worker = subprocess.Popen(
                [UNO_PYTHON, "-I", str(WORKER)],  # -I: nothing of our environment
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=log,
                text=True,
                encoding="utf-8",
                start_new_session=True,
            )
        reader = threading.Thread(
            target=_pass_lines, args=(self._worker.stdout, self._answers), daemon=True
        )
        reader.start()

    def _exchange(self, task: str, given: dict[str, Any]) -> dict[str, Any]:
        """Send one request and wait, within a bound, for the line that answers it."""
        try:
            self._worker.stdin.write(json.dumps({"do": task, "with": given}) + "\n")
            self._worker.stdin.flush()
            line = self._answers.get(timeout=ANSWER_SECONDS)
        except OSError as error:
            raise self._lost(f"during {task}: the worker ended") from error
        except queue.Empty as error:
            self.stop(patience=0.5)  # a hung office wouldn't end by itself
            raise OracleFailed(f"LibreOffice gave no answer to {task}") from error
        if not line:
            raise self._lost(f"during {task}: the worker ended")
        return json.loads(line)


def write_profile(folder: Path, locale: str = "en-US") -> None:
    """Write a new profile's settings into ``folder``."""
    items = "".join(
        f'<item oor:path="/{path}"><prop oor:name="{name}" oor:op="fuse">'
        f"<value>{value.format(locale=locale)}</value></prop></item>"
        for path, name, value in SETTINGS
    )
    (folder / "user").mkdir(parents=True)
    (folder / "user" / "registrymodifications.xcu").write_text(
        '<?xml version="1.0" encoding="UTF-8"?>'
        '<oor:items xmlns:oor="http://openoffice.org/2001/registry">'
        f"{items}</oor:items>",
        encoding="utf-8",
    )


def _pass_lines(stream: Any, answers: queue.Queue[str]) -> None:
    """Pass lines on; reading in a thread is what lets the wait have a bound."""
    for line in stream:
        answers.put(line)
    answers.put("")


def _end(process: subprocess.Popen, patience: float) -> None:
    """Wait for a process to end by itself, else end the group it was started in.

    A process that was waited for is never signalled: its id may be another's.
    """
    try:
        process.wait(patience)
    except subprocess.TimeoutExpired:
        os.killpg(process.pid, signal.SIGKILL)
        process.wait(END_SECONDS)
