"""Checks: balances, limits and measurements."""

import numpy as np

from ....formulas import lookup
from ...axes import Axis
from ...inputs import rows_of
from ...line import Section
from ...units import MIXED

overall = Section("Checks", "All checks")
balances = Section("Checks", "Balances")
limits = Section("Checks", "Limits")
measured = Section("Checks", "Measurements and balances of gold")
workings = Section("Checks", "Check workings")

PASSED = "none"


def enter(section, name, heads, relation):
    """Enter the checks of one table; return the axis of the table."""
    rows = [row for row in rows_of("checks.csv") if row["table"] == name]
    columns = ("check", "actual", "expected")
    what, shown, wanted = (tuple(row[one] for row in rows) for one in columns)
    counted = tuple(f"{row['of']}_counts" for row in rows if row["of"])

    reads = [f"{name}_actual", f"{name}_expected", "check_tolerance"]
    note = "1 if passed, 0 if failed."
    if counted:
        reads += [f"{name}_counts", "beside_the_job"]
        note = "1 if passed, 0 if failed, 2 if it does not apply to the job."

    @section.line("Pass", "check", name, name=f"{name}_holds", reads=reads, note=note)
    def holds(actual, expected, check_tolerance, *counts):
        passed = relation(actual, expected, check_tolerance)
        return np.where(counts[0] == 0, counts[1], passed) if counts else passed

    sides = zip(heads, ("actual", "expected"), (shown, wanted), strict=True)
    for head, side, lines in sides:
        note = f"{head}, in the unit of the row."
        section.gather(f"{name}_{side}", head, MIXED, name, lines, note=note)
    if counted:
        note = "1 where the job rests on it; elsewhere nothing is checked."
        section.gather(f"{name}_counts", "Applies", "count", name, counted, note=note)
    return Axis(name, "Check", "-", what, down=True)


def agrees(actual, expected, tolerance):
    """1 if two values agree within a relative tolerance."""
    size = np.maximum(np.abs(expected), 1)
    return np.where(np.abs(actual - expected) <= tolerance * size, 1, 0)


def keeps_below(actual, allowed, tolerance):
    """1 if a value is at most a limit, within a relative tolerance."""
    size = np.maximum(np.abs(allowed), 1)
    return np.where(actual <= allowed + tolerance * size, 1, 0)


BALANCE = enter(balances, "balance", ("Actual", "Expected"), agrees)
LIMIT = enter(limits, "limit", ("Actual", "At most"), keeps_below)
MEASUREMENT = enter(measured, "measurement", ("Actual", "At most"), keeps_below)


@overall.line("Balances that fail", "count")
def balances_failed(balance_holds):
    """0 required; otherwise the workbook is faulty."""
    return np.sum(1 - balance_holds, axis=0)


@overall.line("Limits exceeded", "count")
def limits_failed(limit_holds):
    """Beyond a limit of the plant or the contract; see the table."""
    return np.sum(1 * (limit_holds == 0), axis=0)


@overall.line("Measurements that disagree", "count")
def measurements_failed(measurement_holds):
    """There is no verdict before they are corrected; see the table."""
    return np.sum(1 * (measurement_holds == 0), axis=0)


@overall.line("Failed check")
def checks_flag(
    balances_failed,
    balance_holds,
    balance,
    measurements_failed,
    measurement_holds,
    measurement,
    limits_failed,
    limit_holds,
    limit,
):
    """The first that fails, shown on every sheet."""
    first_limit = lookup(np.min(limit_holds, axis=0), limit_holds, limit)
    within = np.where(limits_failed > 0, first_limit, PASSED)
    first = lookup(np.min(measurement_holds, axis=0), measurement_holds, measurement)
    sound = np.where(measurements_failed > 0, first, within)
    first_balance = lookup(np.min(balance_holds, axis=0), balance_holds, balance)
    return np.where(balances_failed > 0, first_balance, sound)
