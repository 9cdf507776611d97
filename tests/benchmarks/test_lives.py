"""The tables of lives tell the difference between two with the same dice, with its interval."""

from __future__ import annotations

from tests.benchmarks.catching_up import RATES, Year
from tests.benchmarks.catching_up import table as years_table
from tests.benchmarks.lives import gained
from tests.benchmarks.terms import CASELOADS, Lived
from tests.benchmarks.terms import table as terms_table


def test_the_mean_of_differences_and_its_interval() -> None:
    # by hand: the mean is 2, its standard error 1/sqrt(3), and t of two degrees 4.3027
    assert gained([1.0, 2.0, 3.0], 100) == "+200.00 (-48.41 to +448.41)"


def test_a_table_of_years() -> None:
    without, with_it = [Year(0.5, 1.0, 9.0)] * 2, [Year(0.75, 0.5, 8.0)] * 2
    lines = list(
        years_table({(r, key): (with_it if key else without) for r in RATES for key in (False, True)})
    )
    assert len(lines) == 2 + 3 * len(RATES)
    gains = "+25.00 (+25.00 to +25.00) | -0.50 (-0.50 to -0.50) | -1.00 (-1.00 to -1.00)"
    assert lines[4] == f"| {RATES[0]} | yes less no | {gains} |"


def test_a_table_of_terms() -> None:
    without, with_it = [Lived(0.5, 1.0, 12, 0.5)] * 2, [Lived(0.75, 1.0, 12, 0.25)] * 2
    lines = list(
        terms_table(
            {(c.name, key): (with_it if key else without) for c in CASELOADS for key in (False, True)}
        )
    )
    assert len(lines) == 3 + len(CASELOADS)
    assert lines[2] == "| therapist | 24 | 100 % | 50 % | 75 % | +25.00 (+25.00 to +25.00) | 0.50 → 0.25 |"
