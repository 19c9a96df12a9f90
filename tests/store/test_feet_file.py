"""Found feet: kept behind each other, the newest count, rubbish is refused and nothing lost."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sitting.sitting import Sitting, feet_of
from swaytrainer.store.feet_file import feet_from, feet_json, newest_feet, with_feet
from swaytrainer.store.home import Home
from swaytrainer.store.recording import head_block, parse_recording
from swaytrainer.training.found_feet import FoundFeet
from tests.streams import board_of, setup_for

NOON = datetime(2026, 5, 2, 12, 0, tzinfo=UTC)
WRENS = FoundFeet("Wren", "two feet", NOON, 31.0, 171.5, -92.0, 90.0, 2.5, 5.0)

names = st.text(st.characters(exclude_categories=("Cs", "Cc")), min_size=1, max_size=20)


def test_the_newest_of_this_vaulter_in_this_stance_counts(tmp_path: Path) -> None:
    home = Home(tmp_path)
    assert home.found_feet("Wren", "two feet") is None
    later = replace(WRENS, made=NOON + timedelta(days=1), heel_mm=33.0)
    for feet in (WRENS, later, replace(WRENS, vaulter="Ida"), replace(WRENS, stance="squat")):
        path = home.keep_feet(feet)
    assert home.found_feet("Wren", "two feet") == later
    assert home.found_feet("Ida", "two feet") == replace(WRENS, vaulter="Ida")
    assert home.found_feet("Ida", "squat") is None
    assert path.read_text().count("[[feet]]") == 4  # none is overwritten


@given(names, names, st.floats(20, 60), st.floats(0.1, 29))
def test_what_is_kept_is_read_back(vaulter: str, stance: str, heel: float, u: float) -> None:
    feet = replace(WRENS, vaulter=vaulter, stance=stance, heel_mm=heel, u_line_mm=u)
    text = with_feet(with_feet("# ours", WRENS), feet)
    assert text.startswith("# ours\n")
    assert newest_feet(text, "x", vaulter, stance) == feet
    assert feet_from(feet_json(feet)) == feet


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("heel_mm = 31.0", ""),
        ("heel_mm = 31.0", "heel_mm = true"),
        ("heel_mm = 31.0", "heel_mm = nan"),
        ("ball_mm = 171.5", "ball_mm = 31.5"),
        ("+00:00", ""),
        ("[[feet]]", "[feet]"),
        ('"Wren"', "7"),
        ("heel_mm = ", "heel_mm"),
    ],
)
def test_rubbish_is_refused_and_stays(tmp_path: Path, old: str, new: str) -> None:
    home = Home(tmp_path)
    path = home.keep_feet(WRENS)
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new, 1))
    with pytest.raises(SwaytrainerError):
        home.found_feet("Wren", "two feet")
    with pytest.raises(SwaytrainerError):
        home.keep_feet(WRENS)
    assert path.read_text() == text.replace(old, new, 1)


def test_a_sitting_uses_them_and_its_recording_keeps_them() -> None:
    setup = replace(setup_for(board_of()), feet=WRENS)
    feet = feet_of(setup)
    line = setup.calibration.heel_line_mm
    assert (feet.heel_y_mm, feet.ball_y_mm) == (line + 31.0, line + 171.5)
    assert Sitting(setup).feet == feet
    recording = parse_recording(head_block(setup, "2026-05-02"), "x")
    assert recording.setup == setup
    assert feet_of(replace(setup, feet=None)).heel_y_mm != feet.heel_y_mm
