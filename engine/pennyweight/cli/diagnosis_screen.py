"""The diagnosis of an add-in on the terminal."""

COLOURS = {"ok": "green", "warning": "yellow", "error": "red"}


def show_checks(checks):
    """Print the results of checks, each fault with its fix.

    Parameters
    ----------
    checks : list of Check

    Returns
    -------
    code : int
        0, or 3 if there is an error.
    """
    import typer

    for check in checks:
        state = typer.style(f"{check.state:<7}", fg=COLOURS[check.state])
        typer.echo(f"{state} {check.what}: {check.message}")
        if check.fix:
            typer.echo(f"        {check.fix}")
    return 3 if any(check.state == "error" for check in checks) else 0
