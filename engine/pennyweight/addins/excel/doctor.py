"""Looking for what keeps the Excel door shut, each finding with its mend."""

import importlib.metadata
import importlib.util
import struct
import sys
from pathlib import Path

from ..findings import Check

OFFICE = r"Software\Microsoft\Office"
PLATFORM = (r"SOFTWARE\Microsoft\Office\ClickToRun\Configuration", "Platform")


class Machine:
    """What the doctor asks of the machine; tests put their own in its place."""

    platform = sys.platform
    executable = sys.executable
    prefix = sys.prefix
    bits = struct.calcsize("P") * 8
    version = sys.version_info[:3]

    def package(self, name):
        """Version of an installed package, or None."""
        try:
            return importlib.metadata.version(name)
        except importlib.metadata.PackageNotFoundError:
            return None

    def exists(self, path):
        """Whether a file is there."""
        return Path(path).exists()

    def registry(self, root, key, name):
        """A value of Windows' registry, or None."""
        if not self.platform.startswith("win"):
            return None
        import winreg

        roots = {"user": winreg.HKEY_CURRENT_USER, "machine": winreg.HKEY_LOCAL_MACHINE}
        try:
            with winreg.OpenKey(roots[root], key) as opened:
                return winreg.QueryValueEx(opened, name)[0]
        except OSError:
            return None


def examine(machine=None, workbook=None):
    """Look at the machine, and at a macro workbook where one is given.

    Parameters
    ----------
    machine : Machine, optional
    workbook : Path, optional

    Returns
    -------
    findings : list of Check
    """
    machine = machine or Machine()
    windows = machine.platform.startswith("win")
    findings = [_system(machine), _python(machine), _xlwings(machine)]
    if windows:
        findings += [
            _excel(machine),
            _pywin32(machine),
            _library(machine),
            _trust(machine),
        ]
    if windows or machine.platform == "darwin":
        findings.append(_addin(machine))
    if workbook is not None:
        findings += _workbook(machine, Path(workbook))
    return findings


def _system(machine):
    if machine.platform.startswith("win"):
        return Check("System", "well", "Windows: functions and buttons")
    if machine.platform == "darwin":
        return Check(
            "System",
            "mind",
            "macOS: the buttons work, worksheet functions do not",
            "Run once in a terminal: xlwings runpython install. For functions in "
            "cells use LibreOffice (pennyweight calc install).",
        )
    return Check(
        "System",
        "ill",
        f"{machine.platform}: there is no Excel here",
        "Use LibreOffice (pennyweight calc install), or Windows for Excel.",
    )


def _python(machine):
    said = f"Python {'.'.join(map(str, machine.version))}, {machine.bits} bit"
    if "WindowsApps" in str(machine.executable):
        return Check(
            "Python",
            "ill",
            f"{said}, from the Microsoft Store, which Excel cannot reach",
            "Install Python from python.org, make a new environment, and install "
            "pennyweight[excel] there.",
        )
    return Check("Python", "well", f"{said}, {machine.executable}")


def _xlwings(machine):
    version = machine.package("xlwings")
    if version is None:
        return Check(
            "xlwings",
            "ill",
            "not installed",
            "Run: python -m pip install 'pennyweight[excel]'",
        )
    return Check("xlwings", "well", f"{version}; no key is needed")


def _excel(machine):
    platform = machine.registry("machine", *PLATFORM)
    if platform is None:
        return Check(
            "Excel",
            "mind",
            "the installed edition could not be told",
            "Editions from the Microsoft Store do not work with Python; install "
            "Office from office.com if functions stay silent.",
        )
    bits = 64 if platform == "x64" else 32
    if bits != machine.bits:
        return Check(
            "Excel",
            "mind",
            f"{bits} bit beside Python's {machine.bits} bit",
            "This works through a server process; if it does not, install a Python "
            f"of {bits} bit.",
        )
    return Check("Excel", "well", f"{bits} bit")


def _pywin32(machine):
    version = machine.package("pywin32")
    if version is None:
        return Check(
            "pywin32", "ill", "not installed", "Run: python -m pip install pywin32"
        )
    return Check("pywin32", "well", version)


