"""The add-in's windows: a choice of jobs, files, messages, progress with Cancel."""

import contextlib
import tkinter as tk
from tkinter import filedialog, messagebox, simpledialog, ttk

from .jobs import Stopped

TITLE = "Pennyweight"
WORKBOOKS = [("Workbooks", "*.xlsx *.xlsm")]


class Window:
    """Questions and messages of a job, in small windows above Excel."""

    def __init__(self):
        """Create the hidden main window."""
        self.root = tk.Tk()
        self.root.withdraw()
        self.root.title(TITLE)
        self.root.attributes("-topmost", True)

    def choose(self, jobs):
        """Let one of the jobs be chosen.

        Parameters
        ----------
        jobs : mapping of str to str
            Names and captions.

        Returns
        -------
        name : str or None
            None when the window was closed.
        """
        chosen, window = [], self._window()
        for name, words in jobs.items():
            take = self._taking(chosen, name, window)
            ttk.Button(window, text=words, width=44, command=take).pack(padx=12, pady=3)
        self.root.wait_window(window)
        return chosen[0] if chosen else None

    def _taking(self, chosen, name, window):
        def take():
            chosen.append(name)
            window.destroy()

        return take

    def _window(self):
        window = tk.Toplevel(self.root)
        window.title(TITLE)
        window.attributes("-topmost", True)
        return window

    def number(self, words, default):
        """Ask for a whole number of 0 or more."""
        found = simpledialog.askinteger(
            TITLE, words, initialvalue=default, minvalue=0, parent=self.root
        )
        if found is None:
            raise Stopped
        return found

    def open_file(self, words):
        """Ask for an existing workbook; None if none is chosen."""
        return filedialog.askopenfilename(title=words, filetypes=WORKBOOKS) or None

    def save_file(self, words, path):
        """Ask for a workbook to write; None if none is chosen.

        The dialog asks before a file is replaced.
        """
        folder, _, name = path.replace("\\", "/").rpartition("/")
        return (
            filedialog.asksaveasfilename(
                title=words,
                initialdir=folder,
                initialfile=name,
                defaultextension=".xlsx",
                filetypes=WORKBOOKS[:1],
            )
            or None
        )

    def say(self, words):
        """Show a message until it is closed."""
        messagebox.showinfo(TITLE, words, parent=self.root)

    @contextlib.contextmanager
    def progress(self, words, total):
        """Show progress with Cancel while a job runs.

        Parameters
        ----------
        words : str
        total : int
            0 if it is not known.

        Yields
        ------
        tick : callable
            Takes the number of steps done since the last call.
        """
        stop, window = [], self._window()
        ttk.Label(window, text=words).pack(padx=12, pady=(12, 4))
        mode = "determinate" if total else "indeterminate"
        bar = ttk.Progressbar(window, length=320, maximum=total or 100, mode=mode)
        bar.pack(padx=12, pady=4)
        cancel = ttk.Button(window, text="Cancel", command=lambda: stop.append(True))
        cancel.pack(pady=(4, 12))
        window.protocol("WM_DELETE_WINDOW", lambda: stop.append(True))

        def tick(done=1):
            bar.step(done if total and bar["value"] + done < total else 0)
            window.update()
            if stop:
                raise Stopped

        try:
            window.update()
            yield tick
        finally:
            window.destroy()
