"""Each shipped level is passed by a skilled player and failed by one without skill."""

from collections.abc import Callable
from statistics import fmean

import pytest

from swaytrainer.players import grooming, picnic
from swaytrainer.training.level import Level

PLAYED = [
    (module.play_level, level) for module in (picnic, grooming) for level in module.LEVELS.values()
]


@pytest.mark.parametrize(("play", "level"), PLAYED, ids=[level.id for _, level in PLAYED])
def test_skill_decides(play: Callable[[Level, float, int], float], level: Level) -> None:
    def mark(skill: float) -> float:
        return fmean(play(level, skill, seed) for seed in range(3))

    assert mark(0.0) < level.pass_mark - 0.3
    assert mark(1.0) > level.pass_mark + 2.0
