"""Plans with all their money in another currency."""

import pennyweight as pw
from pennyweight.model.inputs import INPUTS


def in_money(plan, currency, rate):
    """The same plan in another currency: all money entered times the rate."""

    def amount(name, value):
        return value * rate if INPUTS[name].is_money else value

    given = {name: amount(name, value) for name, value in plan.given.items()}
    ranges = {
        name: tuple(amount(name, end) for end in ends)
        for name, ends in plan.ranges.items()
    }
    money = {"currency": currency, "exchange_rate": rate}
    return pw.Plan({**given, **money}, units=plan.units, ranges=ranges)
