"""Jobs of the buttons in a spreadsheet program, on a copy of the open workbook."""

from ..errors import CallError, PennyweightError
from ..opening import read

TRIALS = 4096


def do(job, path, out="", **options):
    """Do a job; an error is part of the answer.

    Parameters
    ----------
    job : {"judge", "risk", "compare", "quote", "settle"}
    path : str
        Copy of the open workbook.
    out : str, optional
        File to write, for a quote or a statement; the other workbook to compare with.
    **options
        ``trials`` and ``seed`` of the risk analysis.

    Returns
    -------
    answer : dict
        ``said``, the message, and for a sheet its name and ``rows``.
    """
    try:
        return JOBS[job](read(path), out, **options)
    except PennyweightError as error:
        return {"said": str(error)}


def judge(plan, _out=""):
    """Judge a plan."""
    judgement = plan.judge()
    verdict = judgement.verdict
    return {
        "said": f"{verdict[0].upper()}{verdict[1:]}. See the sheet Judgement.",
        "sheet": "Judgement",
        "rows": judgement.rows(),
    }


def risk(plan, _out="", **options):
    """Run the risk analysis of a plan."""
    plan.may_tell_risk()
    report = plan.risk(**{"trials": TRIALS, **options})
    return {
        "said": f"{report.summary()[0]} See the sheet Risk analysis.",
        "sheet": "Risk analysis",
        "rows": report.rows(plan),
    }


def compare(plan, other, progress=None):
    """Compare a plan with another workbook."""
    if not other:
        raise CallError("No other workbook was chosen.")
    return {
        "said": "See the sheet Comparison.",
        "sheet": "Comparison",
        "rows": plan.compare(read(other), progress).rows(),
    }


def _paper(writer):
    """The job that writes a paper; the dialog asked whether a file may be replaced."""

    def write(plan, out):
        if not out:
            raise CallError("No file was chosen; nothing was written.")
        return {"said": f"Written: {writer(plan)(out, force=True)}"}

    return write


JOBS = {
    "judge": judge,
    "risk": risk,
    "compare": compare,
    "quote": _paper(lambda plan: plan.quote),
    "settle": _paper(lambda plan: plan.settle),
}
