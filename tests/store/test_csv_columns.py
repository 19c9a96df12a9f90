"""Columns of numbers: with commas, semicolons or tabs; every message by the file's own line."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.csv_columns import header_of, parse_columns

WANTED = ("time_s", "a")


@given(
    rows=st.lists(
        st.tuples(*[st.floats(-1e6, 1e6).map(lambda v: round(v, 6))] * 2),
        min_size=1,
        max_size=8,
        unique_by=lambda row: row[0],
    ),
    separator=st.sampled_from([",", ";", "\t"]),
    comma=st.booleans(),
    end=st.sampled_from(["\n", "\r\n", "\r"]),
    above=st.sampled_from(["", "\n", "sep={}\n"]),
)
def test_any_separator_decimal_mark_and_line_end(
    rows: list[tuple[float, float]], separator: str, comma: bool, end: str, above: str
) -> None:
    rows.sort()
    mark = "," if comma and separator != "," else "."
    lines = [separator.join(WANTED)]
    lines += [separator.join(f"{v:.6f}".replace(".", mark) for v in row) for row in rows]
    text = (above.format(separator) + "\n".join(lines) + "\n").replace("\n", end)
    columns = parse_columns(text, "x.csv", WANTED)
    assert np.array_equal(np.column_stack([columns.values[c] for c in WANTED]), np.array(rows))
    first = 2 + len(above.splitlines())
    assert columns.lines.tolist() == list(range(first, first + len(rows)))
    told = " ".join(columns.notes)
    assert ("decimal commas" in told) == (mark == ",")
    assert bool(told) == (separator != ",")


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused_in_words(text: str) -> None:
    for content in (text, "time_s,a\n" + text, "time_s;a\n" + text):
        try:
            columns = parse_columns(content, "x.csv", WANTED)
        except SwaytrainerError as error:
            in_words(error)
        else:
            assert all(np.isfinite(values).all() for values in columns.values.values())
            assert (np.diff(columns.values["time_s"]) > 0).all()


def in_words(error: SwaytrainerError) -> None:
    assert error.what.startswith("x.csv")
    assert error.remedy


@given(bad=st.integers(0, 30), blank=st.sets(st.integers(0, 30), max_size=6))
def test_the_line_is_the_editors(bad: int, blank: set[int]) -> None:
    lines = ["time_s,a"]
    for row in range(31):
        lines += [""] * (row in blank)
        lines.append(f"{row},{'oops' if row == bad else row}")
    with pytest.raises(SwaytrainerError) as caught:
        parse_columns("\n".join(lines), "x.csv", WANTED)
    where = next(i for i, line in enumerate(lines, 1) if "oops" in line)
    assert f"x.csv, line {where}, column a: 'oops'" in caught.value.what


def test_a_quoted_line_break_counts_as_the_line_it_is() -> None:
    text = 'note,time_s,a\n"two\nlines",0,1\nb,1,x\n'
    with pytest.raises(SwaytrainerError, match="line 4, column a"):
        parse_columns(text, "x.csv", WANTED)


def test_marks_may_not_be_mixed() -> None:
    with pytest.raises(SwaytrainerError, match=r"line 3, column a: '1\.234,5' has a decimal comma"):
        parse_columns("time_s;a\n0;1.5\n1;1.234,5\n", "x.csv", WANTED)
    with pytest.raises(SwaytrainerError, match=r"'1\.234,5' is not a number"):
        parse_columns("time_s;a\n0;1.234,5\n", "x.csv", WANTED)


def test_what_may_be_missing_is_nan() -> None:
    text = "time_s,a\n0,\n1, nan\n2,3\n"
    values = parse_columns(text, "x.csv", WANTED, may_miss=["a"]).values["a"]
    assert [math.isnan(v) for v in values] == [True, True, False]
    with pytest.raises(SwaytrainerError, match="not a finite number"):
        parse_columns("time_s,a\n0,-inf\n", "x.csv", WANTED, may_miss=["a"])


def test_commas_at_the_end_of_a_row_are_no_columns() -> None:
    assert parse_columns("time_s,a\n0,1,,\n", "x.csv", WANTED).values["a"].tolist() == [1.0]
    assert header_of("", "x.csv") == []
