"""The season's plan as a workbook: lots, plan, calendar, and value of a mill hour.

Money and calendar are live formulas of the lots' figures. The order and the days, which
the engine has chosen, are values; a cell says whether they are up to date.
"""

import datetime

import numpy as np
from openpyxl.utils.datetime import to_excel
from xlsxwriter.utility import xl_col_to_name

from ..model.currency import in_currency, symbol
from ..season.calendar import whole_days
from ..season.cash import PAID
from ..season.schedule import cleaned
from ..workbook.chart import NO_LEGEND, bars, draw
from ..workbook.style import SERIES
from ..workbook.table import Cell, Column, Table, table_bytes

DATE = "d mmm yyyy"
CURRENT = "The lots are as planned."
CHANGED = "The lots were changed: plan the season again."
BAR = "███"
CASH_HEADS = ("Spent at start, $", "Charges, $", "Metal, $")
WRAP = {"text_wrap": True}
LOT, OWNER = Column("Lot", width=18), Column("Owner", width=24)
P80 = Column("P80, µm", "#,##0", 9)
HOURS = Column("Mill hours", "#,##0.0", 10, total=True)
INCOME = Column("Income, $", "#,##0", 12, total=True)
COST = Column("Avoidable cost, $", "#,##0", 12, total=True)
CONTRIBUTION = Column("Contribution, $", "#,##0", 13, total=True)
PER_HOUR = Column("$ per hour", "#,##0", 10)
BEFORE_DELAY = (
    Column("Contribution before delay, $", "#,##0", 13, total=True),
    Column("$ per hour before delay", "#,##0", 10),
)


def season_book(season, by):
    """Give the bytes of a season's plan as an .xlsx file.

    Parameters
    ----------
    season : Season
    by : str
        Who prepared it.

    Returns
    -------
    content : bytes
    """
    lots, first = _lots(season)
    plan, row = _plan(season, first)
    tables = [plan, _calendar(season, row), lots, _left_out(season), _hours(season)]
    if len(season.cash):
        tables.append(_cash(season, row, first))
    return table_bytes(tables, "Season", by, season.inputs["currency"])


def _tons(season):
    unit = "t" if season.units == "metric" else "tons"
    return Column(f"Dry {unit}", "#,##0.0", 10, total=True)


def _lots(season):
    """Every lot at every grind that was tried."""
    limited = len(season.cash) > 0
    columns = [LOT, OWNER, P80, Column("Part", "0%", 7), _tons(season), HOURS]
    columns += [INCOME, COST, *BEFORE_DELAY]
    if limited:
        columns += [Column(head, "#,##0", 12) for head in CASH_HEADS]
    notes = ("Income, cost and hours are the lines of the workbook's model.",)
    table = Table("Lots wanted", columns, season.units, "Lots", notes)
    table.heads()
    first = table.next_row
    offers, lots = season.offers.table, season.offers.lots
    for offer in offers.itertuples():
        at = table.next_row + 1
        money = (offer.spent, offer.charges, offer.metal) if limited else ()
        table.row(
            lots.loc[offer.lot, "lot"],
            lots.loc[offer.lot, "owner"] or "",
            offer.p80,
            offer.part,
            offer.tons,
            offer.hours,
            offer.income,
            offer.cost,
            Cell(offer.contribution, f"=G{at}-H{at}"),
            Cell(offer.contribution / offer.hours, f"=I{at}/F{at}"),
            *money,
        )
    return table, first


def _plan(season, first):
    """The plan, with formulas of the money from the sheet Lots."""
    columns = [
        *(LOT, OWNER),
        Column("Start", DATE, 12),
        Column("Finish", DATE, 12),
        Column("Working days late", "0.00;-0.00;;@", 9),
        *(P80, _tons(season), HOURS, INCOME, COST),
        Column("Cost of delay, $", "#,##0;-#,##0;;@", 11, total=True),
        *(CONTRIBUTION, PER_HOUR),
    ]
    told = (
        *(season.stand_ins, season.clean_up_note),
        *(season.not_counted, season.proof),
    )
    notes = [note for note in told if note]
    table = Table("Season", columns, season.units, "Season", notes)
    last = first + len(season.offers.table)
    table.row(_up_to_date(season, first + 1, last), bold=True)
    table.heads()
    row = table.next_row
    _planned_lots(season, first, table)
    if len(season.plan):
        table.total("All lots", row)
        _clean_up(season, table)
    table.blank()
    _rules(season, table)
    return table, row


