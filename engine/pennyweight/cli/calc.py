"""The commands of the LibreOffice door."""

from pathlib import Path
from typing import Annotated

import typer

app = typer.Typer(no_args_is_help=True, help="Functions for LibreOffice Calc.")


@app.command()
def install():
    """Put the functions into this user's LibreOffice."""
    from ..addins.calc.install import install as put_in

    for line in put_in():
        typer.echo(line)


@app.command()
def build(
    path: Annotated[Path, typer.Argument(metavar="FILE.oxt")] = Path("pennyweight.oxt"),
    force: Annotated[bool, typer.Option("--force", help="Replace the file.")] = False,
):
    """Write the extension file, to be installed by hand or elsewhere."""
    from ..addins.calc.install import build as write
    from ..errors import CallError

    if path.suffix.lower() != ".oxt":
        raise CallError(f"{path}: the name of an extension ends in .oxt.")
    typer.echo(f"Written: {write(path, force)}")


@app.command()
def doctor():
    """Say what keeps the functions out of Calc, and the mend."""
    from ..addins.calc.doctor import examine
    from .findings_screen import show_findings

    raise SystemExit(show_findings(examine()))
