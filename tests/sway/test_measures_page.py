"""The coach's page on the measures: each key, nothing else, and what it cites is there."""

from __future__ import annotations

import ast
import re
from pathlib import Path
from typing import NamedTuple

import pytest

from swaytrainer.sway import table
from swaytrainer.sway.live import LiveSway
from swaytrainer.sway.prepare import prepare
from swaytrainer.sway.table import FOOT_MEASURES, MEASURES, sway_measures
from tests import open_data
from tests.sway.standing import FEET

PAGE = (Path(table.__file__).with_name("MEASURES.md")).read_text(encoding="utf-8")
HERE = Path(__file__).parent


class Row(NamedTuple):
    key: str
    unit: str
    tells: str
    tells_not: str
    firm: str
    foam: str
    live: str
    checks: str


ROWS = [
    Row(*(cell.strip() for cell in line.strip("|\n ").split(" | ")))
    for line in PAGE.splitlines()
    if line.startswith("| `")
]


def functions_of(file: Path) -> set[str]:
    tree = ast.parse(file.read_text(encoding="utf-8"))
    return {node.name for node in tree.body if isinstance(node, ast.FunctionDef)}


def test_it_lists_exactly_the_keys() -> None:
    listed = [row.key.strip("`") for row in ROWS]
    assert len(listed) == len(set(listed))
    assert set(listed) == {*MEASURES, *FOOT_MEASURES}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.key.strip("`"))
def test_each_row_is_whole_and_true(row: Row) -> None:
    key = row.key.strip("`")
    measure = {**MEASURES, **FOOT_MEASURES}[key]
    assert row.unit == measure.unit
    assert row.tells
    assert row.tells_not
    streams = key in LiveSway(FEET, 35.0, 50.0).get()
    assert row.live == ("yes" if streams else "no")
    named = re.findall(r"`(test_\w+\.py)::(test_\w+)`", row.checks)
    assert named
    for file, test in named:
        assert test in functions_of(HERE / file), f"{file} has no {test}"


@pytest.mark.open_data
def test_the_ranges_are_those_of_the_open_trials() -> None:
    """Smallest and largest value of 24 trials, to the digits that the page gives."""
    rows = open_data.published()
    found: dict[str, list[dict[str, float]]] = {"firm": [], "foam": []}
    for trial in open_data.STANDING_TRIALS:
        trace = prepare(*open_data.standing(trial), open_data.PLACES)
        found[rows[trial]["surface"]].append(sway_measures(trace))
    for row in ROWS:
        key = row.key.strip("`")
        for told, surface in ((row.firm, "firm"), (row.foam, "foam")):
            if key in FOOT_MEASURES:
                assert told == "–"
                continue
            low, high = (float(text) for text in told.split(" to "))
            values = [trial[key] for trial in found[surface]]
            assert (low, high) == pytest.approx((min(values), max(values)), rel=0.006)
