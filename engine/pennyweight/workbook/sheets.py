"""The registry of sheets: what each is for, and how it looks on screen and on paper."""

from dataclasses import dataclass, field


@dataclass(frozen=True)
class Sheet:
    """One sheet of the workbook.

    Attributes
    ----------
    name, purpose : str
    lines : bool
        Whether it holds lines of the model under the usual heads.
    title : str
        On top of the sheet; the name when empty.
    tab : str
        Colour of its tab.
    widths : dict
        Columns that are not as wide as on other sheets, so that a page holds the sheet.
    printed_from, printed_to : str
        First and last printed section; the rest is for reading on the screen.
    printed_across : str
        Last printed line of a table that runs down; the rest are its workings.
    frozen : bool
        Whether its labels stay while it is scrolled sideways.
    shows : str
        On a sheet without lines: the line without which there is nothing to show.
    """

    name: str
    purpose: str
    lines: bool = True
    title: str = ""
    tab: str = ""
    widths: dict = field(default_factory=dict)
    printed_from: str = ""
    printed_to: str = ""
    printed_across: str = ""
    frozen: bool = False
    shows: str = ""


REGISTRY = {
    sheet.name: sheet
    for sheet in (
        Sheet(
            "Start",
            "Enter these figures in the yellow cells, and read the answer beside them.",
            lines=False,
            tab="#E2B84B",
        ),
        Sheet(
            "Answer",
            "Does it pay, why, and what would change that: one page for a partner.",
            lines=False,
            shows="net_present_value",
            tab="#B07D1A",
        ),
        Sheet(
            "Inputs",
            "Every figure that you may change, once. Yellow cells; an empty one takes "
            "the estimate beside it.",
            lines=False,
            tab="#E2B84B",
            frozen=True,
        ),
        Sheet("Results", "Every result of the plan.", widths={"value": 25}),
        Sheet(
            "Samples",
            "The grade from a few assays, and how far to trust it. Fill the yellow "
            "table; a row without a weight does not count.",
            widths={"label": 40, "period": 10},
            printed_to="Sample assays",
            printed_across="sample_share",
        ),
        Sheet(
            "Test lot",
            "What a test lot carried: products, screens, button, tailings.",
            printed_from="Test lot weights",
        ),
        Sheet(
            "Plant",
            "Capacity and power of each unit, and the bottleneck of the plant.",
            widths={"unit": 13},
        ),
        Sheet(
            "Flow sheet",
            "The plant at work on one day: rock, grade and gold from box to box.",
            lines=False,
            shows="feed_grade",
        ),
        Sheet(
            "Mills",
            "The same plan with other mills, and at other grinds.",
            widths={"label": 41, "value": 11, "unit": 9, "note": 26, "period": 8.8},
        ),
        Sheet(
            "Cost per ton",
            "Operating cost per ton, by component.",
            widths={"label": 36, "value": 13, "period": 20},
            printed_from="Operating cost per ton, full year",
        ),
        Sheet(
            "Return per ton",
            "Revenue per ton, operating margin per ton, and break-even.",
            widths={"label": 44, "value": 13, "note": 50, "period": 8},
            printed_to="Break-even",
        ),
        Sheet(
            "Contract",
            "Kinds of milling contract side by side: what each leaves to the mill and "
            "to the owner of the ore.",
            widths={"label": 33, "value": 12, "unit": 9, "note": 38, "period": 9.6},
            printed_to="Settlement: payment",
        ),
        Sheet("Capital", "Capital to be spent before the first ounce."),
        Sheet(
            "Cash flow",
            "Month by month. Money in is positive, money out negative, unless the line "
            "says paid or spent. Printed from the operating margin on; the sheet Years "
            "prints revenue and cost.",
            frozen=True,
            widths={"label": 38, "period": 9.2},
            printed_from="Operating margin",
            printed_to="Loan and owner's cash flow",
        ),
        Sheet(
            "Partners",
            "What each partner puts in and gets; empty without partners.",
            widths={"label": 39, "value": 13, "unit": 9, "note": 37, "period": 10},
            printed_to="Totals",
        ),
        Sheet(
            "Years",
            "The cash flow by year; below it tax and rates of return, step by step.",
            frozen=True,
            printed_to="Annual summary",
        ),
        Sheet(
            "Risk",
            "Probability that the claim pays, sensitivity, and value of information. "
            "Entered by pennyweight risk.",
            lines=False,
            title="Risk analysis",
            shows="net_present_value",
        ),
        Sheet(
            "Checks",
            "What must balance, what the plant must not exceed, and whose figures the "
            "answer uses.",
            tab="#2E7D4F",
            widths={"label": 50, "value": 11, "unit": 9, "period": 16},
            printed_to="Measurements and balances of gold",
        ),
        Sheet(
            "Sources",
            "Where each equation comes from, and where it holds.",
            lines=False,
        ),
        Sheet(
            "About",
            "What this workbook is for, what it covers, what it is not, and cautions.",
            lines=False,
            title="Economics of a small gold mill",
        ),
    )
}
"""Every sheet by name, in the order of the tabs."""


def title_of(sheet):
    """The title that a sheet of ours bears."""
    return REGISTRY[sheet].title or sheet
