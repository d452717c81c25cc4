"""Season plan: which lots to mill, in what order, when, at what grind."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from ..arguments import typechecked
from ..errors import CallError, WorkbookError
from ..model.currency import in_currency
from ..model.entries import stand_in_words
from ..model.figures import money, unit_text
from ..model.inputs import INPUTS
from ..model.lines.contract.charges import WHOLE_SEASON
from ..model.units import Units
from ..plain_values import plain_values
from . import shadow_prices
from .calendar import Calendar, make_calendar
from .cash import PAID, cash_table, more_cash
from .columns import YES, look_again, place_of
from .estimates import estimated_inputs
from .lots import MEASURED, Offers, make_offers, read_lots, season_costs
from .schedule import (
    HALF_CENT,
    SLACK,
    Job,
    Problem,
    check_schedule,
    cleaned,
    rules,
)
from .solver import Solution, solve_season

if TYPE_CHECKING:
    from .monte_carlo import Chance

OFFERED = ("p80", "part", "tons", "hours", "income", "cost")
"""Columns of the plan that come from the offer."""
UNITS = {
    **{"days_late": "day", "p80": "um", "tons": "ton", "hours": "hour"},
    **dict.fromkeys(("income", "cost", "contribution", "short"), "$"),
    **dict.fromkeys(("received", "spent", "charges", "metal", "cash"), "$"),
    **dict.fromkeys(("more", "adds"), "$"),
    **dict.fromkeys(("per_hour", "hour_more", "hour_less", "relaxation"), "$/hour"),
}
"""Units of the columns of a season's tables."""

NOT_NEGATIVE = {
    "owner_hours": "Clean-up hours between owners",
    "storage": "Wet ore that may wait",
    "tailings_room": "Room for tailings",
    "cash": "Cash in hand at the start",
    "freeze_days": "Days that are frozen",
    "keep_bonus": "Worth of keeping a day",
    "seconds": "Time limit in seconds",
}


@typechecked
@dataclass(frozen=True)
class Options:
    """Options of a season plan.

    Attributes
    ----------
    grinds : tuple of float
        Product sizes to try, P80 in µm. Default: the workbook's.
    start : str or datetime.date, optional
        First day.
    closed : tuple
        Days without work.
    reserve : float
        Share of the running hours kept free for breakdowns.
    owner_hours : float
        Mill hours of clean-up between owners, besides each lot's own; the crew is paid
        for them as for a lot's.
    storage : float
        Wet weight of accepted ore that may wait at the mill.
    tailings_room : float
        Most dry weight of tailings that can be stored.
    cash : float
        In hand for the lots at the season's start, $.
    freeze_days : float
        Working days from the start in which planned lots keep their start.
    keep_bonus : float
        Gain that a planned lot must bring to move to another day, $.
    seconds, gap : float
        Time limit, and the relative gap at which the search may end.
    explain : bool
        Whether to calculate the value of an hour, too.
    """

    grinds: tuple[float, ...] = ()
    start: str | datetime.date | None = None
    closed: tuple[str | datetime.date, ...] = ()
    reserve: float = 0.0
    owner_hours: float = 0.0
    storage: float = math.inf
    tailings_room: float = math.inf
    cash: float = math.inf
    freeze_days: float = 0.0
    keep_bonus: float = 0.0
    seconds: float = 60.0
    gap: float = 0.002
    explain: bool = True


