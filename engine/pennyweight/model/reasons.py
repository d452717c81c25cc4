"""Reasons for a verdict, in sentences."""

import numpy as np

from ..formulas.functions import EPOCH
from ..trade import sieves
from .checks import checks
from .entries import BILL_STAYS, charge_words
from .figures import growth_words, input_text, money, result_text
from .inputs import INPUTS, families
from .jobs import CONTRACT, LOT, MILL, TEST
from .lines.plant.power import FITS, NO_BILL
from .lines.rock.test_lot import RISES
from .lines.settlement.weights import NO_UMPIRE
from .units import TON, shown, worded

P80 = 0.8
SIEVE_STEP = 2**0.5
"""From one screen of a square-root-of-two series to the next."""
MOVED = 0.01
"""Smallest relative change of a throughput that is reported."""


def reasons(values, units, own=()):
    """Explain the verdict of the job in sentences.

    Parameters
    ----------
    values : mapping
        From `run`, for one set of inputs.
    units : {"us", "metric"}
    own : mapping, optional
        The user's own figures; the others are estimates.
    """
    writers = {CONTRACT: _contract_reasons, LOT: _lot_reasons}
    of_estimates = {TEST: _test_reasons, MILL: _mill_reasons}
    job = str(values["job"])
    if job in of_estimates:
        sentences = of_estimates[job](values, units, own)
    else:
        sentences = writers.get(job, _claim_reasons)(values, units)
    if job in (CONTRACT, LOT) and own:
        plain = {name: values[name].item() for name in INPUTS}
        sentences += filter(None, [str(charge_words(plain.get, units)).strip()])
    if job not in (LOT, TEST, MILL):
        sentences += [*_timed_run(values, units, own), *_bill(values)]
    failures = checks(values)["failures"]
    sentences += _rising_screens(values, units)
    failed = (f"Failed check: {worded(name, units)}." for name in failures)
    return [*sentences, *failed]


def _rising_screens(values, units):
    """Sentences on screens in use that are not finer than the one before."""
    if not values["screens_rising_in_use"].item():
        return []
    names, size = families()["screen_opening"], shown("um", units)
    sizes = values["screen_opening"]
    return [
        f"{INPUTS[names[at + 1]].label}, {sizes[at + 1]:,g} {size}, is not finer than "
        f"the screen before, {sizes[at]:,g} {size}. Enter the screens from coarse to "
        "fine."
        for at in np.flatnonzero(values["screen_order"] == RISES)
    ]


def _contract_reasons(values, units):
    kind, ton = values["contract_kind"].item(), TON[units]
    return [
        f"Contract type {kind}: the mill's income is "
        f"{_money(values, 'agreed_income')} per lot and its margin is "
        f"{_money(values, 'agreed_margin')}; the owner's net is "
        f"{_money(values, 'agreed_owner_net')}.",
        f"Milling the lot costs the mill {_money(values, 'milling_cost_per_ton')} per "
        f"{ton} and {_money(values, 'milling_cost_per_hour')} per mill hour.",
        f"The lot takes {values['custom_hours'].item():,.1f} mill hours. The booked "
        f"lots take {values['season_load'].item():.1%} of the season's mill hours.",
        *_other_ore(values, units),
    ]


def _other_ore(values, units):
    """Sentence on the throughput of a customer's ore, if its work index changes it."""
    theirs, plan = (values[n].item() for n in ("custom_feed_rate", "feed_rate"))
    if values["custom_pace"].item() > 0 or abs(theirs / plan - 1) <= MOVED:
        return []
    per_hour, index = shown("ton/hour", units), shown("kWh/ton", units)
    return [
        f"The customer's ore, with a work index of "
        f"{values['custom_work_index'].item():.3g} {index}, is milled at {theirs:.3g} "
        f"{per_hour}; the plan's ore, with {values['work_index'].item():.3g} {index}, "
        f"at {plan:.3g} {per_hour}."
    ]


def _timed_run(values, units, own):
    """Sentence on the measured throughput at the plan's grind and work index."""
    timed, used = (values[n].item() for n in ("measured_pace", "measured_at_grind"))
    if values["pace_source"].item() != "measured" or abs(used / timed - 1) <= MOVED:
        return []
    per_hour, size, index = (
        shown(unit, units) for unit in ("ton/hour", "um", "kWh/ton")
    )
    guessed = INPUTS["measured_p80"].label
    known = not own or "measured_p80" in own
    more = "" if known else f" An estimate, on Inputs: {guessed}."
    return [
        f"The measured throughput of {timed:.3g} {per_hour}, timed at a P80 of "
        f"{values['measured_p80'].item():.4g} {size} and a work index of "
        f"{values['timed_work_index'].item():.3g} {index}, becomes {used:.3g} "
        f"{per_hour} at the planned P80 of {values['product_p80'].item():.4g} {size} "
        f"and work index of {values['work_index'].item():.3g} {index}.{more}"
    ]


