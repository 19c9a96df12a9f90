"""Guided calibration: the empty board, known masses on nine marks, the empty board again.

The first mass goes on every mark, each further one on five of them: what it adds is a check of
the masses and of the board's linearity. The guide takes a reading by itself once a mass lies
still, says what it waits for, and doesn't take a mass that lies on another mark, weighs something
else, or a board on which somebody stands. What it has read, ``board.fit`` turns into a calibration.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from swaytrainer.board.calibration import Calibration, Vector4
from swaytrainer.board.fit import CELL_NAMES, Reading, Spot
from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.board.steady import LastSecond, Mean
from swaytrainer.errors import SwaytrainerError
from swaytrainer.words import say

__all__ = ["CELL_KG", "Guide", "Spot", "Task", "few_spots", "marked_spots", "nominal_gain_n"]

#: Counts of a 24-bit converter: some thirty times its noise, and far below the step of a mass.
_STEADY_COUNTS: Final = 1200.0
_MOVED_COUNTS: Final = 4000.0
#: After so long without rest a sentence says so.
_PATIENCE_S: Final = 6.0
#: The build's cells, kg each.
CELL_KG: Final = 200.0
#: Further masses go on these of the marks: the middle and the corners.
_FURTHER: Final = ("the middle", "front left", "front right", "rear right", "rear left")
#: How far out the marks are, as a share of the way to the cells. At a corner beyond one half each
#: way a light plate would lift off the cell across.
_MARK_SHARE: Final = 0.5
#: A mass of a kilogram or two is no calibration; more than a hundred nobody lifts.
_LEAST_KG, _MOST_KG = 5.0, 100.0
_POUNDS_IN_KG: Final = 2.2046226
#: By how much a typed mass may differ from what a board of this build makes of it.
_BUILD_SHARE: Final = 0.25
#: By how much a mass may differ once the gains are known roughly.
_SAME_SHARE: Final = 0.12
#: The zero of an empty board lies within this of its last calibration, N in all.
_EMPTY_N: Final = 40.0
#: Without one: no cell's zero is further off than this share of its capacity (cells of this kind
#: promise a few per cent, from memory).
_ZERO_SHARE: Final = 0.1


def nominal_gain_n(cell_kg: float) -> float:
    """Newtons a count of a cell of that capacity: 2 mV/V at 5 V, ±20 mV over 24 bits."""
    return cell_kg * STANDARD_GRAVITY / (0.010 / 0.020 * 2**23)


def marked_spots(half_width_mm: float, half_depth_mm: float) -> tuple[Spot, ...]:
    """The nine marks: the middle, then clockwise from front left, half-way to the cells."""
    x, y = half_width_mm * _MARK_SHARE, half_depth_mm * _MARK_SHARE
    return (
        Spot("the middle", 0.0, 0.0),
        Spot("front left", -x, y),
        Spot("the front", 0.0, y),
        Spot("front right", x, y),
        Spot("the right", x, 0.0),
        Spot("rear right", x, -y),
        Spot("the rear", 0.0, -y),
        Spot("rear left", -x, -y),
        Spot("the left", -x, 0.0),
    )


def few_spots(half_width_mm: float, half_depth_mm: float) -> tuple[Spot, ...]:
    """Five of the nine: the middle and the corners, for a demonstration in a hurry."""
    spots = marked_spots(half_width_mm, half_depth_mm)
    return (spots[0], *spots[1::2])


def check_masses(masses_kg: Sequence[float]) -> None:
    """Refuse masses that no calibration is made with.

    Raises:
        SwaytrainerError: too light, too heavy (with the unit that was perhaps meant), or twice
            the same.
    """
    for mass in masses_kg:
        if math.isfinite(mass) and _LEAST_KG <= mass <= _MOST_KG:
            continue
        remedy = f"Take {_LEAST_KG:g} to {_MOST_KG:g} kg, weighed, and give it in kilograms."
        if math.isfinite(mass) and _LEAST_KG <= mass / 1000.0 <= _MOST_KG:
            remedy = f"Give it in kilograms: if these are grams, --mass {mass / 1000.0:g}."
        raise SwaytrainerError(f"A mass of {mass:g} kg can't calibrate a board.", remedy)
    ordered = sorted(masses_kg)
    for a, b in pairwise(ordered):
        if b < 1.1 * a:
            raise SwaytrainerError(
                f"Two masses of {a:g} and {b:g} kg tell no more than one.",
                "Give masses that differ by a tenth or more, such as 10 and 20 kg.",
            )


@dataclass(frozen=True, slots=True)
class Task:
    """One step: a mass on a spot, or (spot None) the empty board."""

    spot: Spot | None
    mass_kg: float = 0.0

    @property
    def words(self) -> str:
        """What to do, one line."""
        if self.spot is None:
            return "Leave the board empty."
        return say("Put {mass:g} kg on {spot}.", mass=self.mass_kg, spot=self.spot.name)


class Guide:
    """Watches raw counts and takes a reading once the board is as the task wants it, and still.

    Pure: fed with samples, asked for what to do next.

    Args:
        spots: the marks, in the order in which the first mass is to be moved. The first must be
            the middle: there each cell bears a quarter, which tells gains and signs roughly.
        masses_kg: one or more known masses; the first goes on all the marks.
        gravity_m_s2: the place's own, if known.
        before: an older calibration of this board, for what its zeros and gains should be.
        cell_kg: capacity of a cell, for the same where there is no older calibration.

    Attributes:
        readings: what was taken so far.
        hint: why it waits, if something is not as the task wants it; else empty.
    """

    def __init__(
        self,
        spots: Sequence[Spot],
        masses_kg: float | Sequence[float],
        gravity_m_s2: float = STANDARD_GRAVITY,
        before: Calibration | None = None,
        cell_kg: float = CELL_KG,
    ) -> None:
        masses = (masses_kg,) if isinstance(masses_kg, int | float) else tuple(masses_kg)
        if not masses or not spots:
            raise ValueError("a guide needs a mass and a spot")
        self.spots = tuple(spots)
        further = [s for s in spots if s.name in _FURTHER]
        self.tasks: tuple[Task, ...] = (
            Task(None),
            *(Task(spot, masses[0]) for spot in spots),
            *(Task(spot, mass) for mass in masses[1:] for spot in further),
            Task(None),
        )
        self.readings: list[Reading] = []
        self.hint = ""
        self._gravity = gravity_m_s2
        self._before = before
        self._build_n = nominal_gain_n(cell_kg)
        if before is not None:
            self._build_n = sum(abs(g) for g in before.gain_n_per_count) / 4.0
        self._full_n = cell_kg * STANDARD_GRAVITY
        self._cell_kg = cell_kg
        self._gains: Vector4 | None = None
        self._second = LastSecond()
        self._since_s: float | None = None
        # Where further masses go: the rough gains are only good enough to tell marks apart.
        self._near_mm = 0.45 * min(
            (
                math.hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm)
                for i, a in enumerate(spots)
                for b in spots[:i]
            ),
            default=100.0,
        )
        corner = max(spots, key=lambda s: abs(s.x_mm * s.y_mm))
        self._half_mm = (abs(corner.x_mm) / _MARK_SHARE, abs(corner.y_mm) / _MARK_SHARE)

    @property
    def done(self) -> bool:
        """All is taken."""
        return len(self.readings) == len(self.tasks)

    @property
    def task(self) -> Task | None:
        """What is to be done now, None when all is done."""
        return None if self.done else self.tasks[len(self.readings)]

    @property
    def empty(self) -> Vector4 | None:
        """The empty board's first counts, once they are taken."""
        return self.readings[0].counts if self.readings else None

    @property
    def placed(self) -> list[Reading]:
        """The readings with a mass."""
        return [r for r in self.readings if r.spot is not None]

    @property
    def instruction(self) -> str:
        """What to do now, one line."""
        task = self.task
        if task is None:
            return "Done."
        if task.spot is None and self.readings:
            return "Take the mass off and leave the board empty."
        return task.words

    def update(self, time_s: float, counts: Vector4) -> bool:
        """Take one sample's counts; True when something was just taken.

        Raises:
            SwaytrainerError: a cell is dead, or the mass is not in kilograms.
        """
        task = self.task
        if task is None:
            return False
        if self._since_s is None:
            self._since_s = time_s
        mean = self._second.update(time_s, counts)
        if mean is None:
            return False
        # Cell by cell: a mass that is moved keeps their sum.
        if max(mean.spread_counts) > _STEADY_COUNTS:
            if time_s - self._since_s > _PATIENCE_S and not self.hint:
                self.hint = (
                    "It never rests: keep hands and feet off; if nobody touches it, check the"
                    " supply, the cables and the floor."
                )
            return False
        accepted = self._empty(mean) if task.spot is None else self._mass(mean, task)
        if not accepted:
            return False
        self.readings.append(
            Reading(
                task.spot, task.mass_kg, mean.counts, mean.time_s, mean.noise_counts, mean.samples
            )
        )
        self.hint = ""
        self._second.restart()
        self._since_s = None
        return True

    def _empty(self, mean: Mean) -> bool:
        if self.readings:
            change = self._newtons(mean)
            if max(abs(v) for v in change) > _EMPTY_N or abs(sum(change)) > _EMPTY_N:
                self.hint = "" if self._same_as_last(mean) else "There is still something on it."
                return False
            return True
        before = self._before
        if before is not None:
            loads = before.loads(mean.counts)
            if abs(sum(loads)) > _EMPTY_N:
                self.hint = say(
                    "{force:.0f} N lie on the board by its last calibration: clear it,"
                    " and let nobody stand on it.",
                    force=abs(sum(loads)),
                )
                return False
            return True
        zero_n = max(abs(c) * self._build_n for c in mean.counts)
        if zero_n > _ZERO_SHARE * self._full_n:
            self.hint = say(
                "A cell bears {force:.0f} N: clear the board; if it is empty, a cell is bent or"
                " screwed down askew.",
                force=zero_n,
            )
            return False
        return True

    def _mass(self, mean: Mean, task: Task) -> bool:
        spot = task.spot
        assert spot is not None
        if self._same_as_last(mean):
            return False  # not moved yet
        if self._gains is None:
            return self._first_mass(mean, task)
        loads = self._newtons(mean)
        force = sum(loads)
        weighs_kg = force / self._gravity
        if weighs_kg < 0.2 * task.mass_kg:
            return False  # taken off, or in the hand
        a, b = self._half_mm
        x = a * (loads[1] + loads[3] - loads[0] - loads[2]) / force
        y = b * (loads[0] + loads[1] - loads[2] - loads[3]) / force
        nearest = min(self.spots, key=lambda s: math.hypot(s.x_mm - x, s.y_mm - y))
        if math.hypot(spot.x_mm - x, spot.y_mm - y) > self._near_mm:
            self.hint = say(
                "Not on {spot} yet: it seems to lie on {nearest}. If it does lie there, two cells'"
                " cables are swapped."
                if nearest is not spot
                else "Not on {spot} yet: it lies off. If it does lie there, two cells' cables are"
                " swapped.",
                spot=spot.name,
                nearest=nearest.name,
            )
            return False
        if abs(weighs_kg / task.mass_kg - 1.0) > _SAME_SHARE:
            self.hint = say(
                "That is about {weighs:.1f} kg, not {mass:g}: is it the right mass, and is nobody"
                " touching it?",
                weighs=weighs_kg,
                mass=task.mass_kg,
            )
            return False
        return True

    def _same_as_last(self, mean: Mean) -> bool:
        last = self.readings[-1].counts
        return max(abs(a - b) for a, b in zip(mean.counts, last, strict=True)) < _MOVED_COUNTS

    def _newtons(self, mean: Mean) -> list[float]:
        assert self.empty is not None
        gains = self._gains or (self._build_n,) * 4
        return [g * (c - z) for g, c, z in zip(gains, mean.counts, self.empty, strict=True)]

    def _first_mass(self, mean: Mean, task: Task) -> bool:
        """In the middle: each cell bears a quarter, which tells gain and sign roughly."""
        assert self.empty is not None
        change = [c - z for c, z in zip(mean.counts, self.empty, strict=True)]
        in_all = sum(abs(c) for c in change)
        for name, c in zip(CELL_NAMES, change, strict=True):
            if abs(c) < 0.01 * in_all:
                raise SwaytrainerError(
                    f"The {name} cell doesn't move with {task.mass_kg:g} kg in the middle.",
                    "Check its cable and its screws, then calibrate again.",
                )
        if max(abs(c) for c in change) > 0.4 * in_all or min(abs(c) for c in change) < 0.1 * in_all:
            self.hint = "It doesn't lie in the middle: the four cells bear unequal parts of it."
            return False
        check_unit(task.mass_kg, in_all * self._build_n / self._gravity, self._cell_kg)
        quarter = task.mass_kg * self._gravity / 4.0
        a, b, c, d = (quarter / v for v in change)
        self._gains = (a, b, c, d)
        return True


