from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.squad.contest_file import read_contest
from swaytrainer.training.vaulter import Vaulter

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
NAMES = [Vaulter(name) for name in ("Wren", "Tarn", "Mika", "Romy")]


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
        ('"Seniors"', '"Up to 140 cm"', r"there are two (\[\[class\]\]|of a class)"),
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


BY_FIELDS = """title = "Autumn cup"
level = "open"
since = 2026-11-28T09:00:00+01:00
until = 2026-11-28T18:00:00+01:00
warm_up = 1

[[class]]
name = "Under 140 cm"
height_mm = [0, 1400]

[[class]]
name = "140 cm and more"
height_mm = [1400, 2300]
"""


def squad() -> list[Vaulter]:
    return [
        Vaulter("Wren", height_mm=1399.0, born=2014),
        Vaulter("Tarn", height_mm=1400.0, born=2012),
        Vaulter("Mika", height_mm=1720.0, born=2001),
    ]


def test_classes_by_height_part_at_the_number_and_leave_nobody_out() -> None:
    told = read_contest(BY_FIELDS, "cup.toml", squad(), ["open"])
    assert told.classes == {"Under 140 cm": ("Wren",), "140 cm and more": ("Tarn", "Mika")}
    assert (told.warm_up, told.outside) == (1, ())


def test_classes_by_year_take_both_ends_and_say_who_is_in_none() -> None:
    text = BY_FIELDS[: BY_FIELDS.index("[[class]]")]
    text += '[[class]]\nname = "2012 to 2014"\nborn = [2012, 2014]\n'
    told = read_contest(text, "cup.toml", squad(), ["open"])
    assert told.classes == {"2012 to 2014": ("Wren", "Tarn")}
    assert told.outside == ("Mika",)


def test_who_joins_without_the_field_is_told_and_stops_nobody() -> None:
    there = [*squad(), Vaulter("Romy"), Vaulter("Jale")]
    told = read_contest(BY_FIELDS, "cup.toml", there, ["open"])
    assert told.unmeasured == ("Romy", "Jale")
    assert told.classes == {"Under 140 cm": ("Wren",), "140 cm and more": ("Tarn", "Mika")}
    [sentence] = told.left_out()
    assert "for want of height or year of birth: Romy, Jale" in sentence
    with pytest.raises(SwaytrainerError, match=r"not known of Romy, Jale"):
        read_contest(BY_FIELDS, "cup.toml", there[3:], ["open"])
    entered = BY_FIELDS.replace("warm_up = 1", 'warm_up = 1\nentries = ["Wren", "Jale"]')
    with pytest.raises(SwaytrainerError, match=r"Jale: entered, and in no class.*--height MM"):
        read_contest(entered, "cup.toml", there, ["open"])
    some = BY_FIELDS.replace("warm_up = 1", 'warm_up = 1\nentries = ["Wren", "Mika"]')
    told = read_contest(some, "cup.toml", there, ["open"])
    assert told.classes == {"Under 140 cm": ("Wren",), "140 cm and more": ("Mika",)}


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        ("[1400, 2300]", "[1300, 2300]", "'Wren' is in two classes"),
        ("[1400, 2300]", "[2300, 1400]", "from the smaller to the larger"),
        ("[1400, 2300]", '["a", 2300]', "must be two numbers"),
        ("[1400, 2300]", "[1400]", "must be two numbers"),
        ("warm_up = 1", "warm_up = 4", "'warm_up' must be a whole number from 0 to 3"),
        ("warm_up = 1", 'entries = ["Nobody"]', "'Nobody', who is not a vaulter here"),
        ("warm_up = 1", "entries = 3", "a list of names"),
        ("warm_up = 1", 'entries = ["Wren", "Tarn", "Mika", "Wren"]', "names somebody twice"),
        ("140 cm and more", "Under 140 cm", r"there are two (\[\[class\]\]|of a class)"),
    ],
)
def test_what_is_wrong_with_classes_by_fields_is_told(old: str, new: str, why: str) -> None:
    assert old in BY_FIELDS
    with pytest.raises(SwaytrainerError, match=why):
        read_contest(BY_FIELDS.replace(old, new, 1), "cup.toml", squad(), ["open"])


@pytest.mark.parametrize(
    ("entry", "why"),
    [
        ('vaulters = ["Wren"]', "two or more of one class"),
        ('vaulters = ["Wren", "Mika"]', "two or more of one class"),
        ('vaulters = ["Tarn", "Nobody"]', "'Nobody'"),
        ('vaulters = ["Tarn", "Mika"]\nsince = 3', "a time with its zone"),
        ('vaulters = ["Tarn", "Mika"]\nsinse = 3', "nothing else"),
    ],
)
def test_a_stand_off_that_cannot_be_is_told(entry: str, why: str) -> None:
    with pytest.raises(SwaytrainerError, match=why):
        read_contest(f"{BY_FIELDS}\n[[stand_off]]\n{entry}\n", "cup.toml", squad(), ["open"])


def test_a_class_that_nobody_is_in_yet_stops_nobody() -> None:
    text = BY_FIELDS.replace("[1400, 2300]", "[2200, 2300]")
    told = read_contest(text, "cup.toml", squad(), ["open"])
    assert told.classes == {"Under 140 cm": ("Wren",), "140 cm and more": ()}
    assert told.outside == ("Tarn", "Mika")


def test_without_whoever_is_erased_the_rest_is_as_it_was() -> None:
    text = GOOD + '\n[[stand_off]]\nvaulters = ["Wren", "Tarn"]\n'
    there = [v for v in NAMES if v.name != "Wren"]
    told = read_contest(text, "cup.toml", there, ["open"], lambda name: name == "Wren")
    assert told.classes == {"Up to 140 cm": ("Tarn",), "Seniors": ("Mika",)}
    assert told.teams == {"Otters": ("Mika",)}
    assert (told.rulings, told.stand_offs, told.gone) == ((), (), 1)
    assert "1." in told.left_out()[0]
    # A name that nobody erased is a misspelling as before; who is back in the list is in.
    with pytest.raises(SwaytrainerError, match="'Wren', who is not a vaulter here"):
        read_contest(text, "cup.toml", there, ["open"], lambda name: name == "Tarn")
    assert read_contest(text, "cup.toml", NAMES, ["open"], lambda _: True).gone == 0


@given(st.sets(st.sampled_from([v.name for v in NAMES])))
def test_whoever_of_them_is_erased_it_is_read(erased: set[str]) -> None:
    text = GOOD + '\n[[stand_off]]\nvaulters = ["Wren", "Tarn"]\n'
    there = [v for v in NAMES if v.name not in erased]
    told = read_contest(text, "cup.toml", there, ["open"], erased.__contains__)
    entered = {name for names in told.classes.values() for name in names}
    assert entered == {"Wren", "Tarn", "Mika"} - erased
    assert told.gone == len({"Wren", "Tarn", "Mika"} & erased)
    for names in (*told.teams.values(), *(s.vaulters for s in told.stand_offs)):
        assert set(names) <= entered


def test_two_of_one_name_are_told() -> None:
    with pytest.raises(SwaytrainerError, match="two vaulters called 'Wren'"):
        read_contest(BY_FIELDS, "cup.toml", [*squad(), Vaulter("Wren")], ["open"])
