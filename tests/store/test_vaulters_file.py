"""The list of vaulters: what is written comes back, what is wrong is told, nothing is lost."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.vaulters_file import added, changed, read_vaulters
from swaytrainer.training.vaulter import Vaulter, plain_name

WREN = Vaulter("Wren", 205.0, 150.0, 1320.0, 2014, "Juniors", "Old ankle sprain: a spotter.")
LINES = st.text(st.characters(codec="utf-8").filter(lambda c: c.isprintable()), max_size=60).map(
    str.strip
)


def test_a_file_of_an_older_version_is_read() -> None:
    text = '[[vaulter]]\nname = "Wren"\nfoot_length_mm = 205\nstance_width_mm = 150\n'
    [wren] = read_vaulters(text, "a")
    assert wren == Vaulter("Wren", 205.0, 150.0)
    assert (wren.born, wren.group, wren.caution) == (None, "", "")


@given(
    st.lists(
        st.builds(
            Vaulter,
            name=LINES.filter(bool) | st.just("=cmd|' /C calc'!A0") | st.just("ä" * 300),
            height_mm=st.none() | st.floats(700.0, 2300.0),
            born=st.none() | st.integers(1900, 2100),
            group=LINES,
            caution=LINES,
        ),
        max_size=5,
        unique_by=lambda v: plain_name(v.name),
    )
)
def test_whatever_is_added_comes_back(vaulters: list[Vaulter]) -> None:
    text = "# our squad\n"
    for vaulter in vaulters:
        text = added(text, "a", vaulter)
    assert read_vaulters(text, "a") == vaulters
    assert text.startswith("# our squad\n")


def test_a_change_leaves_all_else_and_an_emptied_note_goes() -> None:
    text = added(added("# first\n", "a", WREN), "a", Vaulter("Tarn"))
    text = text.replace('group = "Juniors"', 'group = "Juniors" # since May')
    new = changed(text, "a", replace(WREN, caution="", foot_length_mm=210.0))
    assert "caution" not in new
    assert "# since May" in new
    assert new.startswith("# first\n")
    assert read_vaulters(new, "a") == [replace(WREN, caution="", foot_length_mm=210.0),
                                       Vaulter("Tarn")]  # fmt: skip
    older = changed(new, "a", replace(WREN, height_mm=None, born=None))
    assert read_vaulters(older, "a")[0] == replace(WREN, height_mm=None, born=None)


@pytest.mark.parametrize(
    "other", ["wren", " WREN ", "\u0057\u0072\u0065\u006e", "Ädla", "A\u0308DLA", "ÄDLA"]
)
def test_two_of_one_name_are_refused_however_it_is_written(other: str) -> None:
    text = added(added("", "a", WREN), "a", Vaulter("Ädla"))
    with pytest.raises(SwaytrainerError, match="already a vaulter called"):
        added(text, "a", Vaulter(other))
    by_hand = text + f'\n[[vaulter]]\nname = "{other}"\n'
    with pytest.raises(SwaytrainerError, match="vaulter 3: there is already one"):
        read_vaulters(by_hand, "vaulters.toml")


@pytest.mark.parametrize(
    ("vaulter", "why"),
    [
        (replace(WREN, born=2027), "a year from 1900 to 2026"),
        (replace(WREN, born=1899), "a year from 1900"),
        (replace(WREN, born=14), "a year from 1900"),
        (replace(WREN, group="a\nb"), "group must be a text of one line"),
        (replace(WREN, group="g" * 61), "60 letters at most"),
        (replace(WREN, caution="c" * 201), "200 letters at most"),
    ],
)
def test_what_cannot_be_is_refused(vaulter: Vaulter, why: str) -> None:
    with pytest.raises(SwaytrainerError, match=why):
        added("", "a", vaulter, 2026)


@pytest.mark.parametrize("line", ["born = 2014.5", 'born = "2014"', "born = true", "group = 3"])
def test_a_wrong_type_is_told(line: str) -> None:
    with pytest.raises(SwaytrainerError, match="vaulter 1"):
        read_vaulters(f'[[vaulter]]\nname = "Wren"\n{line}\n', "a")
