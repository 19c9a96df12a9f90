"""Anybody's CSV: read as it is, or refused by line and column."""

import gzip
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.load_table import parse_load_table, read_load_table

HEADER = "time_s,front_left_n,front_right_n,rear_left_n,rear_right_n\n"


def test_any_order_and_extra_columns() -> None:
    text = (
        "note,rear_right_n, rear_left_n,front_right_n,front_left_n,time_s\n"
        "a,4,3,2,1,0.0\n\nb,8,7,6,5,0.01\n"
    )
    table = parse_load_table(text, "x")
    assert table.time_s.tolist() == [0.0, 0.01]
    assert table.loads_n.tolist() == [[1, 2, 3, 4], [5, 6, 7, 8]]


@given(
    st.lists(
        st.tuples(*[st.floats(allow_nan=False, allow_infinity=False)] * 5), min_size=1, max_size=9
    )
)
def test_every_number_comes_back_exactly(rows: list[tuple[float, ...]]) -> None:
    text = HEADER + "".join(",".join(map(repr, row)) + "\n" for row in rows)
    table = parse_load_table(text, "x")
    assert np.array_equal(np.column_stack([table.time_s, table.loads_n]), np.array(rows))


@pytest.mark.parametrize("packed", [False, True])
def test_plain_and_gzipped(tmp_path: Path, packed: bool) -> None:
    data = ("\ufeff" + HEADER + "0,1,2,3,4\n").encode()
    path = tmp_path / "trial.csv"
    path.write_bytes(gzip.compress(data) if packed else data)
    assert read_load_table(path).loads_n.tolist() == [[1, 2, 3, 4]]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "no column time_s"),
        (HEADER, "no rows"),
        (HEADER.replace("rear_left_n", "rear_left_kg"), "no column rear_left_n"),
        (HEADER.replace("rear_left_n", "time_s"), "no column rear_left_n"),
        (HEADER.strip() + ",time_s\n1,2,3,4,5,6\n", "two columns time_s"),
        (HEADER.replace(",", ";") + "0;1;2;3;4\n", "not separated by commas"),
        (HEADER + "0,1,2,3,4\n0.01,1,2,x,4\n", "line 3, column rear_left_n"),
        (HEADER + "0,1,2,3,4\n0.01,1,2\n", "line 3: 3 columns"),
        (HEADER + "0,1,2,3," + "4" * 200_000 + "\n", "no table of numbers"),
        ("x" * 200_000, "no table of numbers"),
    ],
)
def test_wrong_tables_are_told(text: str, why: str) -> None:
    with pytest.raises(SwaytrainerError, match=why):
        parse_load_table(text, "x.csv")


def test_wrong_files_are_told(tmp_path: Path) -> None:
    cut_off = tmp_path / "cut.csv.gz"
    cut_off.write_bytes(gzip.compress((HEADER * 500).encode())[:60])
    with pytest.raises(SwaytrainerError, match="gzip"):
        read_load_table(cut_off)
    (tmp_path / "binary.csv").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(SwaytrainerError, match="UTF-8"):
        read_load_table(tmp_path / "binary.csv")
    with pytest.raises(SwaytrainerError, match="No such file"):
        read_load_table(tmp_path / "none.csv")
