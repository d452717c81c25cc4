"""``pennyweight calc``: functions for LibreOffice Calc."""

from pathlib import Path
from typing import Annotated

import typer

from .arguments import ForceOption, option

app = typer.Typer(no_args_is_help=True, help="Functions for LibreOffice Calc.")


Everybody = option(bool, "For every user of this machine, not only you.", "--everybody")


@app.command()
def install(everybody: Everybody = False):
    """Install the functions in LibreOffice, for this user."""
    from ..addins.calc.install import install as put_in

    for line in put_in(everybody):
        typer.echo(line)


@app.command()
def uninstall(everybody: Everybody = False):
    """Remove the functions from LibreOffice, and the settings of this user."""
    from ..addins.calc.install import uninstall as take_out

    for line in take_out(everybody):
        typer.echo(line)


@app.command()
def build(
    path: Annotated[Path, typer.Argument(metavar="FILE.oxt")] = Path("pennyweight.oxt"),
    force: ForceOption = False,
):
    """Write the extension file, to install by hand or on another machine."""
    from ..addins.calc.install import build as write
    from ..errors import CallError

    if path.suffix.lower() != ".oxt":
        raise CallError(f"{path}: the name of an extension ends in .oxt.")
    typer.echo(f"Written: {write(path, force)}")


@app.command()
def doctor():
    """Check why the functions do not work in Calc, and how to fix it."""
    from ..addins.calc.doctor import examine
    from .diagnosis_screen import show_checks

    raise SystemExit(show_checks(examine()))
