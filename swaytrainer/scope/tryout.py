"""How many simulated vaulters would pass a level: a feeling for a number that is being changed.

Ten of the simulated players of the level's game, evenly from a beginner to an expert, play one
trial each. They are no people: how skill looks is our own guess, made so that marks rise with what
they should mark; and not each feels every base.
"""

from __future__ import annotations

from typing import Final, NamedTuple

from swaytrainer.players import mark_of
from swaytrainer.training.level import CALM_BASES, Level

VAULTERS: Final = 10
_STANCE: Final = "two feet"


class Tried(NamedTuple):
    """How many passed, of how many; or in ``reason`` why nobody was asked; else what to mind."""

    passed: int
    of: int
    marks: tuple[float, ...]
    reason: str = ""
    remark: str = ""

    def told(self) -> str:
        """In a sentence or two."""
        if self.reason:
            return self.reason
        shown = ", ".join(f"{mark:.1f}" for mark in self.marks)
        said = (
            f"About {self.passed} of {self.of} simulated vaulters would pass (marks from the"
            f" beginner's to the expert's: {shown}). They are no people."
        )
        return f"{said} {self.remark}".strip()


def skills(many: int = VAULTERS) -> tuple[float, ...]:
    """Evenly from a beginner to an expert.

    >>> [round(skill, 2) for skill in skills(3)]
    [0.05, 0.5, 0.95]
    """
    return tuple(0.05 + 0.9 * n / (many - 1) for n in range(many))


def try_level(level: Level, seed: int = 1) -> Tried:
    """Let the ten play one trial each."""
    if level.stance != _STANCE:
        return Tried(0, 0, (), "The simulated vaulters stand on both feet only.")
    marks = tuple(mark_of(level, skill, seed + n) for n, skill in enumerate(skills()))
    passed = sum(mark >= level.pass_mark for mark in marks)
    remark = ""
    if level.base not in CALM_BASES:
        remark = "A tipping base is only roughly theirs: expect it to be harder."
    return Tried(passed, VAULTERS, marks, remark=remark)
