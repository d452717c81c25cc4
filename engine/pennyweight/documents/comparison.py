"""Result of a comparison: the changes, and the effect of each on the results."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from ..model import jobs
from ..model.currency import in_currency
from ..model.mill_model import MODEL
from ..model.shapley import ShapleyValues
from ..model.units import Units, shown, worded

if TYPE_CHECKING:
    from ..workbook.inspection.findings import Finding, Inspection

HEADLINES = (
    "net_present_value",
    "margin_per_ton",
    "net_return_per_ton",
    "cost_per_ton",
    "break_even_grade",
    "break_even_gold_price",
    "internal_rate",
    "payback_month",
    "peak_funding",
    "life_cash",
)
"""Results of a claim for which the effect of each change is shown."""

VERDICT = "job_verdict"
EMPTY = (
    "Empty: nobody entered a figure, so the estimate in brackets was used. Its effect "
    "comes from the estimate: nothing changed at the mine or mill."
)
"""Note on the effect of an empty cell."""


def headlines_of(job):
    """Results of a job for which the effect of each change is shown."""
    return HEADLINES if job in (jobs.EVERYTHING, jobs.CLAIM) else jobs.HEADLINES[job]


@dataclass(frozen=True)
class Change:
    """An input that differs: both values in the units of the first workbook.

    Attributes
    ----------
    name, label, unit : str
    before, after : float or str
    place : str
        Its cell in the second workbook.
    status_before, status : str
    estimated_before, estimated : bool
        Whether an estimate is used because no figure was entered.
    """

    name: str
    label: str
    before: Any
    after: Any
    unit: str
    place: str = ""
    status_before: str = ""
    status: str = ""
    estimated_before: bool = False
    estimated: bool = False

    @property
    def ends(self) -> tuple[tuple[Any, bool], tuple[Any, bool]]:
        """Each value, and whether it is an estimate for an empty cell."""
        return (self.before, self.estimated_before), (self.after, self.estimated)


@dataclass(frozen=True)
class Remark:
    """A status, a basis or an own range of an input that differs."""

    name: str
    label: str
    what: str
    before: str
    after: str


@dataclass(kw_only=True)
class Comparison:
    """How a second workbook differs from a first.

    Attributes
    ----------
    changes : list of Change
    verdicts : tuple of str
    before, after : dict of str to float or None
        The headline results, in the units of the first workbook.
    shares : ShapleyValues or None
        None if nothing changed, or if the changes have no effects of their own;
        ``no_shares`` then says why.
    inspection : Inspection
        Of the second workbook; None for plans without a workbook.
    notes : list of str
        Unit system, version.
    remarks : list of Remark
    added, gone : list of Finding
        Findings in the second workbook only, and in the first only.
    shown : dict of str to float
        Headline results of the second workbook that differ from the engine's.
    files : tuple of str
        Names of the two files; empty for plans without a workbook.
    job : {"everything", "claim", "contract", "lot", "test"}
        Of the first plan: its results are compared.
    currency : str
        Of both plans.
    """

    changes: list[Change]
    verdicts: tuple[str, str]
    before: dict[str, float | None]
    after: dict[str, float | None]
    units: Units
    shares: ShapleyValues | None
    no_shares: str
    inspection: Inspection | None = None
    notes: list[str] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)
    added: list[Finding] = field(default_factory=list)
    gone: list[Finding] = field(default_factory=list)
    shown: dict[str, float] = field(default_factory=dict)
    files: tuple[str, str] = ("", "")
    job: str = jobs.EVERYTHING
    currency: str = ""

    def __repr__(self) -> str:
        return f"<Comparison: {len(self.changes)} inputs changed>"

    @property
    def headlines(self) -> tuple[str, ...]:
        """Results for which the effect of each change is shown."""
        return headlines_of(self.job)

    @property
    def money(self) -> dict[str, str]:
        """Two results with their short names, the main one first."""
        return jobs.MAIN_RESULTS[self.job]

    def label(self, result: str) -> str:
        """A result's label, in the words of the unit system."""
        return worded(MODEL.lines[result].label, self.units)

    def unit(self, result: str) -> str:
        """A result's unit, in the plans' unit system and currency."""
        return in_currency(shown(MODEL.lines[result].unit, self.units), self.currency)

    def effect(self, name: str, result: str) -> tuple[float | None, float | None]:
        """Effect of one change on one result: alone, and its Shapley value.

        Parameters
        ----------
        name : str
            Of a changed input.
        result : str
            One of `headlines`, or ``verdict``: how often the change turns it into
            the verdict after, over all orders of the changes.

        Returns
        -------
        alone, share : float or None
            None if there is no answer, or if the input changed only together with
            another one, which has the figures of both.
        """
        if self.shares is None or name not in self.shares.names:
            return None, None
        place = (self.shares.names.index(name), self.shares.results.index(result))
        alone, fair = self.shares.alone[place], self.shares.shapley[place]
        return tuple(float(v) if np.isfinite(v) else None for v in (alone, fair))

    def turns(self, name: str) -> bool:
        """Whether a change alone turns the verdict."""
        if self.verdicts[0] == self.verdicts[1]:
            return False
        return bool(self.effect(name, VERDICT)[0])

    def with_others(self, name: str) -> tuple[str, ...]:
        """Inputs that could only change together with this one."""
        return self.shares.together.get(name, ()) if self.shares else ()

    def standard_error(self, name: str, result: str) -> float:
        """Standard error of an estimated share; 0 for an exact one."""
        place = (self.shares.names.index(name), self.shares.results.index(result))
        return float(self.shares.errors[place])

    @property
    def on_empty(self) -> str:
        """Note on the effect of an empty cell; empty if no cell is."""
        estimated = any(own for change in self.changes for _, own in change.ends)
        return EMPTY if estimated else ""

    @property
    def basis(self) -> str:
        """How the shares were calculated, in words."""
        if self.shares is None:
            return self.no_shares
        if self.shares.exact:
            return f"from all {2 ** len(self.shares.names):,} combinations of changes"
        return (
            "estimated from randomly drawn orders of the changes, with standard errors"
        )

    def write(self, path: str | Path, force: bool = False) -> Path:
        """Write the comparison as a workbook.

        Parameters
        ----------
        path : str or Path
        force : bool
            Whether a file that is there already may be replaced.

        Returns
        -------
        path : Path
        """
        from .comparison_book import write_comparison

        return write_comparison(self, path, force)

    def rows(self) -> list[list[Any]]:
        """The comparison as rows for a sheet: the changes, then the results.

        Returns
        -------
        rows : list of list
        """
        main = next(iter(self.money))
        worth = self.label(main)
        effects = (f"{worth}: effect alone", f"{worth}: share")
        heads = ["Changed input", "Cell", "Before", "After", *effects]
        found = [["Verdict", "", *self.verdicts], [], heads]
        for change in self.changes:
            ends = (f"empty ({v})" if own else v for v, own in change.ends)
            values = (change.label, change.place, *ends)
            found.append([*values, *self.effect(change.name, main)])
        found += [[self.on_empty]] if self.on_empty else []
        found += [[], ["Result", "Unit", "Before", "After"]]
        for name in self.headlines:
            ends = self.before[name], self.after[name]
            found.append([self.label(name), self.unit(name), *ends])
        remarks = [[r.label, r.what, r.before, r.after] for r in self.remarks]
        return found + ([[], *remarks] if remarks else [])

    def to_dict(self) -> dict[str, Any]:
        """Give the comparison as plain values for programs."""
        return {
            "files": list(self.files),
            "verdict": {"before": self.verdicts[0], "after": self.verdicts[1]},
            "results": {
                name: {
                    "before": self.before[name],
                    "after": self.after[name],
                    "shown": self.shown.get(name),
                    "unit": self.unit(name),
                }
                for name in self.headlines
            },
            "changes": [self._change(change) for change in self.changes],
            "on_empty": self.on_empty,
            "shares": self._kind(),
            "no_shares": self.no_shares,
            "without_answer": self._without_answer(),
            "remarks": [vars(remark) for remark in self.remarks],
            "inspection": self.inspection and self.inspection.to_dict(),
            "found_in_theirs_only": [vars(finding) for finding in self.added],
            "found_in_mine_only": [vars(finding) for finding in self.gone],
            "notes": self.notes,
            "units": self.units,
        }

    def _kind(self):
        if self.shares is None:
            return "none"
        return "exact" if self.shares.exact else "sampled"

    def _change(self, change):
        effects = {}
        for result in (*self.headlines, VERDICT):
            alone, share = self.effect(change.name, result)
            effects[result] = {"alone": alone, "share": share}
            if self.shares and not self.shares.exact and share is not None:
                error = self.standard_error(change.name, result)
                effects[result]["standard_error"] = error
        together = list(self.with_others(change.name))
        return {**vars(change), "together_with": together, "effects": effects}

    def _without_answer(self):
        """For each result, the part of all combinations without an answer."""
        if self.shares is None:
            return {}
        pairs = zip(self.shares.results, self.shares.missing, strict=True)
        return {name: float(part) for name, part in pairs if part}
