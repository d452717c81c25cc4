"""Text of traced formulas: order, signs, brackets, words."""

import numpy as np
import pytest

from pennyweight.errors import BadValue
from pennyweight.formulas import Reference, formula, lookup, rounded, smallest

A, B, C = (Reference(name) for name in ("a", "b", "c"))
WORD = Reference("word", kind="text")
ROW = Reference("D1:F1", spread=True, across=True)
OTHER = Reference("D2:F2", spread=True, across=True)
COLUMN = Reference("D1:D3", spread=True)


@pytest.mark.parametrize(
    ("expression", "text"),
    [
        (A + B * C, "a+b*c"),
        ((A + B) * C, "(a+b)*c"),
        (A - (B - C), "a-(b-c)"),
        ((A - B) - C, "a-b-c"),
        (A + (B + C), "a+(b+c)"),
        (A / (B / C), "a/(b/c)"),
        (A / B / C, "a/b/c"),
        (A / (B * C), "a/(b*c)"),
        (A * B / C, "a*b/c"),
        (1 / np.sqrt(A) - 1 / np.sqrt(B), "1/SQRT(a)-1/SQRT(b)"),
    ],
)
def test_brackets_stand_only_where_the_order_needs_them(expression, text):
    assert formula(expression) == f"={text}"


@pytest.mark.parametrize(
    ("expression", "text"),
    [
        (-(A**2), "-(a^2)"),
        ((-A) ** 2, "(-a)^2"),
        (2 ** (-A), "2^(-a)"),
        (A - (-B), "a-(-b)"),
        (A * -B, "a*(-b)"),
        (-A * B, "-a*b"),
        (-(A + B), "-(a+b)"),
        (np.negative(-A), "-(-a)"),
        (A * -2, "a*(-2)"),
        (-2 * A, "-2*a"),
        ((-2.0) ** A, "(-2)^a"),
        (A - -2, "a-(-2)"),
    ],
)
def test_a_minus_sign_binds_tighter_than_a_power_in_sheets(expression, text):
    assert formula(expression) == f"={text}"


@pytest.mark.parametrize(
    ("expression", "text"),
    [
        (A ** (B**C), "a^(b^c)"),
        ((A**B) ** C, "(a^b)^c"),
        (np.square(A + B), "(a+b)^2"),
        (np.float_power(A, 0.5), "a^0.5"),
        (np.reciprocal(A + B), "1/(a+b)"),
        (2**A * B, "2^a*b"),
        ((A * B) ** 2, "(a*b)^2"),
    ],
)
def test_towers_of_powers_are_always_bracketed(expression, text):
    assert formula(expression) == f"={text}"


@pytest.mark.parametrize(
    ("expression", "text"),
    [
        (A < B + 1, "a<b+1"),
        (A >= B, "a>=b"),
        (A == B, "a=b"),
        (A != B, "a<>b"),
        (WORD == "dry", 'word="dry"'),
        (WORD == 'say "hi"', 'word="say ""hi"""'),
        ((A < B) == (B < C), "(a<b)=(b<c)"),
        (np.logical_and(A < B, np.logical_and(B < C, C > 0)), "AND(a<b,b<c,c>0)"),
        (np.logical_or(A < B, np.logical_not(B < C)), "OR(a<b,NOT(b<c))"),
        (np.logical_not(np.logical_not(A > B)), "NOT(NOT(a>b))"),
        ((A > B) * C, "(a>b)*c"),
    ],
)
def test_comparisons_and_what_joins_them(expression, text):
    assert formula(expression) == f"={text}"


@pytest.mark.parametrize(
    ("expression", "text"),
    [
        (np.where(A > 0, B, 0), "IF(a>0,b,0)"),
        (np.where(A > 0, "yes", "no"), 'IF(a>0,"yes","no")'),
        (np.where(A > 0, np.nan, B), 'IF(a>0,"n/a",b)'),
        (np.where(True, A, B), "a"),
        (np.where(np.bool_(False), A, B + C), "b+c"),
        (np.where(WORD == "dry", A, B) * C, 'IF(word="dry",a,b)*c'),
    ],
)
def test_choices_become_if(expression, text):
    assert formula(expression) == f"={text}"


def test_a_choice_is_of_the_kind_of_its_answers():
    assert np.where(A > 0, np.nan, WORD).kind == "text"
    assert np.where(A > 0, "x", "y").kind == "text"
    assert np.where(A > 0, np.nan, B).kind == "number"


@pytest.mark.parametrize(
    ("expression", "text"),
    [
        (np.minimum(np.minimum(A, B), C), "MIN(a,b,c)"),
        (np.maximum(A, np.maximum(B, np.maximum(C, 0))), "MAX(a,b,c,0)"),
        (np.maximum(np.minimum(A, B), C), "MAX(MIN(a,b),c)"),
        (np.clip(A, 0, B), "MIN(MAX(a,0),b)"),
    ],
)
def test_extremes_of_extremes_are_flat(expression, text):
    assert formula(expression) == f"={text}"


