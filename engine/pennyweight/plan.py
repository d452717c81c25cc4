"""A plan: the inputs of one claim or contract, and all results.

This is the public API for the whole job; the command line and the add-ins call it, too.
"""

from __future__ import annotations

import dataclasses
import datetime
import functools
from collections.abc import Callable, Iterator, Mapping, Sequence, Set
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, NoReturn

import numpy as np

from . import arguments, frames
from .errors import BadValue, CallError, nearest
from .model.allowed import check, complete
from .model.currency import in_currency, rate_of, symbol
from .model.entries import job_needs
from .model.figures import NO_ANSWER, input_text, money, result_text, unit_text
from .model.inputs import INPUTS, input_called, inputs_in
from .model.jobs import (
    CLAIM,
    CONTRACT,
    EVERYTHING,
    HEADLINES,
    LOT,
    MILL,
    SPOKEN,
    TEST,
    subject,
)
from .model.mill_model import MODEL
from .model.results import Results, Values, name_of, result_called
from .model.rules import check_rules
from .model.run import run
from .model.test_lot_use import figures_of_test_lot
from .model.units import Units, shown, worded
from .model.user_inputs import Inputs, checked, checked_ranges, distinct

if TYPE_CHECKING:
    import pandas as pd

    from .documents.comparison import Comparison
    from .documents.pricing import Prices
    from .model.judgement import Judgement
    from .risk.break_even import BreakEven
    from .risk.contract_report import ContractReport
    from .risk.report import Report
    from .risk.sensitivity import Effect
    from .risk.study import Study
    from .season.learn import Learned
    from .season.season import Season
    from .workbook.book import Book
    from .workbook.risk_sheet.entered import Odds

VERDICTS = frozenset({"verdict", "job_verdict"})
"""Lines with a verdict, which `judge` withholds while figures are missing."""