@dataclass
class Season:
    """A season's plan; its tables have the units of their columns in ``attrs``.

    Attributes
    ----------
    plan : pandas.DataFrame
        A row for each lot milled, in order; money in $, ``tons`` dry, ``days_late``
        working days.
    left_out : pandas.DataFrame
        A row for each lot that is not milled, with the reason in words.
    contribution : float
        Income less avoidable cost, cost of delay and crew of clean-ups between owners,
        $.
    rules : pandas.Series
        Contribution by simple rules, $.
    hour_worth : pandas.DataFrame
        A row for each month: value of one hour more and one hour less, $.
    cash, cash_worth : pandas.DataFrame
        With a cash limit: cash flow of each lot, and the value of more cash; by
        `cash.cash_table` and `cash.more_cash`.
    solution : Solution
    calendar : Calendar
    problem : Problem
    offers : Offers
    units : {"us", "metric"}
    inputs : dict
        Of the workbook.
    options : Options
    stand_ins : str
        Sentence on missing inputs for which estimates are used; empty if none.
    look_again : tuple of str
        Sentences on figures of the lots that are far from their usual range.
    """

    plan: pd.DataFrame
    left_out: pd.DataFrame
    contribution: float
    rules: pd.Series
    solution: Solution
    calendar: Calendar
    problem: Problem
    offers: Offers
    units: Units
    inputs: dict[str, Any]
    options: Options
    stand_ins: str = ""
    look_again: tuple[str, ...] = ()
    hour_worth: pd.DataFrame = field(default_factory=pd.DataFrame)
    cash: pd.DataFrame = field(default_factory=pd.DataFrame)
    cash_worth: pd.DataFrame = field(default_factory=pd.DataFrame)

    def __repr__(self) -> str:
        return (
            f"<Season: {len(self.plan)} lots milled, {len(self.left_out)} left out, "
            f"contribution ${self.contribution:,.0f}>"
        )

    @typechecked
    def under_chance(self, draws: int = 500, seed: int = 0) -> Chance:
        """Monte Carlo simulation of the plan and of simple rules, on the same draws.

        Parameters
        ----------
        draws, seed : int

        Returns
        -------
        chance : Chance
            Tables ``contribution`` and ``lots``.
        """
        from .monte_carlo import under_chance

        return under_chance(self, draws, seed)

    @typechecked
    def least_charges(self, lots: pd.DataFrame | None = None) -> pd.DataFrame:
        """Lowest charge at which each lot is worth its hours.

        Parameters
        ----------
        lots : pandas.DataFrame, optional
            Other lots. Default: the season's own.

        Returns
        -------
        frame : pandas.DataFrame
            ``needed`` income, $, and the charge of each contract type that gives it.
        """
        return shadow_prices.least_charges(self, lots)

    @property
    def hours_used(self) -> float:
        """Share of the season's mill hours that lots and clean-ups use."""
        hours = float(self.plan["hours"].sum()) + self._changes * self.problem.change
        return hours / self.calendar.end

    @property
    def _changes(self) -> int:
        """Number of clean-ups between owners."""
        return int(cleaned(self.problem, self.solution.schedule.jobs).sum())

    @property
    def clean_up(self) -> float:
        """Cost of the clean-ups between owners, $."""
        return self._changes * self.problem.change_cost

    @property
    def clean_up_note(self) -> str:
        """How lots and clean-ups make the contribution; empty without their cost."""
        if self.clean_up < HALF_CENT:
            return ""
        lots = money(self.contribution + self.clean_up, 0)
        return (
            f"The lots bring {lots}; the crew of the clean-ups between owners takes "
            f"{money(self.clean_up, 0)} of it."
        )

    @property
    def not_counted(self) -> str:
        """What the contribution has to pay for, and what it leaves, in sentences."""
        monthly, crew = season_costs(self.inputs, self.units)
        costs = f"{money(monthly, 0)} of costs paid by the month"
        if self.inputs["crew_paid_for"] == WHOLE_SEASON:
            costs += f" and {money(crew, 0)} for the crew of the whole season"
            monthly += crew
        left = money(self.contribution - monthly, 0)
        return f"It has to pay {costs}: the season leaves {left} before capital."

    hour_note = shadow_prices.HOUR_NOTE

    @property
    def more_cash(self) -> Iterator[str]:
        """Contribution that more cash would add, in sentences."""
        for row in self.cash_worth.itertuples():
            limited = math.isfinite(row.more)
            more = f"${row.more:,.0f} more cash" if limited else "Unlimited cash"
            size = ", the median that a lot takes at its start," if limited else ""
            per = f", ${row.per_dollar:,.2f} per dollar" if row.per_dollar > 0 else ""
            yield f"{more}{size} would add ${row.adds:,.0f} to the contribution{per}."

    @property
    def cash_end(self) -> float:
        """Cash after all payments, $."""
        cash = self.cash
        brought = cash["charges"] + cash["metal"] - cash["spent"]
        return self.options.cash + float(brought.sum())

    @property
    def cash_notes(self) -> Iterator[str]:
        """Notes on the cash table, in sentences."""
        yield (
            "Each payment counts from its day. A start takes the avoidable cost of the "
            "lot less the deposit, the price of bought ore, and the crew of a clean-up "
            "between owners. Costs paid by the month are not taken from the cash, nor "
            "is a crew of the whole season."
        )
        plan = self.plan
        delay = float((plan["income"] - plan["cost"] - plan["contribution"]).sum())
        if delay >= HALF_CENT:
            yield f"The cost of delay, ${delay:,.0f}, is not taken from the cash."

    @property
    def proof(self) -> str:
        """The optimality gap, in a sentence."""
        found = self.solution
        message = "No plan brings more"
        if found.gap >= 0.00005:
            message += f" than {found.gap:.2%} above this one"
        early = " Stopped early." if found.stopped else ""
        return f"{message}.{early}"

    def to_dict(self) -> dict[str, Any]:
        """Everything in plain values, for programs."""
        return plain_values(
            {
                "look_again": self.look_again,
                "contribution": self.contribution,
                "clean_up": self.clean_up,
                "bound": self.solution.bound,
                "gap": self.solution.gap,
                "hours_used": self.hours_used,
                "plan": self.plan,
                "left_out": self.left_out,
                "simple_rules": self.rules.to_dict(),
                "hour_worth": self.hour_worth,
                "cash": self.cash,
                "cash_worth": self.cash_worth,
            }
        )


