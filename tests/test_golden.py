"""The engine gives the example's figures as they were last agreed on."""

import pytest

from pennyweight.model.allowed import complete
from pennyweight.model.units import convert
from tests.golden import agreed, worked_out
from tests.model.drawing import converted


@pytest.mark.parametrize("units", ["us", "metric"])
def test_the_example_has_the_figures_agreed_on(units):
    """Where a change is meant: `make golden`, and look at the difference."""
    found, wanted = worked_out(units), agreed(units)
    assert list(found) == list(wanted)
    for name, value in wanted.items():
        near = pytest.approx(value, rel=1e-9) if isinstance(value, float) else value
        assert found[name] == near, name


def test_both_unit_systems_agree_on_the_money():
    """For the very same figures: the metric example has round ones of its own."""
    same = converted(complete({}, "us"), "us", "metric")
    us, metric = agreed("us"), worked_out("metric", same)
    for name in ("net_present_value", "peak_funding", "cost_per_ounce", "life_cash"):
        assert us[name] == pytest.approx(metric[name], rel=1e-9)
    per_ton = convert(us["cost_per_ton"], "$/ton", "us", "metric")
    assert per_ton == pytest.approx(metric["cost_per_ton"], rel=1e-9)