def _planned_lots(season, first, table):
    schedule = season.solution.schedule
    rows = zip(season.plan.itertuples(), schedule.jobs, schedule.ends, strict=True)
    for found, job, end in rows:
        at, there = table.next_row + 1, first + 1 + job.mode
        table.row(
            found.lot,
            found.owner,
            to_excel(found.start),
            to_excel(found.finish),
            found.days_late,
            found.p80,
            Cell(found.tons, f"=Lots!E{there}"),
            Cell(found.hours, f"=Lots!F{there}"),
            Cell(found.income, f"=Lots!G{there}"),
            Cell(found.cost, f"=Lots!H{there}"),
            season.problem.cost_of_delay(job.lot, end),
            Cell(found.contribution, f"=I{at}-J{at}-K{at}"),
            Cell(found.per_hour, f"=L{at}/H{at}"),
        )


def _clean_up(season, table):
    """What clean-up between owners takes from the lots, and what it leaves."""
    if season.clean_up_note:
        lots, between = table.next_row, [None] * 10
        table.row("Clean-up between owners", *between, -season.clean_up)
        left = Cell(season.contribution, f"=L{lots}+L{lots + 1}")
        table.row("The season", *between, left, bold=True)


def _up_to_date(season, first, last):
    """The cell that says whether the lots are as planned, by their sums."""
    table = season.offers.table
    parts = []
    for letter, name in zip("EFGH", ("tons", "hours", "income", "cost"), strict=True):
        total = float(table[name].sum())
        cells = f"Lots!{letter}{first}:{letter}{last}"
        parts.append(f"ABS(SUM({cells})-{total!r})<=1E-6*ABS({total!r})")
    return Cell(CURRENT, f'=IF(AND({",".join(parts)}),"{CURRENT}","{CHANGED}")')


def _rules(season, table):
    table.heading("What simple rules would bring, $")
    for name, money in season.rules.items():
        table.row(name.capitalize(), *[None] * 10, float(money))