def plan_season(inputs, units, table, options=None, progress=None, given=None):
    """Plan a season.

    Parameters
    ----------
    inputs : mapping
        Of the workbook.
    units : {"us", "metric"}
    table : pandas.DataFrame
        Lots; columns as in `lots.FIELDS`.
    options : Options, optional
    progress : callable, optional
        Called with the seconds elapsed.
    given : collection of str, optional
        Inputs that the user entered. Default: all.

    Returns
    -------
    season : Season
    """
    options = options or Options()
    _check_options(options)
    lots = read_lots(table, units, inputs)
    calendar = _calendar(inputs, lots, options)
    offers = make_offers(inputs, units, lots, options.grinds)
    problem = make_problem(offers, calendar, options, inputs)
    simple = rules(problem, lots["grade"].to_numpy())
    solution = solve_season(
        problem, options.seconds, options.gap, simple.values(), progress
    )
    check_schedule(problem, solution.schedule)
    season = Season(
        plan=_frame(solution.schedule, offers, calendar, problem),
        left_out=pd.DataFrame(),
        contribution=solution.schedule.money,
        rules=pd.Series({name: plan.money for name, plan in simple.items()}),
        solution=solution,
        calendar=calendar,
        problem=problem,
        offers=offers,
        units=units,
        inputs=dict(inputs),
        options=options,
        stand_ins=stand_in_words(
            estimated_inputs(inputs, units, INPUTS if given is None else given, lots)
        ),
        look_again=look_again(lots, lots["lot"], MEASURED, inputs, units),
    )
    _explain(season, progress)
    tables = (season.plan, season.left_out, season.hour_worth)
    for frame in (*tables, season.cash, season.cash_worth):
        frame.attrs["units"] = {
            name: in_currency(unit_text(UNITS[name], "", units), inputs["currency"])
            for name in frame
            if name in UNITS
        }
    return season


def _explain(season, progress):
    """Add the tables of cash, hour value, cash value and lots left out."""
    with_cash, limited = set(), season.problem.cash < math.inf
    if limited:
        season.cash = cash_table(season)
    if season.options.explain:
        season.hour_worth = shadow_prices.hour_value_by_month(season, progress)
        if limited and not season.solution.stopped:
            season.cash_worth, with_cash = more_cash(season, progress)
    season.left_out = shadow_prices.reasons(season, with_cash)


def _calendar(inputs, lots, options):
    """Calendar of the season; checks that the dates of the lots are in it."""
    dates = [day for name in ("ready", "due") for day in lots[name] if day]
    calendar = make_calendar(
        inputs, dates, options.start, options.closed, options.reserve
    )
    first, last = calendar.days[0], calendar.days[-1]
    for row in range(len(lots)):
        ready, due = lots.loc[row, "ready"], lots.loc[row, "due"]
        if ready and ready > last:
            raise WorkbookError(
                f"Earliest day ({place_of(lots, row, 'ready')}): {ready} is after the "
                f"season's last working day, {last}. Enter an earlier day, or delete "
                "the lot."
            )
        if due and due < first:
            raise WorkbookError(
                f"Due day ({place_of(lots, row, 'due')}): {due} is before the season's "
                f"first working day, {first}. Enter a later day, or another start."
            )
    return calendar


