from __future__ import annotations

import pytest

from swaytrainer.errors import SwaytrainerError
from swaytrainer.squad.contest_file import read_contest

GOOD = """title = "Autumn cup"
level = "open"
since = 2026-11-28T09:00:00+01:00
until = 2026-11-28T18:00:00+01:00
seed = 4711

[[class]]
name = "Up to 140 cm"
vaulters = ["Wren", "Tarn"]

[[class]]
name = "Seniors"
vaulters = ["Mika"]

[[team]]
name = "Otters"
vaulters = ["Wren", "Mika"]

[[ruling]]
vaulter = "Wren"
kind = "repeat"
recording = "a.sway"
trial = 2
reason = "the cable was pulled"
"""
OTHER_TEAM = '[[team]]\nname = "B"\nvaulters = ["Wren", "Tarn"]\n'
NAMES = ["Wren", "Tarn", "Mika", "Romy"]


def test_a_contest_is_what_its_file_says() -> None:
    told = read_contest(GOOD, "cup.toml", NAMES, ["open"])
    assert told.classes == {"Up to 140 cm": ("Wren", "Tarn"), "Seniors": ("Mika",)}
    assert (told.trials, told.team_counts, told.rulings[0].trial) == (3, 2, 2)


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        ('"open"', '"shut"', "no such level"),
        ("T09:00:00+01:00", "T09:00:00", "a time with its zone"),
        ("T18:00", "T08:00", "later than 'since'"),
        ("seed = 4711", "seed = 1.5", "'seed' must be a whole number"),
        ("seed = 4711", "sede = 4711", "'sede' is not a field"),
        ('"Tarn"]', '"Tarm"]', "names 'Tarm', who is not a vaulter here"),
        ('["Mika"]', '["Wren"]', "'Wren' is entered twice"),
        ('["Wren", "Mika"]', '["Romy"]', "'Romy', who is not entered"),
        ('"Seniors"', '"Up to 140 cm"', "two of a class"),
        ('["Mika"]', "[]", "has no vaulters"),
        ("trial = 2", "trail = 2", "'trail' is not a field"),
        ("trial = 2", "", "'trial' must be a whole number"),
        ('recording = "a.sway"', "", "must name the 'recording'"),
        ('["Wren", "Mika"]', '["Wren"]', "fewer members than the 2"),
        (
            "[[ruling]]",
            '[[team]]\nname = "B"\nvaulters = ["Wren", "Tarn"]\n[[ruling]]',
            "in two teams",
        ),
        ('"repeat"', '"again"', "'kind' must be"),
        ('reason = "the cable was pulled"', "", "needs a 'reason'"),
        ('title = "Autumn cup"', "title = 3", "'title' must be a text"),
        ("[[class]]", "[[clas]]", "is not a field"),
    ],
)
def test_what_is_wrong_is_told(old: str, new: str, why: str) -> None:
    with pytest.raises(SwaytrainerError, match=why):
        read_contest(GOOD.replace(old, new), "cup.toml", NAMES, ["open"])
