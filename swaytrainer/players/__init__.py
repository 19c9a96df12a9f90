"""Simulated players, one module a game: how well they play is told by their skill, 0 to 1.

Each module has ``LEVEL``, ``CHEATS`` and ``play(skill, seed, cheat) -> mark``; a trial that does
not count is worth 0. They are no people: they show that a mark rises with what it should mark, and
give a feeling for a level's numbers. ``mark_of`` lets one play any level.
"""

from __future__ import annotations

from collections.abc import Callable

from swaytrainer.training.level import Level


def mark_of(level: Level, skill: float, seed: int) -> float:
    """The mark of one trial at any level of any game; 0 where it does not count.

    Args:
        level: what is asked.
        skill: 0 to 1.
        seed: of what is left to chance.

    Raises:
        KeyError: nobody plays this game.
    """
    return _PLAYS[level.game](level, skill, seed)


def _echo(level: Level, skill: float, seed: int) -> float:
    from swaytrainer.players import echo, steered

    return steered.mark_of(echo.outcome(skill, seed, None, level))


def _four_strides(level: Level, skill: float, seed: int) -> float:
    from swaytrainer.players import canter_visits, four_strides

    return canter_visits.mark_of(four_strides.outcome(skill, seed, None, level))


def _grooming(level: Level, skill: float, seed: int) -> float:
    from swaytrainer.players import grooming

    return grooming.play_level(level, skill, seed)


def _millpond(level: Level, skill: float, seed: int) -> float:
    from swaytrainer.players import millpond

    return millpond.play_level(level, skill, seed)


def _picnic(level: Level, skill: float, seed: int) -> float:
    from swaytrainer.players import picnic

    return picnic.play_level(level, skill, seed)


def _ribbon(level: Level, skill: float, seed: int) -> float:
    from swaytrainer.players import canter_visits, ribbon, ribbon_barrel

    rides = level.base == "moving barrel"
    outcome = ribbon_barrel.outcome if rides else ribbon.outcome
    return canter_visits.mark_of(outcome(skill, seed, None, level))


def _roost(level: Level, skill: float, seed: int) -> float:
    from swaytrainer.players import roost, visits

    return visits.mark_of(roost.outcome(skill, seed, None, level))


def _tray(level: Level, skill: float, seed: int) -> float:
    from swaytrainer.players import steered, tray

    return steered.mark_of(tray.outcome(skill, seed, None, level))


def _well(level: Level, skill: float, seed: int) -> float:
    from swaytrainer.players import visits, well

    return visits.mark_of(well.outcome(skill, seed, None, level))


_PLAYS: dict[str, Callable[[Level, float, int], float]] = {
    "echo": _echo,
    "four-strides": _four_strides,
    "grooming": _grooming,
    "millpond": _millpond,
    "picnic": _picnic,
    "ribbon": _ribbon,
    "roost": _roost,
    "tray": _tray,
    "well": _well,
}
