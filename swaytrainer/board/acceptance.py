"""Acceptance in a minute: is this calibrated board fit to train on?

The empty board; somebody on it leaning left, right, onto the heels, onto the toes; one known mass
in the middle; the empty board again. From the mean counts of these seven follow the verdict and,
for a failed board, what is probably wrong with it. Two cells' cables swapped, or one cell wired
the other way round, are offered as a corrected calibration.

How it tells them apart: a lean is known only by its direction, not by its size, but that is enough
to know which count is which corner's: of the 24 orders and 16 signs of four counts just one lets
all four leans go where they were asked to go without any cell pulling, and without twist. A plate
that rocks shows twist while the leans are right. Whoever leans weighs the same in every lean, and
the mass weighs what it weighs: one cell's wrong gain explains both alike, a plate that leans
against something doesn't. A zero that doesn't come back is a loose screw's.

The limits are those of a home-built board (force ±1 %, COP ±2 mm); those of twist, noise and zero
are our own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import permutations, product
from typing import Final, NamedTuple

from swaytrainer.board import wire
from swaytrainer.board.calibration import AS_BUILT, Calibration, Channels, Vector4
from swaytrainer.board.fit import CELL_NAMES
from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.board.steady import LastSecond, Mean
from swaytrainer.errors import SwaytrainerError

FORCE_SHARE: Final = 0.01
COP_MM: Final = 2.0
TWIST_SHARE: Final = 0.10
NOISE_N: Final = 0.1
ZERO_N: Final = 12.0
RETURN_N: Final = 1.5
RATE_SHARE: Final = 0.05
#: Whoever leans weighs the same in each lean, but for breath and heart and the calibration.
WEIGHS_SHARE: Final = 0.012

#: A lean counts from here on, mm; live, a little further is asked for.
_LEANS_MM: Final = 12.0
_LEANS_WELL_MM: Final = 20.0
_SOMEBODY_N: Final = 100.0
_NOBODY_N: Final = 60.0
_STEADY_COUNTS: Final = 1200.0
#: Patience with a lean that doesn't seem to go where it should.
_FIRST_PATIENCE_S, _PATIENCE_S = 6.0, 3.0
_EMPTY_PATIENCE_S: Final = 15.0
_MISSING_SAMPLES: Final = 20
_RATE_SAMPLES: Final = 12


class Step(StrEnum):
    """What is asked for, in this order."""

    EMPTY = "empty"
    LEFT = "left"
    RIGHT = "right"
    HEELS = "heels"
    TOES = "toes"
    WEIGHT = "weight"
    EMPTY_AGAIN = "empty again"


LEANS: Final = (Step.LEFT, Step.RIGHT, Step.HEELS, Step.TOES)


class Trouble(StrEnum):
    """What can be wrong."""

    ID = "wrong board id"
    RATE = "wrong rate"
    DEAD = "dead cell"
    SWAPPED = "swapped channels"
    REVERSED = "reversed cell"
    WIRING = "wiring"
    NOISY = "noisy supply"
    LOOSE = "loose screw"
    ROCKING = "rocking plate"
    BOUND = "bound plate"
    GAIN = "gain drift"
    ZERO = "zero"
    STATUS = "status"


class Finding(NamedTuple):
    """One thing that is wrong: what, in a sentence, and what to do."""

    trouble: Trouble
    what: str
    remedy: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """What came out.

    Attributes:
        findings: worst first; a board without any has passed.
        force_error: of the known mass, as a share; NaN if it didn't come to that.
        cop_error_mm: of its place.
        noise_n: rms noise of one sample of the noisiest cell.
        fix: a corrected calibration, if only the cables are wrong.
    """

    findings: tuple[Finding, ...]
    force_error: float = math.nan
    cop_error_mm: float = math.nan
    noise_n: float = math.nan
    fix: Calibration | None = None

    @property
    def passed(self) -> bool:
        """Nothing is wrong."""
        return not self.findings


class Check:
    """The state machine. Pure: fed with samples, asked for what to do next and for the verdict.

    Args:
        calibration: the one in use.
        board_id, rate_hz: from the board's hello.
        mass_kg: the known mass.
        gravity_m_s2: the place's own, if known.

    Attributes:
        verdict: None until it is done.
        hint: why it waits, if something isn't as asked for.
    """

    def __init__(
        self,
        calibration: Calibration,
        board_id: str,
        rate_hz: float,
        mass_kg: float,
        gravity_m_s2: float = STANDARD_GRAVITY,
    ) -> None:
        self.calibration = calibration
        self.mass_kg = mass_kg
        self.verdict: Verdict | None = None
        self.hint = ""
        self._weight_n = mass_kg * gravity_m_s2
        self._nominal_s = 1.0 / rate_hz
        self._taken: dict[Step, Mean] = {}
        self._second = LastSecond()
        self._status = 0
        self._missing = 0
        self._steps: list[float] = []
        self._last_s: float | None = None
        self._waits_since_s: float | None = None
        self._off_seen = False
        if board_id != calibration.board_id:
            self.verdict = Verdict(
                (
                    Finding(
                        Trouble.ID,
                        f"Board {board_id} is connected, but the calibration is of board"
                        f" {calibration.board_id}.",
                        "Connect the right board, or calibrate this one.",
                    ),
                )
            )

    @property
    def step(self) -> Step | None:
        """What is asked for now; None when it is done."""
        if self.verdict is not None:
            return None
        return next((s for s in Step if s not in self._taken), None)

    @property
    def instruction(self) -> str:
        """What to do now, one line."""
        step = self.step
        return "Done." if step is None else {
            Step.EMPTY: "Leave the board empty.",
            Step.LEFT: "Step on, feet on the marks, a hand on a support. Lean LEFT and hold.",
            Step.RIGHT: "Lean RIGHT and hold.",
            Step.HEELS: "Weight on the HEELS, toes lifted, and hold.",
            Step.TOES: "Up on the TOES (the balls of the feet), and hold.",
            Step.WEIGHT: f"Step off. Put {self.mass_kg:g} kg on the middle mark.",
            Step.EMPTY_AGAIN: "Take it off and leave the board empty.",
        }[step]  # fmt: skip

    def update(self, time_s: float, counts: Vector4, status: int = 0) -> bool:
        """Take one sample; True when a step was just taken or the verdict is there."""
        if self.verdict is not None:
            return False
        if self._stream_is_wrong(time_s, status):
            return True
        if status & (wire.STATUS_MISSING | wire.STATUS_MIXED):
            return False
        mean = self._second.update(time_s, counts)
        step = self.step
        if mean is None or step is None or not self._accept(step, mean):
            return False
        self._taken[step] = mean
        self._second.restart()
        self._waits_since_s = None
        self.hint = ""
        if step is Step.EMPTY_AGAIN:
            self.verdict = judge(
                self.calibration, self._taken, self._weight_n, self.mass_kg, self._status
            )
        return True

    def _stream_is_wrong(self, time_s: float, status: int) -> bool:
        """Faults that make all further steps pointless."""
        self._status |= status
        if self._last_s is not None:
            self._steps.append(time_s - self._last_s)
        self._last_s = time_s
        found = None
        if len(self._steps) == _RATE_SAMPLES:
            usual = sorted(self._steps)[_RATE_SAMPLES // 2]
            self._steps.clear()
            if abs(usual / self._nominal_s - 1.0) > RATE_SHARE:
                found = Finding(
                    Trouble.RATE,
                    f"The board sends {1.0 / usual:.0f} samples a second instead of"
                    f" {1.0 / self._nominal_s:.0f}.",
                    "Set the rate pin of each converter high.",
                )
        missing = status & wire.STATUS_MISSING
        self._missing = self._missing + 1 if missing else 0
        if self._missing >= _MISSING_SAMPLES:
            cell = next(n for i, n in enumerate(CELL_NAMES) if missing >> i & 1)
            found = Finding(
                Trouble.DEAD, f"No signal from the {cell} cell.", "Check its converter and cables."
            )
        if found is not None:
            self.verdict = Verdict((found,))
        return found is not None

    def _accept(self, step: Step, mean: Mean) -> bool:
        if step in LEANS:
            return self._leans(step, mean)
        # White noise alone spreads over five to six times its rms in a second.
        quiet = all(
            spread < max(_STEADY_COUNTS, 10.0 * calm)
            for spread, calm in zip(mean.spread_counts, mean.calm_counts, strict=True)
        )
        if step is Step.EMPTY:
            loads = self.calibration.loads(mean.counts)
            if quiet and abs(sum(loads)) < 2.0 * _NOBODY_N:
                return True
            self.hint = f"By its calibration {sum(loads):.0f} N lie on it: clear the board."
            return quiet and self._waited(mean) > _EMPTY_PATIENCE_S
        if step is Step.EMPTY_AGAIN:
            change = self._change(mean, Step.WEIGHT)
            gone = math.fsum(abs(v) for v in change) > 0.6 * self._weight_n
            return quiet and (gone or self._waited(mean) > _EMPTY_PATIENCE_S)
        borne, body = self._borne(mean), self._borne(self._taken[Step.TOES])
        if borne < max(_NOBODY_N, 0.3 * body):
            self._off_seen = True
        if not (self._off_seen and quiet and borne > 0.5 * self._weight_n):
            return False
        if borne > 2.5 * self._weight_n:
            self.hint = "That is far more than the mass: is somebody on the board?"
            return False
        return True

    def _waited(self, mean: Mean) -> float:
        if self._waits_since_s is None:
            self._waits_since_s = mean.time_s
        return mean.time_s - self._waits_since_s

    def _change(self, mean: Mean, since: Step = Step.EMPTY) -> Vector4:
        return _difference(self.calibration, mean, self._taken[since])

    def _borne(self, mean: Mean) -> float:
        return math.fsum(abs(v) for v in self._change(mean))

    def _leans(self, step: Step, mean: Mean) -> bool:
        loads = self._change(mean)
        borne = math.fsum(abs(v) for v in loads)
        if borne < _SOMEBODY_N:
            self._waits_since_s = None
            return False
        before = LEANS[LEANS.index(step) - 1] if step is not Step.LEFT else Step.EMPTY
        moved = max(abs(v) for v in self._change(mean, before))
        spread = [
            abs(g) * s
            for g, s in zip(self.calibration.gain_n_per_count, mean.spread_counts, strict=True)
        ]
        if moved < 0.05 * borne or max(spread) > 0.3 * borne:
            self._waits_since_s = None
            return False
        force = sum(loads)
        x, y = _cop(self.calibration, loads) if force > 0.2 * borne else (0.0, 0.0)
        if step in (Step.LEFT, Step.RIGHT):
            far = -x if step is Step.LEFT else x
        else:
            _, y_left = _cop(self.calibration, self._change(self._taken[Step.LEFT]))
            _, y_right = _cop(self.calibration, self._change(self._taken[Step.RIGHT]))
            middle = 0.5 * (y_left + y_right)
            far = middle - y if step is Step.HEELS else y - middle
        if max(spread) < 0.1 * borne and far > _LEANS_WELL_MM:
            return True
        if step is Step.LEFT or far > 0.0:
            self.hint = "A little further, and hold."
        patience = _FIRST_PATIENCE_S if step is Step.LEFT else _PATIENCE_S
        return self._waited(mean) > patience


def _difference(c: Calibration, mean: Mean, zero: Mean) -> Vector4:
    a0, b0, c0, d0 = c.loads(mean.counts)
    a1, b1, c1, d1 = c.loads(zero.counts)
    return (a0 - a1, b0 - b1, c0 - c1, d0 - d1)


def _cop(c: Calibration, loads: Sequence[float]) -> tuple[float, float]:
    force = math.fsum(loads)
    if force == 0.0:
        return (0.0, 0.0)
    return (
        math.fsum(p[0] * w for p, w in zip(c.places, loads, strict=True)) / force,
        math.fsum(p[1] * w for p, w in zip(c.places, loads, strict=True)) / force,
    )


def _twist_share(loads: Sequence[float]) -> float:
    return (loads[0] - loads[1] - loads[2] + loads[3]) / math.fsum(loads)


def rewired(c: Calibration, channels: Channels, signs: Sequence[int]) -> Calibration:
    """The calibration of the same cells behind other cables.

    Args:
        c: as it was when the cables were right.
        channels: the count that now is each corner's.
        signs: -1 for a corner whose signal is now reversed.
    """
    before = c.channels
    a, b, d, e = (channels[n] for n in before)
    gains = [g * s for g, s in zip(c.gain_n_per_count, signs, strict=True)]
    offsets = [o * s for o, s in zip(c.offset_counts, signs, strict=True)]
    return replace(
        c,
        gain_n_per_count=_four(gains),
        offset_counts=_four(offsets),
        channels=AS_BUILT if (a, b, d, e) == AS_BUILT else (a, b, d, e),
    )


def _four(values: Sequence[float]) -> Vector4:
    a, b, c, d = values
    return (a, b, c, d)


def _leans_are_right(leans: Sequence[Vector4], c: Calibration) -> bool:
    """Left, right, heels and toes go there, and no cell pulls."""
    for loads in leans:
        borne = math.fsum(abs(v) for v in loads)
        if math.fsum(loads) < 0.5 * borne or min(loads) < -0.05 * borne:
            return False
    (left, right), (heels, toes) = (
        tuple(_cop(c, loads)[axis] for loads in pair)
        for axis, pair in ((0, leans[:2]), (1, leans[2:]))
    )
    across = 0.5 * sum(_cop(c, loads)[0] for loads in leans[2:])
    along = 0.5 * sum(_cop(c, loads)[1] for loads in leans[:2])
    return (
        left < across - _LEANS_MM
        and right > across + _LEANS_MM
        and heels < along - _LEANS_MM
        and toes > along + _LEANS_MM
    )


def _wiring(
    c: Calibration, taken: dict[Step, Mean]
) -> tuple[Calibration, Finding] | Finding | None:
    """None if the cables are right; else what is wrong and, if it is told, the way to right it."""

    def leans(calibration: Calibration) -> list[Vector4]:
        return [_difference(calibration, taken[s], taken[Step.EMPTY]) for s in LEANS]

    if _leans_are_right(leans(c), c):
        return None
    fits: list[tuple[int, float, Channels, tuple[int, ...]]] = []
    for a, b, d, e in permutations(range(4)):
        channels = (a, b, d, e)
        for signs in product((1, -1), repeat=4):
            changes = sum(a != b for a, b in zip(channels, AS_BUILT, strict=True)) + signs.count(-1)
            trial = rewired(c, channels, signs)
            loads = leans(trial)
            if changes and _leans_are_right(loads, trial):
                twist = max(abs(_twist_share(v)) for v in loads)
                if twist < 1.5 * TWIST_SHARE:
                    fits.append((changes, twist, channels, signs))
    if not fits:
        return Finding(
            Trouble.WIRING,
            "The leans don't go where they were asked to go, and no exchange of cables explains"
            " it: the leans were too small, or more than one thing is wrong.",
            "Run the check again and lean further; if that doesn't help, check every cable.",
        )
    _, _, channels, signs = min(fits)
    moved = [n for n, k in zip(CELL_NAMES, range(4), strict=True) if channels[k] != k]
    turned = [n for n, s in zip(CELL_NAMES, signs, strict=True) if s < 0]
    said = []
    if moved:
        said.append(f"the cables of the cells {' and '.join(moved)} are swapped")
    if turned:
        said.append(f"the {' and '.join(turned)} cell is wired the other way round")
    finding = Finding(
        Trouble.SWAPPED if moved else Trouble.REVERSED,
        f"{' and '.join(said).capitalize()}.",
        "Put the cables right, or keep the corrected calibration that is offered.",
    )
    return rewired(c, channels, signs), finding


def judge(
    calibration: Calibration,
    taken: dict[Step, Mean],
    weight_n: float,
    mass_kg: float,
    status: int = 0,
) -> Verdict:
    """The verdict from the seven means.

    Args:
        calibration: the one in use.
        taken: a mean for each step.
        weight_n, mass_kg: of the known mass.
        status: all status bits that were seen.
    """
    findings: list[Finding] = []
    c = calibration
    if dead := _dead(c, taken):
        return Verdict((dead,))
    wiring = _wiring(c, taken)
    fix = None
    if isinstance(wiring, Finding):
        findings.append(wiring)
    elif wiring is not None:
        c, finding = wiring
        fix = c
        findings.append(finding)
    zero, last = taken[Step.EMPTY], taken[Step.EMPTY_AGAIN]
    noise_n = max(
        abs(g) * n for g, n in zip(c.gain_n_per_count, _ordered(c, zero.noise_counts), strict=True)
    )
    if noise_n > NOISE_N:
        findings.append(
            Finding(
                Trouble.NOISY,
                f"The empty board's cells are noisy: {noise_n:.2f} N rms, at most {NOISE_N:g}.",
                "Use another USB port or supply, keep the cables off mains leads, check the"
                " shields.",
            )
        )
    back = _difference(c, last, zero)
    returns = max(range(4), key=lambda i: abs(back[i]))
    if loose := abs(back[returns]) > RETURN_N:
        findings.append(
            Finding(
                Trouble.LOOSE,
                f"After the loads the {CELL_NAMES[returns]} cell's zero is off by"
                f" {back[returns]:+.1f} N.",
                "Tighten its screws and its foot; if it stays so, the cell was overloaded.",
            )
        )
    leans = [_difference(c, taken[s], zero) for s in LEANS]
    twist = sorted(abs(_twist_share(v)) for v in leans)[1]
    if not isinstance(wiring, Finding) and twist > TWIST_SHARE:
        findings.append(
            Finding(
                Trouble.ROCKING,
                f"The plate rocks: {twist:.0%} of the weight is twist.",
                "Set it on a level floor and turn its feet until all four bear.",
            )
        )
    weight = _difference(c, taken[Step.WEIGHT], zero)
    force = math.fsum(weight)
    x, y = _cop(c, weight)
    force_error, cop_error = force / weight_n - 1.0, math.hypot(x, y)
    bodies = [math.fsum(v) for v in leans]
    differs = (max(bodies) - min(bodies)) / (sum(bodies) / len(bodies))
    weight_wrong = abs(force_error) > FORCE_SHARE or cop_error > COP_MM
    if (weight_wrong or differs > WEIGHS_SHARE) and not findings_explain(findings):
        findings.append(_gain_or_bound(c, leans, weight, weight_n, mass_kg, weight_wrong, differs))
    shift = [abs(v) for v in c.loads(zero.counts)]
    if max(shift) > ZERO_N and not loose:
        cell = CELL_NAMES[shift.index(max(shift))]
        findings.append(
            Finding(
                Trouble.ZERO,
                f"The {cell} cell's zero is {max(shift):.0f} N off its calibration: another board's"
                " calibration, something on the plate, or an overload.",
                "Clear the board and check its label; if both are right, calibrate again.",
            )
        )
    if status & ~(wire.STATUS_MISSING | wire.STATUS_MIXED):
        findings.append(
            Finding(
                Trouble.STATUS,
                f"The board reported trouble of its own (status {status:#06x}).",
                "Run 'swaytrainer board', which names it.",
            )
        )
    # A board is offered a fix only if that is all that is wrong with it.
    return Verdict(
        tuple(findings),
        force_error,
        cop_error,
        noise_n,
        fix if len(findings) == 1 else None,
    )


def findings_explain(findings: Sequence[Finding]) -> bool:
    """Something is wrong already that makes loads wrong as well."""
    return any(f.trouble in (Trouble.LOOSE, Trouble.ROCKING, Trouble.WIRING) for f in findings)


def _ordered(c: Calibration, counts: Vector4) -> Vector4:
    a, b, d, e = c.channels
    return (counts[a], counts[b], counts[d], counts[e])


def _dead(c: Calibration, taken: dict[Step, Mean]) -> Finding | None:
    loads = [_difference(c, taken[s], taken[Step.EMPTY]) for s in (*LEANS, Step.WEIGHT)]
    borne = max(math.fsum(abs(v) for v in one) for one in loads)
    for i, name in enumerate(CELL_NAMES):
        if max(abs(one[i]) for one in loads) < 0.02 * borne:
            return Finding(
                Trouble.DEAD,
                f"The {name} cell feels nothing.",
                "Check its cables, its screws, and that its foot stands on the floor.",
            )
    return None


def _gain_or_bound(
    c: Calibration,
    leans: Sequence[Vector4],
    weight: Vector4,
    weight_n: float,
    mass_kg: float,
    weight_wrong: bool,
    differs: float,
) -> Finding:
    """One cell's gain, if that explains the mass and the leans alike; else something binds."""
    force = math.fsum(weight)
    x, y = _cop(c, weight)
    seen = (
        f"{mass_kg:g} kg read {mass_kg * force / weight_n:.2f} kg"
        f" ({force / weight_n - 1.0:+.1%}), {math.hypot(x, y):.1f} mm beside the middle"
    )
    best_left, best_cell, best_change = math.inf, None, 0.0
    for cell in (None, 0, 1, 2, 3):
        change, left = _gain_change(c, weight, weight_n, cell)
        if left < best_left:
            best_left, best_cell, best_change = left, cell, change
    corrected = [
        math.fsum(
            w * (1.0 + (best_change if best_cell in (None, i) else 0.0)) for i, w in enumerate(one)
        )
        for one in leans
    ]
    still = (max(corrected) - min(corrected)) / (sum(corrected) / len(corrected))
    if weight_wrong and still <= WEIGHS_SHARE:
        which = "all cells" if best_cell is None else f"the {CELL_NAMES[best_cell]} cell"
        return Finding(
            Trouble.GAIN,
            f"{seen}: the gain of {which} has drifted, or the mass is not {mass_kg:g} kg, or not"
            " on its mark.",
            "Weigh the mass, repeat the check, then calibrate again.",
        )
    names = ("left", "right", "on the heels", "on the toes")
    bodies = [math.fsum(v) for v in leans]
    least = names[bodies.index(min(bodies))]
    return Finding(
        Trouble.BOUND,
        f"The weight differs by {differs:.1%} between the leans, least {least}, and {seen}: the"
        " plate leans against something there, a cell binds, or its screws are loose.",
        "Free the plate all round, look under it, tighten the cells, then check again.",
    )