def _library(machine):
    """The library that the macros load lies beside the interpreter."""
    version = machine.package("xlwings")
    name = f"xlwings{machine.bits}-{version}.dll"
    if machine.exists(Path(machine.prefix) / name):
        return Check("Library", "well", name)
    return Check(
        "Library",
        "ill",
        f"{name} does not lie in {machine.prefix}",
        "Run: python -m pip install --force-reinstall xlwings",
    )


def _trust(machine):
    for version in ("16.0", "15.0", "14.0"):
        key = rf"{OFFICE}\{version}\Excel\Security"
        value = machine.registry("user", key, "AccessVBOM")
        if value is not None:
            break
    if value == 1:
        return Check("Trust setting", "well", "programs may add macros")
    return Check(
        "Trust setting",
        "mind",
        "programs may not add macros; only importing functions by button needs it",
        "Either import the .bas file by hand (Alt+F11, File, Import File), or tick "
        "File, Options, Trust Center, Trust Center Settings, Macro Settings, 'Trust "
        "access to the VBA project object model'.",
    )


def _addin(machine):
    """The add-in in Excel's start folder, and its script."""
    from .addin import NAME, script_folder, start_folder

    folder = start_folder()
    if folder is None or not machine.exists(folder / f"{NAME}.xlam"):
        return Check("Add-in", "well", "none; pennyweight excel install adds it")
    if not machine.exists(script_folder() / f"{NAME}.py"):
        words = f"its script is missing in {script_folder()}"
        return Check("Add-in", "ill", words, "Run: pennyweight excel install")
    told = stored_settings(folder / f"{NAME}.xlam", "myaddin.conf")
    made, now = told.get("Made with xlwings", ""), machine.package("xlwings")
    if made != now:
        words = f"made with xlwings {made or '?'}, but {now} is installed"
        return Check("Add-in", "ill", words, "Run: pennyweight excel install")
    return Check("Add-in", "well", str(folder / f"{NAME}.xlam"))


def _workbook(machine, path):
    """Settings of a macro workbook against this machine."""
    from ...errors import PennyweightError
    from .macro_workbook import companions

    try:
        told = stored_settings(path)
    except PennyweightError as error:
        return [Check("Workbook", "ill", str(error), "pennyweight excel new")]
    found = [_interpreter(machine, told), _made_with(machine, told, path)]
    lacking = [other.name for other in companions(path) if not machine.exists(other)]
    if lacking:
        found.append(
            Check(
                "Files beside it",
                "ill",
                f"{', '.join(lacking)} is missing",
                f"Run: pennyweight excel refresh {path}",
            )
        )
    return found


def _interpreter(machine, told):
    key = "Interpreter_Win" if machine.platform.startswith("win") else "Interpreter_Mac"
    named = told.get(key, "")
    if named and machine.exists(named):
        return Check("Interpreter", "well", named)
    return Check(
        "Interpreter",
        "ill",
        f"the workbook names {named or 'none'}, which is not there",
        f"On the sheet xlwings.conf set {key} to {machine.executable}",
    )


def _made_with(machine, told, path):
    made, now = told.get("Made with xlwings", ""), machine.package("xlwings")
    if made == now:
        return Check("Macros", "well", f"made with xlwings {made}")
    return Check(
        "Macros",
        "ill",
        f"made with xlwings {made or '?'}, but {now} is installed",
        f"Run: pip install xlwings=={made}, or make a new workbook with pennyweight "
        f"excel new and enter the inputs of {path.name} there.",
    )


def stored_settings(path, sheet="xlwings.conf"):
    """Settings on the sheet of settings of a macro workbook or an add-in."""
    from ...errors import WorkbookError
    from ...workbook.package.contents import read_contents

    cells = read_contents(path).sheets.get(sheet)
    if cells is None:
        raise WorkbookError(f"{path} has no sheet {sheet}.")
    return {
        str(key.value): str(cells[row, 1].value) if (row, 1) in cells else "None"
        for (row, column), key in cells.items()
        if column == 0 and key.value is not None
    }
