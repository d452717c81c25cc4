"""The doctors' findings, and how they show on the terminal."""

COLOURS = {"well": "green", "mind": "yellow", "ill": "red"}


def show_findings(findings):
    """Print findings with their mends.

    Parameters
    ----------
    findings : list of Check

    Returns
    -------
    code : int
        0, or 3 when something is ill.
    """
    import typer

    for finding in findings:
        state = typer.style(f"{finding.state:<5}", fg=COLOURS[finding.state])
        typer.echo(f"{state} {finding.what}: {finding.said}")
        if finding.mend:
            typer.echo(f"      {finding.mend}")
    return 3 if any(finding.state == "ill" for finding in findings) else 0
