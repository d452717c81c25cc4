"""A workbook saved by a program that writes a comma before the decimals."""

import pytest

import pennyweight as pw
from pennyweight.workbook.inspection.expected import with_point
from tests.oracles.libreoffice import LibreOffice
from tests.oracles.package import stored_cells, write_changed


@pytest.fixture(scope="module")
def returned(tmp_path_factory, libreoffice):
    """The example of a claim, changed and saved in a German LibreOffice."""
    folder = tmp_path_factory.mktemp("comma")
    sent, back = folder / "sent.xlsx", folder / "back.xlsx"
    pw.example().change(job="claim").write(sent)
    with LibreOffice("de-DE") as german:
        german.save_changed(sent, back, {"Discount_rate_entered": 0.125})
    return back


def test_its_sentences_show_the_figures_of_the_workbook(returned):
    """Before, TEXT took the point for that of thousands: 13% of 12.5%, 13,2000 tons."""
    shown, wanted = stored_cells(returned), pw.read(returned)
    told = shown["Answer"]["A9"]
    worth = f"${wanted.results['net_present_value']:,.0f} today"
    assert "at 12,5% per year" in told and worth in with_point(told)
    pace = wanted.results["rock_per_day"]
    assert with_point(shown["Flow sheet"]["B6"]).startswith(f"{pace:,.1f} tons/day")


def test_an_honest_file_is_not_accused(returned):
    found = pw.inspect(returned, strict=True)
    assert found.outcome == "inputs changed" and not found.findings


def test_a_text_with_other_signs_than_the_rest_is_found(returned, tmp_path):
    altered = tmp_path / "altered.xlsx"
    told = stored_cells(returned)["Answer"]
    moved = told["A9"].replace("12,5%", "1,25%")
    changes = {("Answer", "A8"): with_point(told["A8"]), ("Answer", "A9"): moved}
    write_changed(returned, altered, changes)
    found = {(finding.sheet, finding.cell) for finding in pw.inspect(altered).findings}
    assert changes.keys() <= found
