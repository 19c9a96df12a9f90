"""Anybody's corner loads: read as they are, or refused by line and column."""

import gzip
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.load_table import parse_load_table, read_load_table
from swaytrainer.sway.cop import CellPlaces

HEADER = "time_s,front_left_n,front_right_n,rear_left_n,rear_right_n\n"
PLACES = CellPlaces.rectangle(200.0, 150.0)


def test_any_order_and_extra_columns() -> None:
    text = (
        "note,rear_right_n, rear_left_n,front_right_n,front_left_n,time_s\n"
        "a,4,3,2,1,0.0\n\nb,8,7,6,5,0.01\n"
    )
    series = parse_load_table(text, "x", PLACES)
    assert series.time_s.tolist() == [0.0, 0.01]
    assert series.loads_n.tolist() == [[1, 2, 3, 4], [5, 6, 7, 8]]
    assert series.places == PLACES
    assert series.notes == ()


FINITE = st.floats(allow_nan=False, allow_infinity=False)


@given(st.lists(st.tuples(*[FINITE] * 5), min_size=1, max_size=9, unique_by=lambda row: row[0]))
def test_every_number_comes_back_exactly(rows: list[tuple[float, ...]]) -> None:
    rows.sort()
    text = HEADER + "".join(",".join(map(repr, row)) + "\n" for row in rows)
    series = parse_load_table(text, "x", PLACES)
    assert np.array_equal(np.column_stack([series.time_s, series.loads_n]), np.array(rows))


@pytest.mark.parametrize("packed", [False, True])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_plain_and_gzipped_with_any_line_ends(tmp_path: Path, packed: bool, end: str) -> None:
    data = ("\ufeff" + HEADER + "0,1,2,3,4\n").replace("\n", end).encode()
    path = tmp_path / "trial.csv"
    path.write_bytes(gzip.compress(data) if packed else data)
    assert read_load_table(path, PLACES).loads_n.tolist() == [[1, 2, 3, 4]]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "no column time_s"),
        (HEADER, "no rows"),
        (HEADER.replace("rear_left_n", "rear_left_kg"), "no column rear_left_n"),
        (HEADER.replace("rear_left_n", "time_s"), "no column rear_left_n"),
        (HEADER.strip() + ",time_s\n1,2,3,4,5,6\n", "two columns time_s"),
        (HEADER + "0,1,2,3,4\n0.01,1,2,x,4\n", "line 3, column rear_left_n"),
        (HEADER + "0,1,2,3,4\n\n0.01,1,2,nan,4\n", "line 4, column rear_left_n.*not a finite"),
        (HEADER + "0,1,2,inf,4\n", "line 2, column rear_left_n: 'inf' is not a finite"),
        (HEADER + "0,1,2,,4\n", "line 2, column rear_left_n: '' is not a number"),
        (HEADER + "0,1,2,1_0,4\n", "line 2, column rear_left_n: '1_0' is not a number"),
        (HEADER + "0,1,2,3 N,4\n", "'3 N' is not a number"),
        (HEADER + "0,1,2,3,4\n0.01,1,2\n", "line 3: 3 columns"),
        (HEADER + "0,1,2,3,4\n0,01,1,5,2,3,3,1,4,1\n", "line 3: 10 columns.*decimal commas"),
        (HEADER + "0,1,2,3,4\n0.02,1,2,3,4\n0.01,1,2,3,4\n", "line 4: time_s does not increase"),
        (HEADER + "0,1,2,3,4\n0,1,2,3,4\n", "line 3: time_s does not increase"),
        (HEADER + "0,1,2,3," + "4" * 200_000 + "\n", "no table of numbers"),
        ("x" * 200_000, "no table of numbers"),
    ],
)
def test_wrong_tables_are_told(text: str, why: str) -> None:
    with pytest.raises(SwaytrainerError, match=why):
        parse_load_table(text, "x.csv", PLACES)


def test_wrong_files_are_told(tmp_path: Path) -> None:
    whole = gzip.compress((HEADER * 500).encode())
    for content in (whole[:60], whole[:-4], b"\x1f\x8bnot gzip at all"):
        (tmp_path / "cut.csv.gz").write_bytes(content)
        with pytest.raises(SwaytrainerError, match="gzip"):
            read_load_table(tmp_path / "cut.csv.gz", PLACES)
    (tmp_path / "binary.csv").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(SwaytrainerError, match="UTF-8"):
        read_load_table(tmp_path / "binary.csv", PLACES)
    with pytest.raises(SwaytrainerError, match="No such file"):
        read_load_table(tmp_path / "none.csv", PLACES)
    with pytest.raises(SwaytrainerError, match="Is a directory"):
        read_load_table(tmp_path, PLACES)