def _calendar(season, first):
    """Weeks of the season, with a bar in each week in which a lot is milled."""
    days = season.calendar.days
    monday = days[0] - datetime.timedelta(days[0].weekday())
    weeks = -(-((days[-1] - monday).days + 1) // 7)
    looks = {"font_color": SERIES[0], "align": "center"}
    columns = [LOT, *[Column("", "d", 3.6, looks=looks)] * weeks]
    note = "Each column is a week from the Monday shown."
    table = Table("Calendar", columns, season.units, "Calendar", (note,))
    begins = [monday + datetime.timedelta(7 * week) for week in range(weeks)]
    table.row("", *_months(begins), bold=True)
    head = table.next_row + 1
    table.row("Week from", *map(to_excel, begins), bold=True)
    for place, found in enumerate(season.plan.itertuples()):
        cells = [found.lot]
        for week, begin in enumerate(begins, 1):
            day, end = xl_col_to_name(week), begin + datetime.timedelta(6)
            there = f"Season!C{first + 1 + place}", f"Season!D{first + 1 + place}"
            bars = BAR if found.start <= end and found.finish >= begin else ""
            within = f"{there[0]}<={day}${head}+6,{there[1]}>={day}${head}"
            cells.append(Cell(bars, f'=IF(AND({within}),"{BAR}","")'))
        table.row(*cells)
    return table


def _months(begins):
    """Cells with each month above its first week."""
    before = None
    for begin in begins:
        new = begin.month != before
        before = begin.month
        yield Cell(f"{begin:%b}" if new else None, looks={"align": "left"})


def _left_out(season):
    columns = [
        *(LOT, OWNER, _tons(season), Column("Hours", "#,##0.0", 10)),
        *(CONTRIBUTION, PER_HOUR),
        Column("Short of its hours' worth, $", "#,##0", 13),
        Column("Reason", width=60, looks=WRAP),
    ]
    table = Table("Lots left out", columns, season.units, "Left out")
    table.heads()
    for row in season.left_out.itertuples(index=False):
        *cells, short, reason = row
        short = None if np.isnan(short) else short
        table.row(*cells, short, in_currency(reason, season.inputs["currency"]))
    if not len(season.left_out):
        table.row("None")
    return table


def _hours(season):
    columns = [
        Column("Month", width=18),
        Column("In a week more, $", "#,##0", 16),
        Column("In a week less, $", "#,##0", 16),
        Column("Average, $", "#,##0", 13),
    ]
    note = (
        "What a mill hour is worth to the season: in a working week more, in one "
        "less, and on average if lots might be milled in part."
    )
    table = Table(
        "Mill hours", columns, season.units, "Mill hours", (note, season.hour_note)
    )
    table.heads()
    first = table.next_row
    for row in season.hour_worth.itertuples(index=False):
        table.row(row[0], *("n/a" if np.isnan(value) else value for value in row[1:]))
    last = table.next_row - 1
    sign = symbol(season.inputs["currency"])
    if last >= first:
        table.charts.append(
            (table.next_row + 1, lambda p: _chart(p, first, last, sign))
        )
        # The chart is wider than the table.
        table.printed = (table.next_row + 18, len(columns) + 4)
    return table


def _cash(season, plan, first):
    """Cash in hand after each start, with formulas from the sheets Season and Lots."""
    heads = ("Spent at start, $", "Charges due", "Charges, $", "Metal due", "Metal, $")
    columns = [
        LOT,
        Column("Start", DATE, 12),
        *(Column(head, DATE if "due" in head else "#,##0", 14) for head in heads),
        Column("Cash left, $", "#,##0", 12),
        Column("Waits", width=40, looks=WRAP),
    ]
    notes = (
        "Cash left is the cash at the start of the season less what was spent, with "
        "the payments due by then.",
        *season.cash_notes,
    )
    table = Table("Cash", columns, season.units, "Cash", notes)
    opening = f"$C${table.next_row + 1}"
    sign = symbol(season.inputs["currency"])
    table.row(f"Cash at the start of the season, {sign}", None, season.options.cash)
    days = _days_until_paid(season, table)
    table.blank()
    table.heads()
    top = table.next_row + 1
    jobs, cost = season.solution.schedule.jobs, season.problem.change_cost
    rows = zip(
        season.cash.itertuples(), jobs, cleaned(season.problem, jobs), strict=True
    )
    for place, (found, job, change) in enumerate(rows):
        crew = f"+{cost!r}" if change and cost else ""
        there, offer = plan + 1 + place, first + 1 + job.mode
        table.row(
            found.lot,
            Cell(to_excel(found.start), f"=Season!C{there}"),
            Cell(found.spent, f"=Lots!K{offer}{crew}"),
            Cell(to_excel(found.charges_due), f"=Season!D{there}+{days['charges']}"),
            Cell(found.charges, f"=Lots!L{offer}"),
            Cell(to_excel(found.metal_due), f"=Season!D{there}+{days['metal']}"),
            Cell(found.metal, f"=Lots!M{offer}"),
            Cell(found.cash, _cash_left(opening, top, top + place)),
            found.waits,
        )
    last = table.next_row
    brought = f"SUM(E{top}:E{last})+SUM(G{top}:G{last})-SUM(C{top}:C{last})"
    end = Cell(season.cash_end, f"={opening}+{brought}")
    table.row("End, all paid", *[None] * 6, end, bold=True)
    table.blank()
    for sentence in season.more_cash:
        table.sentence(sentence)
    return table


def _days_until_paid(season, table):
    """Enter the days until each payment, and return their cells."""
    cells = {}
    for name, what in PAID.items():
        cells[what] = f"$C${table.next_row + 1}"
        count = float(whole_days(season.inputs[name]).days)
        are = "are" if what.endswith("s") else "is"
        table.row(f"Days until {what} {are} paid", None, count)
    return cells


def _cash_left(opening, top, at):
    """Formula of the cash after the start of a lot.

    It is the opening cash less what was spent, with payments for earlier lots that are
    due by then.
    """
    formula = f"={opening}-SUM(C${top}:C{at})"
    if at == top:
        return formula
    for due, paid in ("DE", "FG"):
        dues, sums = (f"{one}${top}:{one}{at - 1}" for one in (due, paid))
        formula += f'+SUMIF({dues},"<="&B{at},{sums})'
    return formula


def _chart(package, first, last, sign):
    cells = (["Mill hours", first, column, last, column] for column in (0, 3))
    series, y = [bars("Average", *cells, SERIES[0])], {"num_format": "#,##0", "min": 0}
    title = f"What a mill hour is worth, {sign}"
    return draw(
        package, "column", title, series, y=y, legend=NO_LEGEND, size=(620, 320)
    )