def make_problem(offers, calendar, options, inputs):
    """The scheduling problem, in hours of the mill clock.

    Parameters
    ----------
    offers : Offers
    calendar : Calendar
    options : Options
    inputs : mapping
        Of the workbook: the days until charges and metal are paid.

    Returns
    -------
    problem : Problem
    """
    lots = offers.lots
    ready = [calendar.opens(day) if day else 0.0 for day in lots["ready"]]
    due = [calendar.closes(day) if day else math.inf for day in lots["due"]]
    planned = np.array(
        [calendar.opens(day) if day else math.nan for day in lots["planned_start"]]
    )
    frozen = planned < options.freeze_days * calendar.hours - 1e-9
    return Problem(
        modes=_modes(offers, calendar),
        ready=np.array(ready),
        due=np.array(due),
        late=lots["late_cost"].fillna(math.inf).to_numpy() / calendar.hours,
        end=calendar.end,
        owners=pd.factorize(lots["owner"].fillna("").map(_one_owner))[0],
        change=options.owner_hours,
        change_cost=options.owner_hours * offers.crew_per_hour,
        storage=options.storage,
        room=options.tailings_room,
        must=frozenset(np.flatnonzero(lots["must"] == YES).tolist()),
        planned=planned,
        frozen=frozenset(np.flatnonzero(frozen).tolist()),
        bonus=options.keep_bonus,
        day=calendar.hours,
        cash=options.cash,
        arrivals=tuple(calendar.arrivals(inputs[name]) for name in PAID),
    )


def _one_owner(name):
    """The name of an owner without capitals and double blanks."""
    return " ".join(name.casefold().split())


def _modes(offers, calendar):
    """Possible jobs of each lot; without those longer than the season, if optional."""
    lots = offers.lots
    modes = [[] for _ in range(len(lots))]
    for mode, row in enumerate(offers.table.itertuples()):
        if row.hours <= calendar.end or lots.loc[row.lot, "must"] == YES:
            job = Job(
                lot=row.lot,
                mode=mode,
                hours=row.hours,
                contribution=row.contribution,
                tons=row.tons,
                wet=lots.loc[row.lot, "wet_tons"],
                spent=row.spent,
                receipts=(row.charges, row.metal),
            )
            modes[row.lot].append(job)
    for name, jobs in zip(offers.names, modes, strict=True):
        if not jobs:
            raise WorkbookError(
                f"Lot {name} needs more hours than the season has, "
                f"{calendar.end:,.0f}. Split it, or enter a longer season."
            )
    return modes


def _check_options(options):
    for name, label in NOT_NEGATIVE.items():
        value = getattr(options, name)
        if not value >= 0:
            raise CallError(f"{label}: {value!r}. Enter a number of 0 or more.")


def _frame(schedule, offers, calendar, problem):
    """Table of the plan: a row for each lot milled, in order."""
    jobs, ends = schedule.jobs, np.array(schedule.ends)
    lots = [job.lot for job in jobs]
    named = offers.lots.loc[lots]
    taken = offers.table.loc[[job.mode for job in jobs]].astype(float)
    delay = ends - problem.due[lots]
    costs = problem.costs_of_delay(lots, ends)
    frame = pd.DataFrame(
        {
            "lot": named["lot"].to_numpy(),
            "owner": named["owner"].fillna("").to_numpy(),
            "start": [calendar.date(hour) for hour in schedule.starts],
            "finish": [calendar.last_date(hour) for hour in ends],
            "days_late": np.where(delay > SLACK, delay, 0.0) / calendar.hours,
            **{name: taken[name].to_numpy() for name in OFFERED},
            "contribution": taken["contribution"].to_numpy() - costs,
        }
    )
    frame["per_hour"] = frame["contribution"] / frame["hours"]
    return frame
