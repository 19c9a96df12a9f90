from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.squad.plan import plan_text, read_plan
from swaytrainer.training.level_file import shipped_levels

GOOD = """# ours
[[group]]
name = "Juniors"
vaulters = ["Wren", "Tarn"]
levels = ["a", "b"]
minutes = 6

[[group]]
name = "Seniors"
vaulters = ["Mika"]
"""
NAMES = ["Wren", "Tarn", "Mika"]


def test_a_plan_tells_groups_in_their_order() -> None:
    plan = read_plan(GOOD, "squad.toml", NAMES, ["a", "b"])
    assert plan.vaulters == ("Wren", "Tarn", "Mika")
    juniors = plan.group_of("Tarn")
    assert juniors is not None
    assert (juniors.levels, juniors.minutes) == (("a", "b"), 6.0)
    assert plan.group_of("Nobody") is None


@pytest.mark.parametrize(
    ("old", "new", "why"),
    [
        ('"Wren", ', '"Wrenn", ', r"line 4: 'vaulters' names 'Wrenn'"),
        ('"a", "b"', '"a", "c"', r"line 5: 'levels' names 'c'"),
        ('["Mika"]', '["Wren"]', r"line 10: 'vaulters' 'Wren' is in two groups"),
        ("minutes = 6", "minutes = 600", r"line 6: 'minutes' must be a number from 1 to 30"),
        ("minutes = 6", "minutes = nan", r"'minutes' must be a number"),
        ("minutes = 6", "minute = 6", r"line 6: 'minute' is not a field"),
        ('name = "Juniors"', "name = 3", r"line 3: 'name' is missing"),
        ('name = "Seniors"', "", r"group 2: 'name' is missing"),
        ('["Mika"]', '"Mika"', r"must be a list"),
        ("[[group]]", "[group]", r"write \[\[group\]\]|not valid TOML"),
        ("# ours", "ours", r"not valid TOML"),
    ],
)
def test_what_is_wrong_is_told_with_its_line(old: str, new: str, why: str) -> None:
    with pytest.raises(SwaytrainerError, match=why):
        read_plan(GOOD.replace(old, new), "squad.toml", NAMES, ["a", "b"])


@given(st.lists(st.text(min_size=1, max_size=30), min_size=1, max_size=5, unique=True))
def test_a_plan_to_begin_with_can_be_read_whatever_they_are_called(names: list[str]) -> None:
    printable = [name for name in names if name.isprintable()] or ["Wren"]
    plan = read_plan(plan_text({"Squad": printable}), "squad.toml", printable, [])
    assert plan.vaulters == tuple(printable)
    assert plan.groups[0].levels == ()


def test_the_levels_that_the_plan_to_begin_with_shows_are_there() -> None:
    text = plan_text({"Squad": ["Wren"]}).replace("# levels = [", "levels = [")
    assert "\nlevels = [" in text
    plan = read_plan(text, "squad.toml", ["Wren"], [level.id for level in shipped_levels()])
    assert len(plan.groups[0].levels) == 2