def check_unit(typed_kg: float, weighs_kg: float, cell_kg: float) -> None:
    """Whether a typed mass is what a board of this build feels.

    Args:
        typed_kg: what was given as kilograms.
        weighs_kg: what the build's gain makes of it, good to a few per cent.
        cell_kg: the build's cells, to name them.

    Raises:
        SwaytrainerError: it isn't, with the unit that was perhaps meant.

    >>> check_unit(20.0, 20.6, 200.0)
    >>> check_unit(44.1, 20.6, 200.0)
    Traceback (most recent call last):
        ...
    swaytrainer.errors.SwaytrainerError: 44.1 kg on the board weigh like 20.6 kg. If these are
    pounds, give --mass 20 (44.1 lb are 20.00 kg).
    """
    ratio = typed_kg / weighs_kg
    if abs(ratio - 1.0) <= _BUILD_SHARE:
        return
    what = f"{typed_kg:g} kg on the board weigh like {weighs_kg:.1f} kg."
    for unit, short, per_kg, share in (
        ("pounds", "lb", _POUNDS_IN_KG, 0.06),
        ("newtons", "N", STANDARD_GRAVITY, 0.1),
        ("grams", "g", 1000.0, _BUILD_SHARE),
    ):
        if abs(ratio / per_kg - 1.0) <= share:
            meant = typed_kg / per_kg
            raise SwaytrainerError(
                what,
                f"If these are {unit}, give --mass {meant:.4g} ({typed_kg:g} {short} are"
                f" {meant:.2f} kg).",
            )
    raise SwaytrainerError(
        what,
        "Weigh it again and give kilograms; if the board's cells are not of"
        f" {cell_kg:g} kg, give their capacity with --cell-kg.",
    )