def _bill(values):
    """Sentence on a power bill that does not fit the motors at the planned hours."""
    if str(values["bill_state"]) in (FITS, NO_BILL):
        return []
    bill, motors = (_money(values, n, 0) for n in ("energy_bill", "power_by_motors"))
    return [
        f"{INPUTS['energy_bill'].label}, {bill} per month: "
        f"{values['bill_state'].item()}. By motor ratings, loads and prices it would "
        f"be about {motors}. {BILL_STAYS}"
    ]


def _lot_reasons(values, units):
    found, fed = (values[f"settle_{name}"].item() for name in ("found", "gold_fed"))
    balance = (
        f"Gold found is {found:,.2f} oz and gold fed is {fed:,.2f} oz; a difference "
        f"up to {values['gap_band'].item():.1%} either way is tolerated."
    )
    sentences = [
        f"The owner's metal or the ore price is {_money(values, 'settle_metal')}, the "
        f"milling charge {_money(values, 'settle_charge')} and penalties are "
        f"{_money(values, 'settle_penalties')}. With all other items the balance due "
        f"to the owner is {_money(values, 'settle_net')}.",
    ]
    billed, tons = (values[f"settle_{name}"].item() for name in ("billed", "tons"))
    if values["agreed_per_ton"].item() > 0 and billed > tons:
        ton = TON[units]
        sentences.append(
            f"The tonnage charge is on the {INPUTS['least_lot_tons'].label.lower()} of "
            f"{billed:,.3f} {ton}s; the lot weighs {tons:,.3f} {ton}s."
        )
    if values["agreed_purchase"].item() != "yes":
        sentences.insert(0, balance)
    if values["settle_how"].item() == NO_UMPIRE:
        sentences.insert(
            0, "An umpire must assay. Until then the figures use the mill's assay."
        )
    return sentences


def assay_scatter(values, own):
    """The scatter of each assay of a test lot in words; empty if it is zero.

    Parameters
    ----------
    values : mapping
        From `run`.
    own : collection of str
        Inputs for which there is the user's figure; empty counts as all.
    """
    share = values["lot_assay_deviation"].item()
    if share == 0:
        return ""
    words = f"{share * 100:.3g}%"
    entered = "lot_assay_deviation" in (own or INPUTS)
    return words if entered else f"assumed {words}: not measured"


def p80_of_tailings(values):
    """P80 of a test lot's tailings, um; None if no two screens enclose it."""
    shares = values["screen_tails_share"]
    rows = np.flatnonzero(shares > 0)
    passing = [np.sum(shares[at:]) / np.sum(shares) for at in rows]
    sizes = values["screen_opening"][rows]
    if values["lot_screens_rising"].item() or not any(p < P80 for p in passing):
        return None
    return sieves.p80_from_screens(sizes, np.minimum(passing, 1.0))


def grind_doubt(values, units, own):
    """Sentence on a measured grind that the screens of the tailings contradict."""
    screened, measured = p80_of_tailings(values), values["measured_p80"].item()
    known = "measured_p80" in (own or INPUTS) and screened is not None
    if not known or 1 / SIEVE_STEP <= screened / measured <= SIEVE_STEP:
        return []
    size = shown("um", units)
    return [
        f"The measured grind, P80 {measured:,.4g} {size}, and the screens of the "
        f"tailings, P80 {screened:,.3g} {size}, contradict each other: screen again."
    ]


def head_words(values):
    """How far the head assay is from the calculated head, and whether it may be."""
    head, margin, assay, factor = (
        values[f"lot_{name}"].item()
        for name in ("head", "heads_margin", "assay_head", "assay_factor")
    )
    away = f"{abs(factor - 1):.0%} {'below' if factor < 1 else 'above'} this head"
    if np.isnan(margin):
        return away
    beyond = "more" if abs(assay - head) > margin else "no more"
    return f"{away}: {beyond} than assays scatter"


def _test_reasons(values, units, own):
    """Calculated head, distribution of the gold, and comparison with the head assay."""
    if values["lot_tailings_gold"].item() <= 0:
        return ["Without an assay of the tailings, neither head nor recovery is known."]
    head, margin, assayed, tails = (
        result_text(values[f"lot_{name}"].item(), "grade", units)
        for name in ("head", "head_margin", "assay_head", "tailings_grade")
    )
    gold, caught, middlings = (
        values[f"lot_{name}"].item() for name in ("gold", "recovery", "middlings_gold")
    )
    left = middlings / gold if gold else 0.0
    scatter = assay_scatter(values, own)
    known = (
        f" By the scatter of the assays alone ({scatter}) this lot is known to plus or "
        f"minus {margin}, at {values['sample_confidence'].item():.0%} confidence; "
        "other rock of the claim may carry far more or less."
    )
    sentences = [
        f"The rock carried {head}, by all the gold found (the calculated head)."
        + known * bool(scatter),
        f"The tables caught {caught:.1%} of it. The middlings have {left:.1%}, the "
        f"tailings {max(1 - caught - left, 0):.1%}, at {tails}.",
    ]
    if np.isnan(values["lot_assay_factor"].item()):
        sentences.append("Without a head assay, nothing else confirms this head.")
    else:
        sentences.append(f"The head assay, {assayed}, is {head_words(values)}.")
    return [*sentences, *grind_doubt(values, units, own)]


