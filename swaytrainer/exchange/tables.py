"""A trial as CSV and as Parquet."""

from __future__ import annotations

import csv
import io
import math
from typing import Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.exchange.cells import neutral
from swaytrainer.exchange.trial_table import UNITS, TrialTable
from swaytrainer.words import say

ABOUT: Final = "about"


def csv_text(table: TrialTable) -> str:
    """The trial as CSV; ``analyse`` reads it back. Numbers are written to the last bit.

    Units stand in the columns' names; frame, cells and whose trial it is in the column ``about``,
    in the first row. A COP that there is none of is an empty field.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")  # RFC 4180
    writer.writerow([*table.columns, ABOUT])
    about = neutral(" | ".join(f"{key}: {value}" for key, value in table.about.items()))
    # A line's end inside a field is allowed, but few programs expect it.
    note = " ".join(str(about).split())
    for row in zip(*(column.tolist() for column in table.columns.values()), strict=True):
        writer.writerow(["" if math.isnan(v) else repr(v) for v in row] + [note])
        note = ""
    return out.getvalue()


def parquet_bytes(table: TrialTable) -> bytes:
    """The trial as Apache Parquet: units in each field's metadata, the rest in the schema's.

    Raises:
        SwaytrainerError: pyarrow is not installed.
    """
    try:
        import pyarrow as pa
        import pyarrow.parquet as pq
    except ImportError:
        raise SwaytrainerError(
            say("Parquet needs pyarrow, which is not installed."),
            say("Install it with: pip install 'swaytrainer[exchange]'"),
        ) from None
    fields = [
        pa.field(name, pa.float64(), metadata={"unit": UNITS.get(name, "N")})
        for name in table.columns
    ]
    schema = pa.schema(fields, metadata=table.about)
    out = io.BytesIO()
    # NaN stays NaN and does not become null: readers differ in what they make of null.
    columns = [pa.array(values, from_pandas=False) for values in table.columns.values()]
    pq.write_table(pa.Table.from_arrays(columns, schema=schema), out)
    return out.getvalue()