@arguments.typechecked
class Plan:
    """The inputs of one operation, and its results.

    Parameters
    ----------
    inputs : mapping of str to float or str, optional
        Your own figures by name or by label, in the units of ``units``.
    units : {"us", "metric"}
    ranges : mapping of str to (float, float), optional
        Your own low and high of some inputs.
    estimates : mapping of str to float or str, optional
        Estimates of inputs that are not given, instead of the engine's.
    **named : float or str
        Inputs by name.

    Attributes
    ----------
    given : dict of str to float or str
        Your own figures, checked.
    inputs : dict of str to float or str
        Every input as used.
    notes : list of str
        What could not be read from the workbook, or a table.
    shown : str
        The answer in the workbook that the plan was read from; else empty.

    Raises
    ------
    CallError
        For an input or a unit system that does not exist.
    BadValue
        For a value out of bounds or of the wrong kind, and for inputs that contradict
        one another.

    Examples
    --------
    >>> import pennyweight as pw
    >>> plan = pw.example().change(gold_price=3000)
    >>> plan.judge().verdict
    'pays its running cost but not its capital'
    >>> round(plan.results["Gold price"], 2)
    3000.0
    """

    units: Units
    given: Inputs
    inputs: Inputs
    estimates: Inputs
    ranges: Inputs
    statuses: dict[str, str]
    bases: dict[str, str]
    notes: list[str]
    held: list[str]
    path: Path | None
    shown: str
    _tables: tuple[Path, ...]

    def __init__(
        self,
        inputs: Mapping[str, Any] | None = None,
        *,
        units: Units = "us",
        ranges: Mapping[str, tuple[float, float]] | None = None,
        estimates: Mapping[str, Any] | None = None,
        **named: Any,
    ) -> None:
        given = Inputs(checked({**(inputs or {}), **named}, units))
        assumed = checked(estimates or {}, units, given)
        figures = Inputs(complete({**assumed, **given}, units, "estimate"))
        check_rules(figures, units=units)
        self._with(units=units, given=given, estimates=Inputs(assumed), inputs=figures)
        self._with(ranges=Inputs(checked_ranges(ranges or {}, units, figures)))
        self._with(statuses={}, bases={}, notes=[], held=[])
        self._with(path=None, shown="", _tables=())

    def _with(self, **attributes: Any) -> Plan:
        """Set attributes of this plan before it is returned to a caller."""
        vars(self).update(attributes)
        return self

    def __setattr__(self, name: str, value: Any) -> NoReturn:
        raise CallError(
            f"{name} = {arguments.shown(value)}: a plan stays as it is. Its method "
            "change gives a new plan with other inputs, and Plan(units=...) one in "
            "another unit system."
        )

    def change(self, inputs: Mapping[str, Any] | None = None, **named: Any) -> Plan:
        """A new plan with some inputs changed; this one stays as it is.

        Your own low and high of a changed input stay if the new figure is between
        them; else the estimate's range is used.

        Parameters
        ----------
        inputs : mapping of str to float or str, optional
            By name or by label.
        **named : float or str

        Returns
        -------
        plan : Plan

        Examples
        --------
        >>> import pennyweight as pw
        >>> pw.example().change({"Gold price": 3000}).inputs["gold_price"]
        3000.0
        """
        changes = checked({**(inputs or {}), **named}, self.units, self.inputs)
        ranges = {
            name: (low, high)
            for name, (low, high) in self.ranges.items()
            if name not in changes or not (changes[name] < low or changes[name] > high)
        }
        plan = Plan(
            {**self.given, **changes},
            units=self.units,
            ranges=ranges,
            estimates=self._estimates(changes),
        )
        kept = self.bases.keys() - changes.keys()
        return plan._with(
            bases={name: self.bases[name] for name in kept},
            statuses={name: self.statuses[name] for name in kept},
        )

    def for_job(self, job: str) -> Plan:
        """A new plan for another job, with what its test lot measured.

        A claim takes grade and recovery from the lot, a contract the grade, recovery
        and moisture of the customer's ore, and a lot its weights, assays and gold. The
        planned grind is that of the lot. Figures that you entered stay. A lot whose
        figures are incomplete, or that caught no gold, gives none.

        Parameters
        ----------
        job : {"everything", "claim", "contract", "lot", "test", "mill"}

        Returns
        -------
        plan : Plan
            Its ``notes`` say what was taken from the test lot.

        Examples
        --------
        >>> import pennyweight as pw
        >>> asked = ("custom_grade", "custom_recovery", "custom_moisture")
        >>> own = {n: v for n, v in pw.example().given.items() if n not in asked}
        >>> pw.Plan(own, job="test").for_job("contract").inputs["custom_grade"]
        0.2671
        """
        plan = self.change(job=job)._with(notes=self.notes)
        if self.inputs["job"] != TEST or self.must_haves():
            return plan
        found = figures_of_test_lot(self.values, self.given, job)
        if not found:
            return plan
        named = "; ".join(
            f"{self.label(n)}: {self.text(n, v)}" for n, v in found.items()
        )
        notes = [*self.notes, f"Taken from the test lot: {named}."]
        return plan.change(found)._with(notes=notes)

    def _estimates(self, changes: Mapping[str, Any]) -> dict[str, Any]:
        """The estimates that stay, with money at the exchange rate of the changes."""
        rate = rate_of({**self.inputs, **changes}) / rate_of(self.inputs)
        return {
            name: value * rate if INPUTS[name].is_money else value
            for name, value in self.estimates.items()
            if name not in changes
        }

    @functools.cached_property
    def values(self) -> dict[str, np.ndarray]:
        """Every input, constant and line by name, as arrays."""
        return Values(run(self.inputs, self.units))

    @functools.cached_property
    def results(self) -> Results:
        """Every result by name or by label; read-only."""
        verdicts = {
            name: np.asarray(self._verdict(self.values[name].item()))
            for name in VERDICTS
        }
        return Results({**self.values, **verdicts})

    @functools.cached_property
    def _entries(self) -> dict[str, Any]:
        """Each input with its state: whose figure it is."""
        from .model.judgement import entries_of

        return entries_of(self.inputs, self.units, self.given, self.ranges)

    def _verdict(self, verdict: str) -> str:
        """A verdict of the model; "not yet" while figures are missing."""
        from .model.judgement import verdict_on

        return verdict_on({"job_verdict": verdict}, self._entries)

    def judge(self) -> Judgement:
        """The verdict with its reasons, results, checks and switching values."""
        from .model.judgement import judge

        return judge(self.inputs, self.units, self.given, self.ranges)

    @property
    def cash_flow(self) -> pd.DataFrame:
        """The cash flow by month: one column for each row of the sheet."""
        return self._priced(frames.along("month", self.values, self.units))

    @property
    def years(self) -> pd.DataFrame:
        """The cash flow by year."""
        return self._priced(frames.along("year", self.values, self.units))

    @property
    def costs(self) -> pd.DataFrame:
        """The components of the operating cost."""
        frame = frames.costs(self.values, self.units)
        frame["rate_unit"] = frame["rate_unit"].map(self._in_currency)
        return self._priced(frame)

    @property
    def contracts(self) -> pd.DataFrame:
        """Kinds of milling contract side by side, for the mill and the owner."""
        from .model.indifference import indifference_grades

        frame = frames.along("contract", self.values, self.units)
        frame["indifference_grade"] = indifference_grades(self.inputs, self.units)
        frame.attrs["units"]["indifference_grade"] = shown("grade", self.units)
        frame.attrs["labels"]["indifference_grade"] = "Indifference grade"
        return self._priced(frame)

    def grid(
        self,
        inputs: Mapping[str, Sequence[float]] | None = None,
        *,
        results: Sequence[str] = ("net_present_value", "margin_per_ton"),
        **named: Sequence[float],
    ) -> pd.DataFrame:
        """Results for every combination of some values of some inputs.

        Parameters
        ----------
        inputs : mapping of str to sequence of float, optional
            By name or by label.
        results : sequence of str
            Single results by name or by label.
        **named : sequence of float

        Returns
        -------
        frame : pandas.DataFrame
            One row for each combination; the inputs are the levels of its index.

        Examples
        --------
        >>> import pennyweight as pw
        >>> frame = pw.example().grid(gold_price=[3000, 3440], wage=[25, 30])
        >>> len(frame)
        4
        """
        moved = distinct([*(inputs or {}).items(), *named.items()])
        for name, values in moved.items():
            entry, listed = (
                inputs_in(self.inputs)[name],
                not isinstance(values, str | Mapping | Set),
            )
            each = list(values) if listed and np.iterable(values) else []
            nested = any(np.iterable(one) and not isinstance(one, str) for one in each)
            if nested or not each:
                raise BadValue(
                    f"{entry.label}: give a list of values, not "
                    f"{arguments.shown(values)}.",
                    input=name,
                    value=values,
                )
            moved[name] = [check(entry, one, self.units) for one in each]
        if not moved:
            raise CallError("A grid needs at least one input with a list of values.")
        wanted = [result_called(words) for words in results]
        if not wanted:
            raise CallError("A grid needs at least one result.")
        columns = frames.columns_of(moved)
        found = run({**self.inputs, **columns}, self.units, wanted=wanted)
        count = len(next(iter(columns.values())))
        rows = {name: np.broadcast_to(found[name], (count,)) for name in wanted}
        for name in VERDICTS & rows.keys():
            told = zip(self._alike(moved), rows[name], strict=True)
            rows[name] = np.array([plan._verdict(verdict) for plan, verdict in told])
        return self._priced(frames.grid(moved, rows, self.units))

    def _alike(self, moved: Mapping[str, Sequence[Any]]) -> Iterator[Plan]:
        """For each combination a plan that needs the same figures.

        Choices decide what is needed, and of an assay whether there is a mass.
        """
        plans: dict[tuple[Any, ...], Plan] = {}
        for row in frames.combinations(moved):
            asked = tuple(one if isinstance(one, str) else one > 0 for one in row)
            if asked not in plans:
                plans[asked] = self.change(dict(zip(moved, row, strict=True)))
            yield plans[asked]

    def break_even(
        self,
        moved: str,
        result: str | None = None,
        target: float | None = None,
    ) -> BreakEven:
        """The value of one input at which a result reaches a target.

        Parameters
        ----------
        moved : str
            Name or label of an input.
        result : str, optional
            Name or label of a single result; when left out the net present value, for
            a contract the mill's margin, for a lot the balance due to the owner, for a
            test lot its calculated head grade, for a mill its capacity.
        target : float, optional
            0 when left out; for a mill's capacity the throughput required.

        Returns
        -------
        found : BreakEven
            ``values`` has every such value between the bounds of the input.

        Examples
        --------
        >>> import pennyweight as pw
        >>> found = pw.example().break_even("Gold price")
        >>> len(found.values)
        1
        """
        from .model.jobs import MAIN_RESULTS
        from .risk.break_even import break_even

        main, *_ = MAIN_RESULTS[self.inputs["job"]]
        name = result_called(result or main)
        if target is None:
            of_mill = name == "mill_capacity"
            target = self.values["required_rate"].item() if of_mill else 0.0
        return break_even(self.inputs, self.units, self._moved(moved), name, target)

    def _moved(self, words: str) -> str:
        """The input to move; for a term of all contract types, the agreed type's."""
        try:
            return input_called(words)
        except CallError:
            agreed = f"{words}, contract type {self.inputs['contract_kind']}"
            if any(agreed.lower() == entry.label.lower() for entry in INPUTS.values()):
                return input_called(agreed)
            raise

    def risk(
        self,
        trials: int = 16384,
        seed: int = 0,
        *,
        funds: float | None = None,
        gold: Literal["flat", "path", "table"] = "flat",
        volatility: float | None = None,
        shape: Literal["median", "triangular", "pert"] = "median",
        vary: Mapping[str, Any] | None = None,
        correlations: Mapping[tuple[str, str], float] | None = None,
        rate: bool = False,
        assay_cv: float | None = None,
        assay_cost: float | None = None,
        lot_cv: float | None = None,
        lot_cost: float | None = None,
        progress: Callable[..., Any] | None = None,
        workers: int | None = None,
    ) -> Report | ContractReport:
        """A Monte Carlo risk analysis, of a claim or of a milling contract.

        That of a contract gives each party's margin; ``funds``, ``rate``,
        ``assay_cv``, ``assay_cost``, ``lot_cv`` and ``lot_cost`` are for a claim only.

        Parameters
        ----------
        trials : int
            Sets of inputs drawn; rounded up.
        seed : int
            The same seed gives the same figures.
        funds : float, optional
            Cash available; the plan's peak funding when left out.
        gold : {"flat", "path", "table"}
            The gold price: one uncertain mean, a random walk, or its low and high.
        volatility : float, optional
            Of the gold price, per year.
        shape : {"median", "triangular", "pert"}
            Distribution between low and high: the plan's value is its median, or its
            mode.
        vary : mapping of str to distribution, optional
            Other distributions, by name or label of the input.
        correlations : mapping of (str, str) to float, optional
        rate : bool
            Whether to include the internal rate of return.
        assay_cv, lot_cv : float, optional
            Coefficients of variation of one assay, that of the samples when left out,
            and of one test lot's recovery, then 0.1.
        assay_cost, lot_cost : float, optional
            Cost of one more sample, with cutting it, and of one more test lot. Without
            them a sample costs its assay, and a test lot shows no net gain.
        progress : callable, optional
        workers : int, optional
            Cores to use; all when left out. Without numba on Windows and macOS one when
            left out: a script that uses more must guard its calls with
            ``if __name__ == "__main__":``.

        Returns
        -------
        report : Report or ContractReport
        """
        from .risk.contract_report import make_contract_report
        from .risk.draws import check_trials
        from .risk.report import make_report

        check_trials(trials)
        self._refuse_without_risk()
        study = self._study(
            vary=distinct((vary or {}).items()),
            correlations=_pairs(correlations or {}),
            gold=gold,
            volatility=volatility,
            shape=shape,
        )
        if self.inputs["job"] == CONTRACT:
            of_claim = {"funds": funds, "assay_cv": assay_cv, "rate": rate or None}
            of_claim |= {"assay_cost": assay_cost, "lot_cv": lot_cv}
            _refuse_of_claim({**of_claim, "lot_cost": lot_cost})
            report = make_contract_report(study, trials, seed)
            report.stand_ins = self.stand_ins
            return report
        report = make_report(
            study,
            trials,
            seed,
            funds=funds,
            rate=rate,
            assay_cv=assay_cv,
            assay_cost=assay_cost,
            lot_cv=lot_cv,
            lot_cost=lot_cost,
            progress=progress,
            workers=workers,
        )
        report.measured, report.stand_ins = self._of_status("measured"), self.stand_ins
        return report

    def _refuse_without_workbook(self) -> None:
        if self.path is None:
            raise CallError(
                "This plan was not read from a workbook. Write it and read that first."
            )

    def _refuse_without_risk(self) -> None:
        if (job := self.inputs["job"]) in (LOT, TEST, MILL):
            raise CallError(
                f"This plan is for a {SPOKEN[job]}; a risk analysis needs one for a "
                "claim or a contract. In this workbook, break-even and cases show how "
                "the answer changes with a figure."
            )

    def _refuse_unless_for(self, job: str, what: str) -> None:
        own = self.inputs["job"]
        if own not in (EVERYTHING, job):
            name, book = SPOKEN[job], self.path.name if self.path else "THIS.xlsx"
            raise CallError(
                f"This plan is for a {SPOKEN[own]}; {what} needs one for a {name} or "
                f"for everything, with the figures of a {name}. Take its figures over: "
                f"pennyweight new all.xlsx --from {book} --for everything (in Python "
                'change(job="everything")). Then enter on its sheet Start what is '
                "missing."
            )
        if job == CONTRACT:
            self._refuse_hired_mill(what)

    def _refuse_hired_mill(self, what: str) -> None:
        if not self.values["own_mill"]:
            raise CallError(
                f"{self.label('ore_milled_by')}: hired mill. You need a mill of your "
                f"own for {what}. Choose own mill and enter its figures, or take a "
                "workbook for a contract: new --for contract."
            )

    def _refuse_without_figures_of(self, job: str, what: str) -> None:
        """Refuse a plan for another job without any figure that only this one needs."""
        own = self.inputs["job"]
        only = (n for n in INPUTS if job_needs(n, job) and not job_needs(n, own))
        if not any(name in self.given for name in only):
            self._refuse_unless_for(job, what)

    def may_tell_risk(self, entered: bool = False) -> None:
        """Raise, before any work, if the risk results may not be shown or entered.

        `risk` itself also works on estimates.

        Parameters
        ----------
        entered : bool
            Whether the results are entered on the sheet Risk, which a workbook for a
            contract does not have.

        Raises
        ------
        CallError
            For a plan of a lot; of a contract, if the results are entered.
        WorkbookError
            While must-haves are missing, naming the cell of each.
        """
        from .documents.requirements import refuse_missing

        self._refuse_without_risk()
        if entered and self.inputs["job"] == CONTRACT:
            raise CallError(
                "A workbook for a contract has no sheet Risk to enter the results on. "
                "Without -o, pennyweight risk shows them on the screen."
            )
        need = "A risk analysis needs your own figures"
        refuse_missing(self.must_haves(), self.given, need)

    def enter_risk(
        self, report: Report, path: str | Path | None = None, force: bool = False
    ) -> Path:
        """Enter a risk analysis on the sheet Risk of the workbook of this plan.

        Parameters
        ----------
        report : Report
        path : str or Path, optional
            A copy to write instead; the workbook then stays as it is.
        force : bool
            Whether a copy that is there already may be replaced.

        Returns
        -------
        path : Path

        Raises
        ------
        WorkbookError
            If the workbook is open elsewhere, its sheet Risk was altered, or
            must-haves are missing.
        """
        from .workbook.risk_sheet.fill import fill_risk_sheet

        self.may_tell_risk(entered=True)
        self._refuse_without_workbook()
        if path:
            self.may_write(path, force)
        return fill_risk_sheet(self.path, report, self, path)

    def odds(self) -> Odds | None:
        """The odds that a risk analysis entered into the plan's workbook.

        Returns
        -------
        odds : Odds or None
            The probability that the claim ``pays`` and the ``mean`` net present value;
            None where no workbook has them for these inputs.
        """
        from .workbook.risk_sheet.entered import entered_odds

        if self.path is None or not self.path.is_file():
            return None
        return entered_odds(self.path, self)

    def shown_otherwise(self) -> dict[str, float | str]:
        """Headline figures that the plan's workbook shows otherwise than the engine.

        Returns
        -------
        figures : dict of str to float or str
            The workbook's, by result; empty where no program has calculated it.
        """
        from .workbook.shown import shown_otherwise

        if not self.shown or self.path is None or not self.path.is_file():
            return {}
        return shown_otherwise(self.path, self)

    def measure_next(self, count: int | None = 3) -> pd.DataFrame:
        """The inputs whose range has the largest effect on the net present value.

        Your own figures with the status measured are left out, and so are metal prices
        and the factors on all costs.

        Parameters
        ----------
        count : int, optional
            All when None.

        Returns
        -------
        frame : pandas.DataFrame
            One row for each input: ``label``, ``low``, ``high`` in its unit,
            ``change`` of the net present value from low to high, $, and whether it
            ``turns`` the verdict. ``attrs["units"]`` has the unit of each input.

        Examples
        --------
        >>> import pennyweight as pw
        >>> len(pw.example().measure_next())
        3
        """
        import pandas as pd

        columns = ["label", "low", "high", "change", "turns"]
        rows = self.worth_measuring()
        frame = pd.DataFrame.from_dict(rows, orient="index", columns=columns)
        units = {name: self.unit(name) for name in frame.index}
        frame.attrs["units"] = {**units, "change": self.money_sign}
        return frame.head(len(frame) if count is None else count)

    def worth_measuring(self) -> dict[str, dict[str, Any]]:
        """The rows of `measure_next` as plain values, by the name of the input."""
        from .risk.sensitivity import measure_next

        worth, turning = "net_present_value", set(self.turning())
        return {
            effect.name: {
                "label": self.label(effect.name),
                "low": effect.low,
                "high": effect.high,
                "change": effect.at_high[worth] - effect.at_low[worth],
                "turns": effect.name in turning,
            }
            for effect in measure_next(self._effects, self._of_status("measured"))
        }

    def turning(self) -> list[str]:
        """Inputs of which one end of the range turns the verdict, largest effect first.

        These are all inputs that vary in a risk analysis: measured ones and the gold
        price, too. The verdict turns when a claim that pays no longer does, or the
        other way round.

        Returns
        -------
        names : list of str

        Examples
        --------
        >>> import pennyweight as pw
        >>> "ore_grade" in pw.example().turning()
        True
        """
        from .risk.sensitivity import turning

        verdict = self.values["verdict"].item()
        return [effect.name for effect in turning(self._effects, verdict)]

    @functools.cached_property
    def _effects(self) -> list[Effect]:
        """What each input that varies does to the net present value and the verdict."""
        from .risk.sensitivity import effects

        return effects(self._study(), ("net_present_value", "verdict"))

    def _study(self, **options: Any) -> Study:
        """The study of this plan's inputs: its ranges, and quoted figures fixed."""
        from .risk.study import make_study

        quoted = self._of_status("quoted")
        own = {"ranges": self.ranges, "quoted": quoted}
        return make_study(self.inputs, self.units, **own, **options)

    def _of_status(self, status: str) -> frozenset[str]:
        """The user's own figures that are measured, or quoted."""
        return frozenset(n for n in self.given if self.statuses.get(n) == status)

    def cases(self, cases: Mapping[str, Mapping[str, Any]] | str | Path) -> Cases:
        """Results of named cases and of the base case.

        Parameters
        ----------
        cases : mapping of str to mapping, or str or Path
            For each case the inputs that differ, by name or by label; or a CSV file
            with one row for each input and one column for each case.

        Returns
        -------
        cases : dict of str to dict
            For each case, ``base case`` first: the ``inputs`` that differ, ``notes``,
            ``failed_checks`` by name, and every result of the plan's job by name.

        Examples
        --------
        >>> import pennyweight as pw
        >>> found = pw.example().cases({"dear gold": {"Gold price": 5000}})
        >>> found["dear gold"]["verdict"]
        'pays'
        """
        from .risk.cases import compare_cases, shown

        named, wanted = self._named(cases), shown(self.inputs["job"])
        found = compare_cases(self.inputs, self.units, named, wanted)
        for case in found.values():
            told = self.change(case["inputs"])
            for name in VERDICTS & case.keys():
                case[name] = told._verdict(case[name])
        return found

    def _named(
        self, cases: Mapping[str, Mapping[str, Any]] | str | Path
    ) -> dict[str, dict[str, Any]]:
        """Named cases, checked, or read from a CSV file."""
        from .documents.case_table import WHAT, read_cases
        from .workbook.csv_file import read_csv

        if isinstance(cases, str | Path):
            return read_cases(read_csv(cases, WHAT), self.units, self.inputs)
        return {
            case: checked(
                arguments.mapping(moved, f"case {case}"), self.units, self.inputs
            )
            for case, moved in cases.items()
        }

    def compare(
        self, other: Plan, progress: Callable[[int], Any] | None = None
    ) -> Comparison:
        """Compare with another plan: the changes, and the effect of each.

        Parameters
        ----------
        other : Plan
        progress : callable, optional
            Called with the number of combinations calculated so far.

        Returns
        -------
        comparison : Comparison
        """
        from .documents.compare import compare_books, compare_plans

        if self.path and other.path:
            return compare_books(self.path, other.path, progress)
        return compare_plans(self, other, progress)

    def quote(self, path: str | Path, force: bool = False) -> Path:
        """Write the customer's quote as a workbook.

        Parameters
        ----------
        path : str or Path
            Ends in ``.xlsx``.
        force : bool
            Whether a file that is there already may be replaced.

        Returns
        -------
        path : Path
        """
        from .documents.quote import make_quote

        self._refuse_unless_for(CONTRACT, "a quote")
        content = make_quote(self.inputs, self.units, self.given).content()
        return self._written(path, content, force)

    def charges(
        self,
        margin: str,
        lots: str | Path | None = None,
        path: str | Path | None = None,
        force: bool = False,
    ) -> Prices:
        """Charges under each contract type that give a wanted margin.

        Parameters
        ----------
        margin : str
            Share of the income, ``"20%"``, or money per mill hour, ``"$150/hour"``
            or, in the currency entered, ``"GHS 900/hour"``.
        lots : str or Path, optional
            CSV file with one line for each lot to price: customer, lot, and figures
            of the lot; the plan's own lot when left out.
        path : str or Path, optional
            Where to write the table, with its chart; ends in ``.xlsx``.
        force : bool
            Whether a file that is there already may be replaced.

        Returns
        -------
        prices : Prices
            For the mill only: the figures follow from its cost.

        Examples
        --------
        >>> import pennyweight as pw
        >>> prices = pw.example().charges("30%")
        >>> prices.wanted, prices.rows["ton_charge"].shape
        ('30% of the income', (4, 1))
        """
        from .documents.pricing import WHAT, price, prices_book, read_lots_to_price
        from .documents.requirements import refuse_missing
        from .workbook.csv_file import read_csv
        from .workbook.files import refuse_inputs

        table = None
        self._refuse_unless_for(CONTRACT, "the table of charges")
        refuse_missing(self.must_haves(), self.given, "Charges need these figures")
        if lots is not None:
            lots = Path(lots)
            rows = read_csv(lots, WHAT)
            table = read_lots_to_price(rows, self.units, lots.name, self.inputs)
        prices = price(self.inputs, self.units, margin, table)
        if path:
            refuse_inputs([path], [lots] if lots else [])
            content = prices_book(prices, self.inputs["prepared_by"])
            self._written(path, content, force)
        return prices

    def quote_draft(self) -> str:
        """Which figures of the quote are estimates; empty if it is an offer."""
        from .documents.quote import make_quote

        return make_quote(self.inputs, self.units, self.given).draft

    def settle(
        self,
        path: str | Path,
        force: bool = False,
        confirm_balance: str = "",
        provisional: bool = False,
    ) -> Path:
        """Write the statement of the lot milled, and its audit copy beside it.

        Parameters
        ----------
        path : str or Path
            Ends in ``.xlsx``.
        force : bool
            Whether files that are there already may be replaced.
        confirm_balance : str
            Why the lot is paid although its gold balance is outside the tolerance.
        provisional : bool
            Whether the refiner has not settled yet: a part of the balance is paid.

        Returns
        -------
        path : Path
        """
        from .documents.statement import audit, make_statement
        from .workbook.files import refuse_inputs, write_together

        self._refuse_without_figures_of(LOT, "a statement")
        path = self._output(path)
        copy = path.with_suffix(".csv")
        refuse_inputs([path, copy], self._read_from)
        page = make_statement(
            self.inputs, self.units, confirm_balance, self.given, provisional
        )
        write_together({path: page.content(), copy: audit(page)}, force)
        return path

    def statement_draft(self, ledger: bool = False, provisional: bool = False) -> str:
        """Why the statement is a draft; empty if it is none.

        Parameters
        ----------
        ledger : bool
            Whether the lots are in a table, so that the plan has only the terms.
        provisional : bool
            Whether it is the statement before the refiner has settled.

        Returns
        -------
        words : str
        """
        from .documents.statement import make_statement, terms_draft

        if ledger:
            return terms_draft(self.values, self.units, self.given)
        asked = (self.inputs, self.units, "asked", self.given, provisional)
        return make_statement(*asked).draft

    def test_report(self, path: str | Path, force: bool = False) -> Path:
        """Write the report of a test lot for the owner of the ore.

        Parameters
        ----------
        path : str or Path
            Ends in ``.xlsx``.
        force : bool
            Whether a file that is there already may be replaced.

        Returns
        -------
        path : Path
        """
        from .documents.test_report import make_test_report

        self._refuse_without_figures_of(TEST, "a report")
        content = make_test_report(self.inputs, self.units, self.given).content()
        return self._written(path, content, force)

    def test_report_draft(self) -> str:
        """What is missing or contradictory in the report of a test lot; else empty."""
        from .documents.test_report import make_test_report

        return make_test_report(self.inputs, self.units, self.given).draft

    def priced(self, prices: str | Path, period: str | datetime.date) -> Plan:
        """A new plan with the settlement price of a day, or the average of a period.

        Parameters
        ----------
        prices : str or Path
            CSV file with a head, then a date as year-month-day and a price per line.
        period : str or datetime.date
            ``"2026-07-14"``, or ``"2026-07-01:2026-07-31"`` for the average.

        Returns
        -------
        plan : Plan
            With ``settle_price`` and ``settle_price_day``.
        """
        from .documents.price_table import WHAT, price_of
        from .workbook.csv_file import read_csv

        file = Path(prices)
        price, words = price_of(read_csv(file, WHAT), str(period), file.name)
        priced = self.change(settle_price=price, settle_price_day=words)
        return priced._with(path=self.path, _tables=(file,))

    def ledger(
        self,
        path: str | Path,
        lots: str | Path,
        force: bool = False,
        confirm_balance: str = "",
        progress: Callable[[int], None] | None = None,
        terms: Sequence[Plan] = (),
        on: str | datetime.date = "",
    ) -> dict[str, float]:
        """Write the ledger of several lots under this plan's contract, and its copy.

        The audit copy is a CSV beside it, with mill, terms, customer and lot in each
        row. The plan's ``notes`` then say which empty lines were skipped, and ``held``
        which lots are not in the ledger, each with its reason.

        Parameters
        ----------
        path : str or Path
            Ends in ``.xlsx``.
        lots : str or Path
            CSV file with one row for each lot.
        force : bool
            Whether a file that is there already may be replaced.
        confirm_balance : str
            Why lots are paid although their gold balance is outside the tolerance.
        progress : callable, optional
            Called with the number of lots written.
        terms : sequence of Plan
            Further workbooks, whose terms lots may follow: the column ``terms`` of the
            table names them by number/version.
        on : str or datetime.date
            The day to which days past due and late interest count, not before the
            latest date of the table; that date when left out.

        Returns
        -------
        owed : dict of str to float
            What the mill owes each customer after the last lot, $; negative if the
            customer owes the mill.
        """
        from .documents.ledger import WHAT, Ledger
        from .documents.lots import read_lots
        from .workbook.csv_file import read_csv
        from .workbook.files import refuse_inputs, write_together

        path, lots = self._output(path), Path(lots)
        copy = path.with_suffix(".csv")
        others = [file for plan in terms for file in plan._read_from]
        refuse_inputs([path, copy], [lots, *self._read_from, *others])
        for plan in terms:
            if plan.units != self.units:
                raise CallError(
                    f"{plan.path}: its units are {plan.units}, those of the ledger "
                    f"{self.units}. Use workbooks of one unit system."
                )
        skipped: list[int] = []
        rows = read_csv(lots, WHAT, skipped)
        table = read_lots(rows, self.units, lots.name, skipped, self.inputs)
        inputs = [plan.inputs for plan in terms]
        given = [plan.given for plan in (self, *terms)]
        agreed = (table, confirm_balance, inputs, given, str(on))
        made = Ledger(self.inputs, self.units, *agreed)
        contents = {path: made.content(progress), copy: made.audit()}
        write_together(contents, force)
        told = [*self.notes, *made.faults, *[table.note] * bool(table.note)]
        self.notes[:] = dict.fromkeys(told)
        self.held[:] = [reason for _, reason in sorted(made.held.items())]
        return made.owed

    def season(
        self,
        lots: pd.DataFrame | str | Path,
        *,
        progress: Callable[[int], Any] | None = None,
        **options: Any,
    ) -> Season:
        """Plan a season: which lots to mill, in what order, when, at what grind.

        Parameters
        ----------
        lots : pandas.DataFrame or str or Path
            One row for each lot, or a CSV file. Columns: ``lot``, ``wet_tons``,
            ``grade``, and those of the page on seasons; figures left out are the
            plan's.
        progress : callable, optional
            Called with the seconds elapsed.
        **options
            Of `pennyweight.season.season.Options`: ``grinds``, ``start``, ``closed``,
            ``reserve``, ``owner_hours``, ``storage``, ``tailings_room``,
            ``cash``, ``freeze_days``, ``keep_bonus``, ``seconds``, ``gap``,
            ``explain``.

        Returns
        -------
        season : Season
            Tables ``plan``, ``left_out``, ``hour_worth``, ``cash`` and ``cash_worth``;
            ``contribution``, $.

        Raises
        ------
        CallError, WorkbookError
            For a table that cannot be used, with line and column.

        Examples
        --------
        >>> import pennyweight as pw
        >>> import pandas as pd
        >>> lots = pd.DataFrame({"lot": ["A"], "wet_tons": [26], "grade": [0.42]})
        >>> season = pw.example().season(lots, start="2026-04-01")
        >>> list(season.plan["lot"]), round(season.contribution, 2)
        (['A'], 4098.58)
        """
        from .season.season import Options, plan_season

        known = [field.name for field in dataclasses.fields(Options)]
        for name in options.keys() - known:
            raise CallError(
                f"A season has no option {name}.{nearest(name, known)} The options are "
                f"{', '.join(known)}."
            )
        self._refuse_hired_mill("a season of customers' lots")
        return plan_season(
            *(self.inputs, self.units, _table(lots), Options(**options), progress),
            self.given,
        )

    def season_cases(
        self,
        lots: pd.DataFrame | str | Path,
        cases: Mapping[str, Mapping[str, Any]] | str | Path,
        **options: Any,
    ) -> pd.DataFrame:
        """Compare cases of a season, such as a second shift or a bigger mill.

        Parameters
        ----------
        lots : pandas.DataFrame or str or Path
        cases : mapping of str to mapping, or str or Path
            As for `cases`.
        **options
            As for `season`.

        Returns
        -------
        frame : pandas.DataFrame
            For each case, ``base case`` first: ``contribution``, the ``difference``
            from the base case, $, the number of ``lots`` milled, and ``hours_used``,
            share of the mill hours. Before the cost of the change itself.

        Examples
        --------
        >>> import pennyweight as pw
        >>> import pandas as pd
        >>> lots = pd.DataFrame({"lot": ["A"], "wet_tons": [26], "grade": [0.42]})
        >>> cases = {"second shift": {"hours_per_day": 20, "shifts": 2}}
        >>> list(pw.example().season_cases(lots, cases, start="2026-04-01").index)
        ['base case', 'second shift']
        """
        import pandas as pd

        from .risk.cases import BASE_CASE

        table, rows = _table(lots), {}
        for case, changes in {BASE_CASE: {}, **self._named(cases)}.items():
            found = self.change(changes).season(table, **{**options, "explain": False})
            rows[case] = {
                "contribution": found.contribution,
                "lots": len(found.plan),
                "hours_used": found.hours_used,
            }
        frame = pd.DataFrame.from_dict(rows, orient="index")
        base = frame["contribution"].loc[BASE_CASE]
        frame.insert(1, "difference", frame["contribution"] - base)
        sums = ("contribution", "difference")
        frame.attrs["units"] = dict.fromkeys(sums, self.money_sign)
        return frame

    def write_season(
        self, season: Season, path: str | Path, force: bool = False
    ) -> Path:
        """Write a season's plan as a workbook: lots, plan, calendar, mill hours.

        Parameters
        ----------
        season : Season
        path : str or Path
            Ends in ``.xlsx``.
        force : bool
            Whether a file that is there already may be replaced.

        Returns
        -------
        path : Path
        """
        from .documents.season_book import season_book

        content = season_book(season, self.inputs["prepared_by"])
        return self._written(path, content, force)

    def write_learned(
        self, learned: Learned, path: str | Path, force: bool = False
    ) -> Path:
        """Write the comparison of actuals with the plan, and the learned figures.

        Parameters
        ----------
        learned : Learned
        path : str or Path
            Ends in ``.xlsx``.
        force : bool
            Whether a file that is there already may be replaced.

        Returns
        -------
        path : Path
        """
        from .documents.actuals_book import actuals_book

        content = actuals_book(learned, self.inputs["prepared_by"])
        return self._written(path, content, force)

    def learn(self, actuals: pd.DataFrame | str | Path) -> Learned:
        """Compare actuals with the plan, and learn the plan's figures from them.

        Parameters
        ----------
        actuals : pandas.DataFrame or str or Path
            One row for each month or lot, or a CSV file. Columns: ``period``, ``tons``,
            ``hours``, ``gold``, and those of the page on learning. A CSV file may also
            be the table of lots of a ledger.

        Returns
        -------
        learned : Learned
            Tables ``variances``, ``figures`` and ``forecast``; ``inputs()`` gives what
            `change` takes.

        Raises
        ------
        CallError, WorkbookError
            For a table that cannot be used, with line and column; for a plan of a
            contract or a lot, whose gold is the customer's.

        Examples
        --------
        >>> import pennyweight as pw
        >>> import pandas as pd
        >>> month = {"period": "2026-05", "tons": 270, "hours": 158, "gold": 48.0}
        >>> learned = pw.example().learn(pd.DataFrame([month]))
        >>> list(learned.entries)
        ['measured_pace']
        """
        import pandas as pd

        from .documents.season_tables import read_actuals
        from .season.learn import learn

        self._refuse_unless_for(CLAIM, "learning from what was milled")
        if not isinstance(actuals, pd.DataFrame):
            actuals = read_actuals(Path(actuals), self.inputs, self.units)
        return learn(self.inputs, self.units, actuals, self.ranges)

    def enter_learned(
        self,
        learned: Learned,
        names: Sequence[str] | None = None,
        path: str | Path | None = None,
        force: bool = False,
    ) -> Path:
        """Enter learned figures in the workbook of this plan, marked as measured.

        Value, low, high, basis and status of each input; nothing else changes.

        Parameters
        ----------
        learned : Learned
        names : sequence of str, optional
            Inputs by name or by label; all that were learned when left out.
        path : str or Path, optional
            A copy to write instead; the workbook then stays as it is.
        force : bool
            Whether a copy that is there already may be replaced.

        Returns
        -------
        path : Path

        Raises
        ------
        CallError
            For an input that was not learned.
        WorkbookError
            If the workbook is open elsewhere, or its formulas were altered.
        """
        from .workbook.enter import enter_inputs

        self._refuse_without_workbook()
        if path:
            self.may_write(path, force)
        chosen = learned.chosen(names)
        figures = {name: learned.entries[name] for name in chosen}
        if not figures:
            raise CallError("Nothing was learned that the workbook can take.")
        more = {n: v for n, v in learned.inputs(chosen).items() if n not in figures}
        return enter_inputs(self.path, figures, more, out=path)

    def write(self, path: str | Path, force: bool = False) -> Path:
        """Write the plan as a workbook.

        Parameters
        ----------
        path : str or Path
            Ends in ``.xlsx``.
        force : bool
            Whether a file that is there already may be replaced.

        Returns
        -------
        path : Path

        Raises
        ------
        CallError
            For a plan with ``estimates`` other than the engine's, which a workbook
            cannot hold.
        """
        from .workbook.write import write_book

        self.may_write(path, force)
        return write_book(self.book(), path, force)

    def book(self) -> Book:
        """The contents of a workbook of this plan, before it is written."""
        from .workbook.book import make_book

        self._refuse_other_estimates()
        return make_book(self)

    def _refuse_other_estimates(self) -> None:
        """Refuse a workbook of this plan, which would have the engine's estimates."""
        usual = complete(self.given, self.units, "estimate")
        other = [
            INPUTS[name].label
            for name in self.estimates.keys() - self.given.keys()
            if self.inputs[name] != usual[name]
        ]
        if other:
            raise CallError(
                "A workbook has the program's estimates and cannot hold those of this "
                f"plan: {'; '.join(sorted(other))}. Enter yours as your own figures, "
                "with change, or leave them out. A workbook of another version is "
                "taken over with pennyweight new --from."
            )

    def must_haves(self) -> list[str]:
        """Inputs without which there is no verdict, and that are not given."""
        from .model.entries import is_reported, needed

        return [
            name
            for name in INPUTS
            if name not in self.given
            and is_reported(name)
            and needed(name, self.inputs)
        ]

    @property
    def stand_ins(self) -> str:
        """Which must-haves are estimates, in a sentence; empty if all are given."""
        from .model.entries import stand_in_words

        return stand_in_words(self.must_haves())

    def may_write(self, path: str | Path, force: bool = False) -> None:
        """Raise for an output that must not be written, before any work.

        Parameters
        ----------
        path : str or Path
        force : bool
            Whether a file that is there already may be replaced; never the workbook
            of this plan.
        """
        refuse_unless_free(self._output(path), force)

    @property
    def subject(self) -> str:
        """The name of the claim, the customer or the lot; without a name, its kind."""
        return subject(self.inputs)

    def choices(self, name: str) -> tuple[str, ...]:
        """The choices of an input; empty if it is not a choice."""
        return INPUTS[input_called(name)].choices

    def label(self, name: str) -> str:
        """Label of an input or a result, in the words of the unit system."""
        return worded(_entry(name).label, self.units)

    def unit(self, name: str) -> str:
        """Unit of an input or a result; empty for a plain number."""
        entry = _entry(name)
        unit = unit_text(entry.unit, getattr(entry, "kind", ""), self.units)
        return self._in_currency(unit)

    @property
    def money_sign(self) -> str:
        """Sign of money: $ for US dollars, else the currency entered."""
        return symbol(self.inputs["currency"])

    def _priced(self, frame: pd.DataFrame) -> pd.DataFrame:
        """A table with the units of its columns in the currency entered."""
        units = frame.attrs["units"].items()
        frame.attrs["units"] = {name: self._in_currency(unit) for name, unit in units}
        return frame

    def _in_currency(self, text: str) -> str:
        return in_currency(text, self.inputs["currency"])

    def money(self, amount: float) -> str:
        """A sum to be paid, in whole cents as on statements."""
        from .trade.settlement import round_to_cents

        return self._in_currency(money(float(round_to_cents(amount)), 2))

    def text(self, name: str, value: float | str | None, digits: int = 6) -> str:
        """A value of an input or a result, with its unit.

        Parameters
        ----------
        name : str
        value : float or str or None
        digits : int
            Significant digits, for an input.

        Examples
        --------
        >>> import pennyweight as pw
        >>> plan = pw.example()
        >>> plan.text("gold_price", 3440.0), plan.text("net_present_value", -156208.4)
        ('$3,440/oz', '-$156,208')
        """
        line = _entry(name)
        if value is None:
            return NO_ANSWER
        if line.name in INPUTS:
            words = input_text(value, line.unit, line.kind, self.units, digits)
            return self._in_currency(words) if line.numeric else words
        words = result_text(value, line.unit, self.units)
        words = self._in_currency(words) if line.unit.startswith("$") else words
        return f"month {value:.0f}" if line.dated and words != NO_ANSWER else words

    def _output(self, path: str | Path) -> Path:
        """Path of an output; raises if it is a file that the plan was read from."""
        from .workbook.files import refuse_inputs

        path = _xlsx(path)
        refuse_inputs([path], self._read_from)
        return path

    def _written(self, path: str | Path, content: bytes, force: bool) -> Path:
        """Write an output, and return its path."""
        from .workbook.files import write_whole

        return write_whole(self._output(path), content, force)

    @property
    def _read_from(self) -> list[Path]:
        """The files that this plan was read from."""
        own = [self.path] if self.path else []
        return [*own, *self._tables]

    def __repr__(self) -> str:
        name = self.inputs["claim_name"] or "unnamed"
        own = len(self.given)
        return f"<Plan {name!r}, {self.units}, {own} of {len(INPUTS)} inputs given>"

    def _repr_html_(self) -> str:
        import pandas as pd

        results = self.results
        names = ("job_verdict", *HEADLINES[self.inputs["job"]])
        rows = {self.label(name): self.text(name, results[name]) for name in names}
        return pd.Series(rows).to_frame().to_html(header=False)


