"""What a workbook for another job takes over from a milled test lot."""

from .jobs import CLAIM, CONTRACT, EVERYTHING, LOT

DIGITS = 4
"""Significant digits of figures that are worked out from the lot."""
CHOSEN = {"grade_source": "test lot", "recovery_source": "test lot"}


def figures_of_test_lot(values, given, job):
    """Inputs of a job that a test lot measured.

    Parameters
    ----------
    values : mapping
        Of the plan, as given by `run`.
    given : collection of str
        Inputs for which there is the user's figure; they stay as they are.
    job : {"everything", "claim", "contract", "lot", "test", "mill"}

    Returns
    -------
    figures : dict of str to float or str
        Empty if the tailings have no assay, or no gold was caught: then the lot tells
        no grade or no recovery.
    """
    if not min(values[f"lot_{n}"].item() for n in ("tailings_gold", "caught")) > 0:
        return {}
    found = {
        CLAIM: CHOSEN,
        EVERYTHING: CHOSEN,
        CONTRACT: _customers_ore(values),
        LOT: _settled(values),
    }.get(job, {})
    if "measured_p80" in given and job != LOT:
        found = {**found, "product_p80": values["measured_p80"].item()}
    return {
        name: value if isinstance(value, str) else float(f"{value:.{DIGITS}g}")
        for name, value in found.items()
        if name not in given
    }


def _customers_ore(values):
    """The rest of the same ore, for a quote."""
    return {
        "custom_grade": values["lot_head"].item(),
        "custom_recovery": values["lot_recovery"].item(),
        "custom_moisture": values["lot_moisture"].item(),
    }


def _settled(values):
    """The test lot itself, for its statement."""
    found = {
        "settle_wet_tons": values["lot_wet_mass"] / values["mass_per_ton"],
        "settle_moisture": values["lot_moisture"],
        "settle_melt_mass": values["lot_button_mass"],
        "settle_fineness": values["lot_button_fineness"],
        "settle_tails_grade": values["lot_tailings_grade"],
        "settle_middlings": values["lot_middlings_gold"] / values["grams_per_ounce"],
        "settle_slag": values["lot_slag_gold"] / values["grams_per_ounce"],
        "settle_cleanup": values["lot_hold_up"] / values["grams_per_ounce"],
    }
    if values["lot_assay_head"] > 0:
        found["settle_mill_assay"] = values["lot_assay_head"]
    return {name: value.item() for name, value in found.items()}
