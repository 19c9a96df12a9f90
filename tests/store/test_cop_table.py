"""COP without loads: the same values out as in, whatever the force."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.cop_table import parse_cop_table, read_cop_table
from swaytrainer.sway.cop import cop_arrays

HEADER = "time_s,cop_x_mm,cop_y_mm\n"
ROW = st.tuples(st.floats(-400, 400), st.floats(-400, 400), st.floats(50, 5000))


@given(rows=st.lists(ROW, min_size=1, max_size=9), known=st.booleans())
def test_the_loads_that_stand_in_give_the_same_cop(
    rows: list[tuple[float, float, float]], known: bool
) -> None:
    text = HEADER.replace("\n", ",force_n\n") if known else HEADER
    for i, (x, y, f) in enumerate(rows):
        text += f"{i / 100},{x!r},{y!r}" + (f",{f!r}\n" if known else "\n")
    series = parse_cop_table(text, "x.csv")
    force_n, x_mm, y_mm, twist_n = cop_arrays(series.loads_n, series.places, 20.0)
    x, y, f = np.array(rows).T
    # The loads are up to five times the force, which the sum of four rounds.
    np.testing.assert_allclose(x_mm, x, atol=1e-11)
    np.testing.assert_allclose(y_mm, y, atol=1e-11)
    assert np.abs(twist_n).max() < 1e-10
    assert series.force_known is known
    assert not series.twist_known
    if known:
        np.testing.assert_allclose(force_n, f, rtol=1e-14)


def test_rows_without_a_cop_are_gaps() -> None:
    series = parse_cop_table(HEADER + "0,1,2\n0.01,,\n0.02,nan,nan\n0.03,3,4\n", "x.csv")
    assert series.time_s.tolist() == [0.0, 0.03]
    assert "2 rows without a COP" in series.notes[0]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        (HEADER + "0,1,2\n0.01,1,nan\n", "line 3: only one of"),
        (HEADER + "0,,\n", "no row with a COP"),
        (HEADER + "0,1,2\n0.01,6000,0\n", r"line 3: a COP more than 5 m"),
        (HEADER + "0,1,inf\n", "line 2, column cop_y_mm: 'inf'"),
        (HEADER + "nan,1,1\n", "line 2, column time_s: 'nan'"),
        ("time_s,cop_x_mm,cop_y_mm,force_n\n0,1,2,\n", "column force_n"),
        ("time_s,cop_x_mm,cop_y_mm,force_n\n0,1,2,6e6\n", "line 2: a force of 6e"),
        ("time_s,cop_x_mm\n0,1\n", "no column cop_y_mm"),
    ],
)
def test_wrong_tables_are_told(text: str, why: str, tmp_path: Path) -> None:
    path = tmp_path / "x.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(SwaytrainerError, match=why):
        read_cop_table(path)
