"""Who must stand by, and when the cautions are due."""

from dataclasses import replace
from datetime import date

import pytest

from swaytrainer.errors import SwaytrainerError
from swaytrainer.training.level import BASES
from swaytrainer.training.level_file import level_text, read_level, shipped_levels
from swaytrainer.training.risk import (
    CautionsSeen,
    Risk,
    needs_spotter,
    offered,
    reasons,
    reasons_of,
    risk_of,
)
from swaytrainer.training.tasks.catalogue import KINDS

SHORE = shipped_levels()[0]


@pytest.mark.parametrize("base", BASES)
def test_a_base_that_can_throw_somebody_has_a_reason(base: str) -> None:
    calm = base in ("firm", "foam")
    assert bool(reasons_of(base, "open", False)) is not calm
    assert len(reasons_of(base, "closed", True)) == (2 if calm else 3)


def test_an_unknown_base_is_no_calm_one() -> None:
    assert reasons_of("trampoline", "open", False)


def test_a_file_that_forgets_the_spotter_is_refused_and_the_level_not_offered() -> None:
    dome = replace(SHORE, base="dome", spotter=False)
    with pytest.raises(SwaytrainerError, match="spotter"):
        read_level(level_text(dome), "x")
    assert needs_spotter(dome)
    asked = replace(SHORE, spotter=True)
    assert not reasons(asked)
    assert offered([SHORE, dome, asked], spotter=False) == (SHORE,)
    assert offered([SHORE, dome, asked], spotter=True) == (SHORE, dome, asked)


def test_a_landing_needs_a_spotter(monkeypatch: pytest.MonkeyPatch) -> None:
    hop = replace(KINDS["millpond"], name="hop", leaves_board=True)
    monkeypatch.setitem(KINDS, "hop", hop)
    landing = replace(SHORE, game="hop")
    assert needs_spotter(landing)
    assert risk_of(landing) == Risk("firm", "open", True)
    with pytest.raises(SwaytrainerError, match="landing"):
        read_level(level_text(landing), "x")


def test_cautions_are_due_once_a_day_for_each_vaulter_and_risk() -> None:
    seen = CautionsSeen()
    today, risk = date(2026, 5, 2), risk_of(SHORE)
    seen.note("Wren", risk, today)
    assert not seen.due("Wren", risk, today)
    assert seen.due("Juniper", risk, today)
    assert seen.due("Wren", risk_of(replace(SHORE, eyes="closed")), today)
    assert seen.due("Wren", risk_of(replace(SHORE, base="foam")), today)
    assert seen.due("Wren", risk, date(2026, 5, 3))
    seen.note("Juniper", risk, date(2026, 5, 3))
    assert seen.due("Wren", risk, today), "yesterday is not kept"
