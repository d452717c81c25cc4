"""Diagnosis of the Excel add-in: each fault with its fix."""

import importlib.metadata
import importlib.util
import struct
import sys
from pathlib import Path

from ..diagnosis import check

OFFICE = r"Software\Microsoft\Office"
PLATFORM = (r"SOFTWARE\Microsoft\Office\ClickToRun\Configuration", "Platform")
MADE = "Made with xlwings"
"""The setting with the version of xlwings that the macros are from."""


class Machine:
    """What is read from the machine; tests replace it."""

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
    """Check the machine, and a macro workbook if one is given.

    Parameters
    ----------
    machine : Machine, optional
    workbook : Path, optional

    Returns
    -------
    checks : list of Check
    """
    machine = machine or Machine()
    windows = machine.platform.startswith("win")
    checks = [_system(machine), _python(machine), _installed(machine, "xlwings")]
    if windows:
        checks += [_excel(machine), _installed(machine, "pywin32")]
        checks += [_library(machine), _trust(machine)]
    if windows or machine.platform == "darwin":
        checks.append(_addin(machine))
    if workbook is not None:
        checks += _workbook(machine, Path(workbook))
    return checks


def _system(machine):
    if machine.platform.startswith("win"):
        return check("on Windows")
    if machine.platform == "darwin":
        return check("on a Mac")
    return check("without Excel", platform=machine.platform)


def _python(machine):
    interpreter = f"Python {'.'.join(map(str, machine.version))}, {machine.bits} bit"
    if "WindowsApps" in str(machine.executable):
        return check("Store Python", python=interpreter)
    return check("Python", python=interpreter, executable=machine.executable)


def _installed(machine, package):
    version = machine.package(package)
    return check(package if version else f"no {package}", version=version)


def _excel(machine):
    platform = machine.registry("machine", *PLATFORM)
    if platform is None:
        return check("unknown Excel")
    bits = 64 if platform == "x64" else 32
    alike = bits == machine.bits
    return check(
        "Excel" if alike else "other bits", bits=bits, python_bits=machine.bits
    )


def _library(machine):
    """Check the library that the macros load; its place is beside the interpreter."""
    name = f"xlwings{machine.bits}-{machine.package('xlwings')}.dll"
    if machine.exists(Path(machine.prefix) / name):
        return check("library", name=name)
    return check("no library", name=name, folder=machine.prefix)


def _trust(machine):
    for version in ("16.0", "15.0", "14.0"):
        key = rf"{OFFICE}\{version}\Excel\Security"
        value = machine.registry("user", key, "AccessVBOM")
        if value is not None:
            break
    return check("trust" if value == 1 else "no trust")


def _addin(machine):
    """Check the add-in in Excel's start folder, and its script."""
    from .addin import NAME, script_folder, start_folder

    folder = start_folder()
    if folder is None or not machine.exists(folder / f"{NAME}.xlam"):
        return check("no add-in")
    if not machine.exists(script_folder() / f"{NAME}.py"):
        return check("add-in without script", folder=script_folder())
    made = stored_settings(folder / f"{NAME}.xlam", "myaddin.conf").get(MADE, "")
    now = machine.package("xlwings")
    if made != now:
        return check("old add-in", made=made or "?", now=now)
    return check("add-in", path=folder / f"{NAME}.xlam")


def _workbook(machine, path):
    """Check the settings of a macro workbook against this machine."""
    from ...errors import PennyweightError
    from .macro_workbook import companions

    try:
        stored = stored_settings(path)
    except PennyweightError as error:
        return [check("unreadable workbook", error=error)]
    found = [_interpreter(machine, stored), _made_with(machine, stored, path)]
    absent = [other.name for other in companions(path) if not machine.exists(other)]
    if absent:
        found.append(check("missing files", names=", ".join(absent), path=path))
    return found


def _interpreter(machine, stored):
    key = "Interpreter_Win" if machine.platform.startswith("win") else "Interpreter_Mac"
    named = stored.get(key, "")
    if named and machine.exists(named):
        return check("interpreter", named=named)
    python = machine.executable
    return check("no interpreter", named=named or "none", key=key, executable=python)


def _made_with(machine, stored, path):
    made, now = stored.get(MADE, ""), machine.package("xlwings")
    if made == now:
        return check("macros", made=made)
    return check(
        "old macros", made=made or "?", now=now, version=made, workbook=path.name
    )


def stored_settings(path, sheet="xlwings.conf"):
    """Read the settings sheet of a macro workbook or an add-in."""
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
