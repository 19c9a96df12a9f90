"""Whatever a recording may hold of its outcomes becomes rows that a database takes, or none."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from swaytrainer.index.building import build
from swaytrainer.index.database import FILE, begun, open_file
from swaytrainer.index.schema import TRIALS
from swaytrainer.store.home import Home
from swaytrainer.store.recording import outcome_block, outcome_json
from tests.index.made import outcome, sitting

ANYTHING = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats(allow_nan=True)
    | st.text(max_size=5)
    | st.sampled_from(["\ud800", "\0", "x" * 5000, 10**400]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner),
    max_leaves=5,
)
FIELDS = sorted(outcome_json(outcome(1)))


def kept(home: Path) -> list[dict[str, Any]]:
    engine = open_file(home / FILE)
    built = build(engine, home / "recordings", Home(home).recordings())
    assert built.sittings == 1
    with begun(engine, reads=True) as connection:
        return [dict(row) for row in connection.execute(select(TRIALS)).mappings()]


@settings(max_examples=40)
@given(changes=st.dictionaries(st.sampled_from(FIELDS), ANYTHING, max_size=4), drop=st.booleans())
def test_any_outcome(
    tmp_path_factory: pytest.TempPathFactory, changes: dict[str, Any], drop: bool
) -> None:
    home = tmp_path_factory.mktemp("club")
    path = sitting(home, "Wren", 0, [outcome(1)])
    held = outcome_json(outcome(2))
    odd = {k: v for k, v in held.items() if k not in changes} if drop else {**held, **changes}
    good = outcome_block(outcome(2))
    block = _as_block(json.dumps(odd).encode(), good)
    path.write_bytes(path.read_bytes() + block)
    rows = {row["number"]: row for row in kept(home)}
    assert 1 in rows or odd.get("number") == 1
    for row in rows.values():
        assert row["mark"] is None or math.isfinite(row["mark"])
        assert row["counts"] or row["why_not"]
        assert all(v is None or math.isfinite(v) for v in row["measures"].values())
        assert row["seconds"] is None or math.isfinite(row["seconds"])


def _as_block(payload: bytes, like: bytes) -> bytes:
    import struct
    import zlib

    head = like[:3] + struct.pack("<I", len(payload))
    return head + payload + struct.pack("<I", zlib.crc32(head[2:] + payload))


def test_a_trial_without_a_number_is_none(tmp_path: Path) -> None:
    path = sitting(tmp_path, "Wren", 0, [outcome(1)])
    good = outcome_block(outcome(2))
    odd = {**outcome_json(outcome(2)), "number": True}
    path.write_bytes(path.read_bytes() + _as_block(json.dumps(odd).encode(), good))
    assert [row["number"] for row in kept(tmp_path)] == [1]