def _mill_reasons(values, units, own):
    """What each mill grinds and is to grind, its motor, and a ball mill's speed."""
    ground, required = (
        result_text(values[name].item(), "ton/hour", units)
        for name in ("mill_capacity", "required_rate")
    )
    daily = result_text(values["required_daily"].item(), "ton/day", units)
    times = ("running_hours_per_day", "availability", "hours_per_day")
    hours, share, staffed = (values[name].item() for name in times)
    known = not own or "availability" in own
    guess = "" if known else f", an estimate, on Inputs: {INPUTS['availability'].label}"
    rated, load = (values[f"mill_motor{name}"].item() for name in ("", "_load"))
    reserve = values["mill_reserve"].item()
    most = 1 / (1 + reserve)
    sentences = [
        f"The mill grinds {ground} while it runs; it must grind {required}, to reach "
        f"{daily} with {reserve:.0%} in reserve, in {hours:.3g} running hours a day: "
        f"{share:.0%} of {staffed:.3g} staffed hours{guess}.",
        f"Its motor of {rated:,.3g} {shown('power', units)} is loaded to {load:.0%}; "
        f"with the reserve, at most {most:.0%} is allowed.",
    ]
    if values["mill_kind"].item() == "ball mill":
        share, charge = values["speed_share"].item(), values["ball_charge_hours"].item()
        sentences.append(
            f"It turns at {share:.0%} of its critical speed. Its balls wear away in "
            f"{charge:,.0f} running hours, if none are added."
        )
    return sentences


def _claim_reasons(values, units):
    ton = TON[units]
    rate = values["discount_rate"].item() * 100
    month = values["peak_funding_month"].item()
    return [
        f"Revenue after royalty is {_money(values, 'net_return_per_ton')} per {ton} "
        f"and operating cost is {_money(values, 'cost_per_ton')} per {ton}: the "
        f"operating margin is {_money(values, 'margin_per_ton')} per {ton} in a full "
        f"year of work at a gold price of {_money(values, 'gold_price')}/oz, and "
        f"{_money(values, 'life_margin', 0)} over the whole plan.",
        f"Net present value after tax{_before_loan(values)} is "
        f"{_money(values, 'net_present_value', 0)} at a real discount rate of "
        f"{rate:.4g}% per year. The gold price is {values['gold_price_basis'].item()}"
        f"{growth_words(values['gold_price_growth'].item())}; money is "
        f"{values['money_basis'].item()}.",
        f"Peak funding is {_money(values, 'peak_funding', 0)}, in "
        f"{_month(values, month)}. {_payback(values)}",
        *_with_loan(values),
        _pace(values, units),
        *_left_out(values),
    ]


def _before_loan(values):
    return " and before the loan" if values["loan_amount"].item() > 0 else ""


def _with_loan(values):
    """Sentences on the owner's return, which a loan can turn."""
    if values["loan_amount"].item() <= 0:
        return []
    told = [
        "With the loan, the owner's net present value is "
        f"{_money(values, 'owner_net_present_value', 0)}."
    ]
    if values["net_present_value"].item() >= 0 > values["owner_net_present_value"]:
        told.append("The loan costs the owner more than the plan is worth.")
    return [" ".join(told)]


def _pace(values, units):
    """Sentence on the feed rate and its limit."""
    if not values["own_mill"]:
        tons = values["tons_per_month"].item()
        taken = input_text(tons, "ton/month", "number", units, 3)
        return f"The hired mill takes {taken}."
    rate = input_text(values["feed_rate"].item(), "ton/hour", "number", units, 3)
    limit, slowest = values["feed_rate_limit"].item(), values["bottleneck"].item()
    verb = "limit" if limit.endswith("s") else "limits"
    sentence = f"The {limit} {verb} the plant, at {rate}"
    if limit == slowest:
        return f"{sentence}."
    return f"{sentence}; the stage with the lowest capacity: {slowest}."


def _left_out(values):
    """Sentences on assays and weights that a grade from samples does not rest on."""
    if values["grade_source"].item() != "samples":
        return []
    told, count = [], values["samples_without_weight"].item()
    if count:
        told.append(f"The grade leaves out assays without a weight: {count:.0f}.")
    if values["heaviest_in_use"] > values["largest_weight"]:
        told.append(
            f"One sample carries {values['heaviest_share'].item():.0%} of the weight: "
            f"the {values['sample_count'].item():.0f} samples are worth "
            f"{values['sample_effective_count'].item():.1f} of equal weight."
        )
    return [*told, *filter(None, [values["weights_left_out"].item()])]


def _money(values, name, digits=2):
    return money(values[name].item(), digits)


def _month(values, month):
    """A month by number, with its date if the plan has dates."""
    date = values["month_date"][int(month) - 1].item()
    day = (EPOCH + np.timedelta64(int(date), "D")).item()
    return f"month {month:.0f}" + (f" ({day:%B %Y})" if date else "")


def _payback(values):
    month = values["owner_payback_month"].item()
    if np.isnan(month):
        return "The owner's money does not come back within the plan."
    money_of = ", in the money of each month" if values["inflation"].item() else ""
    return f"The owner's money is back in {_month(values, month)}{money_of}."
