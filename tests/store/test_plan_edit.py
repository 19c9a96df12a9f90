"""A plan changed by groups: it reads as it was meant, and what else stands in it stays."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.squad.plan import Group, plan_text, read_plan
from swaytrainer.store.plan_edit import Kept, edited_plan

NAMES = ("Wren", "Tarn", "=cmd / Ämy 🐎", 'a "b" \\', "W" * 300)
LEVELS = ("a", "b", "c")
TEXT = """# ours

[[group]]
name = "Juniors"   # the small ones
vaulters = ["Wren", "Tarn"]
# levels = ["a"]
minutes = 6

[[group]]
name = "Others"
vaulters = []
station = "left"
# the end
"""


def edited(text: str, groups: list[Kept]) -> str:
    return edited_plan(text, "squad.toml", groups, NAMES, LEVELS)


def groups_in(text: str) -> list[Group]:
    return list(read_plan(text, "squad.toml", NAMES, LEVELS).groups)


def test_comments_stay_with_their_groups_and_nothing_changed_is_no_letter_changed() -> None:
    juniors, others = groups_in(TEXT)
    assert edited(TEXT, [(0, juniors), (1, others)]) == TEXT
    new = edited(TEXT, [(1, others), (0, juniors)])
    assert groups_in(new) == [others, juniors]
    for comment in ("# ours", "# the small ones", '# levels = ["a"]', "# the end"):
        assert new.count(comment) == 1
    assert groups_in(edited(TEXT, [])) == []
    assert edited("", [(None, juniors)]).startswith("[[group]]")


group = st.builds(
    Group,
    st.sampled_from(["Juniors", "Ä / ß", 'quoted "x"', "W" * 300]),
    st.just(()),
    st.lists(st.sampled_from(LEVELS), max_size=3).map(tuple),
    st.sampled_from([1.0, 6.5, 8.0, 30.0]),
    st.sampled_from(["", "left"]),
)


@given(st.data())
def test_whatever_is_done_to_the_groups_reads_as_it_was_meant(data: st.DataObject) -> None:
    text = data.draw(st.sampled_from([TEXT, "", plan_text({"Squad": list(NAMES)})]))
    for _ in range(3):
        there = list(enumerate(groups_in(text)))
        kept: list[Kept] = list(data.draw(st.permutations(there)))
        kept = kept[: data.draw(st.integers(0, 3))]
        kept = [(n, data.draw(group)) if data.draw(st.booleans()) else (n, g) for n, g in kept]
        kept += [(None, g) for g in data.draw(st.lists(group, max_size=2))]
        free = list(data.draw(st.permutations(NAMES)))
        # Each name in one group at most.
        wanted: list[Kept] = []
        for n, g in kept:
            take = data.draw(st.integers(0, 2))
            wanted.append((n, Group(g.name, tuple(free[:take]), g.levels, g.minutes, g.station)))
            free = free[take:]
        text = edited(text, wanted)
        assert groups_in(text) == [g for _, g in wanted]


def test_what_cannot_be_changed_without_a_risk_is_left_to_the_text() -> None:
    inline = 'group = [{name = "A", vaulters = ["Wren"]}]\n'
    juniors = groups_in(inline)[0]
    with pytest.raises(SwaytrainerError, match="as text"):
        edited(inline, [(0, juniors), (None, Group("B", ("Tarn",)))])
    with pytest.raises(SwaytrainerError, match="'Nobody'"):
        edited(TEXT, [(None, Group("B", ("Nobody",)))])
