"""Sobol' indices of functions with published indices."""

import numpy as np
import pytest

import pennyweight as pw
from pennyweight.errors import BadValue
from pennyweight.risk.study import make_study
from pennyweight.risk.variance import OTHERS, crossed, groups_of, sobol_indices
from tests.risk.studies import by_numpy, only_varying


def each_alone(count):
    return [((f"x{place}",), [place]) for place in range(count)]


def by_name(shares):
    return {index.names[0]: index for index in shares}


def ishigami(uniforms):
    x, y, z = np.pi * (2 * uniforms - 1)
    return np.sin(x) + 7 * np.sin(y) ** 2 + 0.1 * z**4 * np.sin(x)


def test_ishigami():
    """Ishigami & Homma 1990 (a 7, b 0.1); indices as in Saltelli et al. 2008, Global
    Sensitivity Analysis: 0.3139, 0.4424, 0; in all 0.5576, 0.4424, 0.2437 (package:
    scipy.stats.sobol_indices shows the same figures in its documentation)."""
    found = by_name(crossed(ishigami, each_alone(3), 3, 8192, 1))
    for name, alone, whole in (
        ("x0", 0.3139, 0.5576),
        ("x1", 0.4424, 0.4424),
        ("x2", 0.0, 0.2437),
    ):
        assert found[name].first_order == pytest.approx(alone, abs=0.01)
        assert found[name].total == pytest.approx(whole, abs=0.01)


def test_product_function_of_sobol():
    """prod (|4x - 2| + a) / (1 + a); Saltelli & Sobol' 1995: V = 1/3/(1 + a)²."""
    a = np.array([0.0, 1.0, 4.5, 9.0, 99.0])

    def g(uniforms):
        return np.prod((abs(4 * uniforms - 2) + a[:, None]) / (1 + a[:, None]), axis=0)

    parts = 1 / 3 / (1 + a) ** 2
    variance = np.prod(1 + parts) - 1
    found = by_name(crossed(g, each_alone(5), 5, 8192, 2))
    for place, part in enumerate(parts):
        whole = part * np.prod(1 + np.delete(parts, place)) / variance
        assert found[f"x{place}"].first_order == pytest.approx(
            part / variance, abs=0.01
        )
        assert found[f"x{place}"].total == pytest.approx(whole, abs=0.01)


def test_sum_shares_as_variances_do():
    weights = np.array([1.0, 2.0, 3.0])
    found = by_name(crossed(lambda u: weights @ u, each_alone(3), 3, 4096, 3))
    for place, weight in enumerate(weights):
        index = found[f"x{place}"]
        assert index.first_order == pytest.approx(weight**2 / 14, abs=0.01)
        assert index.total == pytest.approx(index.first_order, abs=0.01)


def test_errors_hold_with_many_inputs_and_few_draws():
    """A sum of equal parts: each brings 1/n, and its error says how far off it may be.

    Of 315 normal deviations one in a thousand goes beyond 4.5 errors.
    """
    many = 105
    for seed in range(3):
        shares = crossed(lambda u: u.sum(axis=0), each_alone(many), many, 512, seed)
        off = [(index.total - 1 / many) / index.total_error for index in shares]
        assert np.max(np.abs(off)) < 4.5


def test_group_takes_what_its_members_do_together():
    groups = [(("x0", "x2"), [0, 2]), (("x1",), [1])]
    found = by_name(crossed(ishigami, groups, 3, 8192, 4))
    assert found["x0"].first_order == pytest.approx(1 - 0.4424, abs=0.01)
    assert found["x0"].total == pytest.approx(1 - 0.4424, abs=0.01)


def test_correlated_inputs_stand_together():
    study = make_study(correlations={("gold_price", "silver_price"): 0.7})
    groups = dict(groups_of(study))
    assert ("gold_price", "silver_price") in groups or (
        "silver_price",
        "gold_price",
    ) in groups


def test_inputs_of_small_effect_count_as_one():
    """The others share what is left: exact for a sum, by its variances."""
    groups = [(("x0",), [0]), (("x1",), [1]), (("x2", "x3"), [2, 3])]
    weights = np.array([3.0, 2.0, 0.5, 0.5])
    found = crossed(lambda u: weights @ u, groups, 4, 1024, 0)
    shares = {index.names: index.total for index in found}
    exact = weights**2 / np.sum(weights**2)
    assert shares["x2", "x3"] == pytest.approx(exact[2] + exact[3], abs=0.005)
    assert shares["x0",] == pytest.approx(exact[0], abs=0.02)


def test_groups_hold_every_uniform_number_once():
    study = make_study(correlations={("gold_price", "silver_price"): 0.7})
    groups = groups_of(study, separate=("silver_price", "ore_grade"))
    names = [names for names, _ in groups]
    assert names[-1] == (OTHERS,)
    assert sorted(names[:-1], key=len)[0] == ("ore_grade",)
    assert set(sorted(names[:-1], key=len)[1]) == {"gold_price", "silver_price"}
    places = [place for _, places in groups for place in places]
    assert sorted(places) == list(range(len(study.names)))
    assert groups_of(study, separate=study.names) == groups_of(study)


@pytest.mark.thorough
def test_the_report_leaves_little_to_all_other_inputs(monkeypatch):
    for other in ("value_of_information", "contract_risk"):  # of no account here
        monkeypatch.setattr(f"pennyweight.risk.report.{other}", lambda *_, **__: None)
    report = pw.example().risk(256)
    indices = {index.label: index for index in report.sobol_indices}
    assert indices[OTHERS].total < 0.05
    named = [name for index in report.sobol_indices for name in index.names]
    named.remove(OTHERS)
    sizes = {e.name: e.size("net_present_value") for e in report.risk.ranked}
    assert named and min(sizes[name] for name in named) > 0.02 * max(sizes.values())
    assert len(named) < len(report.study.names)
    assert "ore_grade" in report.study.names  # of a contract, it is not drawn


def test_model_with_one_uncertain_input_gives_it_everything():
    study = only_varying(vary={"gold_price": ("uniform", [3000, 4000])})
    with by_numpy():
        (index,) = sobol_indices(study, 64)
    assert index.first_order == pytest.approx(1, abs=0.05)
    assert index.total == pytest.approx(1, abs=0.05)


def test_refused():
    with pytest.raises(BadValue, match="does not vary"):
        crossed(lambda u: np.ones(u.shape[1]), each_alone(2), 2, 64, 0)