Cases = dict[str, dict[str, Any]]
"""Inputs that differ, notes and results, by the name of each case."""


def _refuse_of_claim(options: Mapping[str, Any]) -> None:
    """Refuse options that only the risk analysis of a claim uses."""
    given = [name for name, value in options.items() if value is not None]
    if given:
        raise CallError(
            f"{', '.join(given)}: the risk analysis of a contract does not use this. "
            "Leave it out."
        )


def _pairs(given: Mapping[Any, Any]) -> dict[tuple[str, str], float]:
    """Correlation coefficients by pairs of inputs."""
    found = {}
    for pair, share in given.items():
        if not isinstance(pair, tuple) or len(pair) != 2:
            raise CallError(
                f"correlations: give a pair of inputs, such as ('wage', 'fuel_price'), "
                f"not {pair!r}."
            )
        arguments.number(share, f"correlation of {' and '.join(map(str, pair))}")
        found[input_called(pair[0]), input_called(pair[1])] = share
    return found


def _entry(words: str) -> Any:
    """The input or the line that has a name or label."""
    name = name_of(words)
    return INPUTS.get(name) or MODEL.lines[name]


def _table(table: pd.DataFrame | str | Path) -> pd.DataFrame:
    """A table as given, or read from a CSV file."""
    import pandas as pd

    from .documents.season_tables import read_table

    if isinstance(table, pd.DataFrame):
        return table
    return read_table(Path(table))


def _xlsx(path: str | Path) -> Path:
    from .workbook.files import refuse_other_ending

    path = Path(path)
    refuse_other_ending(path)
    return path


def refuse_unless_free(path: str | Path, force: bool) -> None:
    """Raise if a path is not a workbook's, or a file that may not be replaced."""
    from .workbook.files import refuse_existing

    refuse_existing(_xlsx(path), force)
