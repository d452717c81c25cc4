"""The registry of sheets: what each is for, and how it looks on screen and on paper."""

from dataclasses import dataclass


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
    pages : int
        Printed pages; 0 for as many as it needs.
    scale : int
        Per cent at which it prints; 0 for the width of a page.
    page_starts : tuple of str
        Sections that begin a printed page, so that no table is torn.
    printed_to : str
        Last printed section; what follows is for reading on the screen.
    portrait : bool
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
    pages: int = 0
    scale: int = 0
    page_starts: tuple = ()
    printed_to: str = ""
    portrait: bool = False
    frozen: bool = False
    shows: str = ""


REGISTRY = {
    sheet.name: sheet
    for sheet in (
        Sheet(
            "Start",
            "Enter the figures that there is no answer without, in the yellow cells, "
            "and read the answer beside them.",
            lines=False,
            tab="#E2B84B",
            pages=1,
            portrait=True,
        ),
        Sheet(
            "Answer",
            "Does it pay, why, and what would change that: one page for a partner.",
            lines=False,
            shows="net_present_value",
            tab="#B07D1A",
            pages=1,
            portrait=True,
        ),
        Sheet(
            "Inputs",
            "Every figure that you may change, once. Yellow cells; an empty one takes "
            "the estimate beside it.",
            lines=False,
            tab="#E2B84B",
            portrait=True,
            frozen=True,
        ),
        Sheet(
            "Results", "Every result of the plan.", page_starts=("Cost of an ounce",)
        ),
        Sheet(
            "Samples",
            "The grade from a few assays, and how far to trust it. Fill the yellow "
            "table; a row without a weight does not count.",
            printed_to="Sample assays",
            pages=1,
            portrait=True,
        ),
        Sheet(
            "Test lot",
            "What a test lot carried: products, screens, button, tailings.",
            pages=1,
        ),
        Sheet(
            "Plant",
            "Capacity and power of each unit, and the bottleneck of the plant.",
            page_starts=("Grinding mill",),
            pages=2,
            portrait=True,
        ),
        Sheet(
            "Flow sheet",
            "The plant at work on one day: rock, grade and gold from box to box.",
            lines=False,
            shows="feed_rate",
            pages=1,
        ),
        Sheet(
            "Mills",
            "The same plan with other mills, and at other grinds.",
            page_starts=("Best grind",),
            scale=40,
        ),
        Sheet("Cost per ton", "Operating cost per ton, by component.", pages=1),
        Sheet(
            "Return per ton",
            "Revenue per ton, operating margin per ton, and break-even.",
            pages=1,
            portrait=True,
        ),
        Sheet(
            "Contract",
            "Kinds of milling contract side by side: what each leaves to the mill and "
            "to the owner of the ore.",
            page_starts=(
                "Metal in the lot",  # beside it stands a chart
                "Contract types: terms",
                "Owner's break-even and required charges",
                "Mill's margin per ton at other grades, $",
                "Mill's margin per ton at other gold prices, $",
                "Settlement: weights and assays",
            ),
        ),
        Sheet("Capital", "Capital to be spent before the first ounce.", pages=1),
        Sheet(
            "Cash flow",
            "Month by month. Money in is positive, money out negative, unless the line "
            "says paid or spent.",
        ),
        Sheet(
            "Partners",
            "What each partner puts in and gets; empty without partners.",
            pages=1,
            printed_to="Totals",
        ),
        Sheet("Years", "The cash flow by year.", pages=1, frozen=True),
        Sheet(
            "Rate of return",
            "The internal rate of return, step by step.",
            pages=1,
            printed_to="IRR, before tax",
        ),
        Sheet(
            "Risk",
            "Probability that the claim pays, sensitivity, and value of information. "
            "Entered by pennyweight risk.",
            lines=False,
            title="Risk analysis",
            shows="net_present_value",
            scale=55,
        ),
        Sheet(
            "Checks",
            "What must balance, what the plant must not exceed, and whose figures the "
            "answer uses.",
            tab="#2E7D4F",
            pages=1,
            printed_to="Measurements and balances of gold",
        ),
        Sheet(
            "Sources",
            "Where each equation comes from, and where it holds.",
            lines=False,
            pages=2,
        ),
        Sheet(
            "About",
            "What this workbook is for, what it covers, what it is not, and cautions.",
            lines=False,
            title="Economics of a small gold mill",
            pages=1,
        ),
    )
}
"""Every sheet by name, in the order of the tabs."""
