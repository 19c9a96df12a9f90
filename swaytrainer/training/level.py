"""A level: what is asked of the vaulter in one trial, and how hard it is marked."""

from __future__ import annotations

from dataclasses import dataclass

#: Words a level file may use (games: ``tasks.catalogue``; feedback: ``feedback``). The first of
#: each is the easiest.
BASES = ("firm", "foam", "dome", "disc", "still barrel", "moving barrel")
#: A vaulter alone may be offered these; from any other somebody can be thrown.
CALM_BASES = ("firm", "foam")
STANCES = ("two feet", "squat", "left leg", "right leg")
EYES = ("open", "closed")


@dataclass(frozen=True, slots=True)
class MarkPart:
    """One marked measure: the value that earns nothing, the value that earns all, its weight.

    The part is ``weight * 10 * clip((value - nothing_at) / (all_at - nothing_at), 0, 1)``; the
    weights of a level's parts add up to one.
    """

    measure: str
    nothing_at: float
    all_at: float
    weight: float


@dataclass(frozen=True, slots=True)
class Level:
    """One level, as read from its file. Percentages 0-100, times in s, the band in toe share.

    ``task`` holds the numbers of its game's own that the file gives, by name.
    """

    id: str
    title: str
    game: str
    purpose: str
    base: str
    stance: str
    eyes: str
    seconds: float
    trials: int
    rest_s: float
    band_low_percent: float
    band_high_percent: float
    feedback: str
    parts: tuple[MarkPart, ...]
    pass_mark: float
    spotter: bool
    cautions: tuple[str, ...]
    task: tuple[tuple[str, float], ...] = ()