@pytest.mark.parametrize(
    ("expression", "text"),
    [
        (np.sum(ROW), "SUM(D1:F1)"),
        (np.sum(ROW, axis=-1), "SUM(D1:F1)"),
        (np.sum(ROW * OTHER), "SUMPRODUCT(D1:F1,D2:F2)"),
        (np.dot(ROW, OTHER), "SUMPRODUCT(D1:F1,D2:F2)"),
        (np.sum(ROW * 2), "SUMPRODUCT(D1:F1*2)"),
        (np.sum((ROW > 0) * OTHER), "SUMPRODUCT((D1:F1>0)*D2:F2)"),
        (np.sum(ROW / (1 + A) ** OTHER), "SUMPRODUCT(D1:F1/(1+a)^D2:F2)"),
        (np.max(ROW, axis=0), "MAX(D1:F1)"),
        (np.min(ROW), "MIN(D1:F1)"),
        (np.mean(ROW), "AVERAGE(D1:F1)"),
        (np.prod(ROW), "PRODUCT(D1:F1)"),
    ],
)
def test_ranges_are_summed_and_searched(expression, text):
    assert formula(expression) == f"={text}"


def test_lookup_gives_both_places_along_the_range():
    across = Reference("D3:F3", kind="text", spread=True, across=True)
    down = Reference("G1:G3", spread=True)
    found = lookup(A, ROW, across)
    assert formula(found) == "=INDEX(D3:F3,1,MATCH(a,D1:F1,0))"
    assert found.kind == "text"
    assert formula(lookup(A, COLUMN, down)) == "=INDEX(G1:G3,MATCH(a,D1:D3,0),1)"


@pytest.mark.parametrize(
    ("expression", "text"),
    [
        (np.ceil(A), "-INT(-a)"),
        (np.floor(A), "INT(a)"),
        (A // B, "INT(a/b)"),
        (A % B, "MOD(a,b)"),
        (np.trunc(A), "TRUNC(a)"),
        (abs(A), "ABS(a)"),
        (+A, "a"),
        (rounded(A + B, 2), "ROUND(a+b,2)"),
        (np.log(A) + np.log10(B), "LN(a)+LOG10(b)"),
    ],
)
def test_functions_go_by_their_names_in_sheets(expression, text):
    assert formula(expression) == f"={text}"


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (3, "3"),
        (3.0, "3"),
        (np.float64(0.1), "0.1"),
        (np.array(0.25), "0.25"),
        (1e-7, "1E-07"),
        (1e300, "1E+300"),
        (True, "TRUE"),
        (np.bool_(False), "FALSE"),
        (float("nan"), '"n/a"'),
        ('6" mill', '"6"" mill"'),
        ("", '""'),
    ],
)
def test_plain_values_are_written_as_sheets_read_them(value, text):
    assert formula(value) == f"={text}"


def test_interpolation_is_a_sum_of_clipped_ramps():
    text = formula(np.interp(A, [1.0, 2.0, 4.0], [10.0, 30.0, 20.0]))
    assert text == "=10+20*(MIN(MAX(a,1),2)-1)-5*(MIN(MAX(a,2),4)-2)"
    assert formula(np.interp(A, [1.0, 2.0], [7.0, 7.0])) == "=7"


@pytest.mark.parametrize("value", [0.5, 1, 1.5, 2, 3.3, 4, 9])
def test_interpolation_means_the_same_on_numbers(value):
    points, values = [1.0, 2.0, 4.0], [10.0, 30.0, 20.0]
    text = formula(np.interp(A, points, values))[1:]
    found = eval(text, {"a": value, "MIN": min, "MAX": max})
    assert found == pytest.approx(np.interp(value, points, values), rel=1e-14)


@pytest.mark.parametrize(
    ("value", "digits", "expected"),
    [(2.5, 0, 3), (-2.5, 0, -3), (0.5, 0, 1), (1234.5, -2, 1200), (-0.125, 2, -0.13)],
)
def test_halves_are_rounded_away_from_zero(value, digits, expected):
    assert rounded(value, digits) == pytest.approx(expected, rel=1e-15)
    assert rounded(np.array([value]), digits).shape == (1,)


def test_lookup_on_numbers_and_on_many_at_once():
    assert lookup(9, [5, 3, 9], ["mill", "tables", "pump"]) == "pump"
    keys = np.array([[1.0, 4.0], [2.0, 3.0]])
    results = np.array([[10.0, 40.0], [20.0, 30.0]])
    found = lookup(np.array([2.0, 4.0]), keys, results)
    assert found.tolist() == [20.0, 40.0]


def test_lookup_of_what_is_not_there_is_refused_as_a_sheet_does():
    with pytest.raises(BadValue, match="None of the keys equals 7"):
        lookup(7, [5, 3, 9], ["mill", "tables", "pump"])
    with pytest.raises(BadValue, match="#N/A"):
        lookup(np.array([5.0, 7.0]), np.array([[5.0, 5.0]]), np.array([[1.0, 2.0]]))


@pytest.mark.parametrize(("place", "value"), [(1, -1.5), (2, 0.0), (4, 8.25)])
def test_smallest_counts_from_one(place, value):
    assert smallest([3.0, -1.5, 0.0, 8.25], place) == value
    many = np.array([[3.0, 1.0], [-1.5, 2.0], [0.0, 4.0], [8.25, 3.0]])
    assert smallest(many, place).tolist() == np.sort(many, axis=0)[place - 1].tolist()


def test_smallest_as_a_formula():
    assert formula(smallest(COLUMN, A)) == "=SMALL(D1:D3,a)"