def _gain_change(
    c: Calibration, weight: Vector4, weight_n: float, cell: int | None
) -> tuple[float, float]:
    """By what share a cell's gain (None: all cells') must change for the mass to read right, and
    how far, in newtons, force and moments then still are from it.
    """
    arm = 100.0
    rows = [(1.0, p[0] / arm, p[1] / arm) for p in c.places]
    shown = [math.fsum(w * r[k] for w, r in zip(weight, rows, strict=True)) for k in range(3)]
    lacks = [weight_n - shown[0], -shown[1], -shown[2]]
    adds = shown if cell is None else [weight[cell] * rows[cell][k] for k in range(3)]
    change = math.fsum(a * b for a, b in zip(adds, lacks, strict=True)) / math.fsum(
        a * a for a in adds
    )
    return change, math.hypot(*(b - change * a for a, b in zip(adds, lacks, strict=True)))


def check_mass(mass_kg: float) -> None:
    """Refuse a mass that no board is checked with.

    Raises:
        SwaytrainerError: too light or too heavy.
    """
    if not (math.isfinite(mass_kg) and 5.0 <= mass_kg <= 100.0):
        raise SwaytrainerError(
            f"A mass of {mass_kg:g} kg can't check a board.", "Take 5 to 100 kg, in kilograms."
        )
