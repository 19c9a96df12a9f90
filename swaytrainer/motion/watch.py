"""Support taken, steps, hops and falls, seen on one plate and told from restless standing.

``IncidentWatch`` takes samples one by one and never looks ahead. What can't be seen:

- A hand that carries less than ``seen_from_percent`` says, or that pushes sideways only. (Even a
  touch of 1 N steadies somebody: Jeka & Lackner, Exp Brain Res 1994;100:495-502, from memory.)
- A foot lifted and set down on the same spot: it looks like a shift of the weight.
- A moving base's force and COP are the base's as well as the vaulter's. Then support and steps
  can't be told, and an empty board is told only as left, not how; a short spell in the air is told,
  but not whether the vaulter jumped or was thrown up.
"""

from __future__ import annotations

import math
import statistics
from collections import deque
from collections.abc import Iterator
from typing import Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.motion.carried import BIN_S, Bin, MissingWeight, Spell
from swaytrainer.motion.incident import Incident, Kind, Limits
from swaytrainer.motion.leaving import leaving
from swaytrainer.motion.resettled import StepWatch
from swaytrainer.sway.feet import Feet

#: Missing samples are bridged up to here: the body's centre does not go anywhere meanwhile.
GAP_S: Final = 0.25
#: After coming back, or landing, the body needs so long to stand.
_BACK_S: Final = 1.2
_LANDED_S: Final = 0.6
#: A landing's peak is waited for so long, a push looked back for so long.
_PEAK_S: Final = 0.30
_PUSH_S: Final = 0.60
#: The force goes down so long before the board is empty: that is no support.
_UNLOAD_S: Final = 1.2
#: From here down to an empty board the last foot is being unloaded.
_FULL_SHARE: Final = 0.8
#: A support's place is looked for in so much of the past.
_KEPT_BINS: Final = round(30.0 / BIN_S)

_PUSH_BINS: Final = round(_PUSH_S / BIN_S) + 1
_BINS_A_S: Final = round(1.0 / BIN_S)

_NOTHING: Final[tuple[Incident, ...]] = ()


class IncidentWatch:
    """Sees what happens besides standing, sample by sample, without looking ahead.

    An incident is given once it is sure: a support when it is over, a step when the COP has
    settled, a leaving after ``air_most_s``, a hop after its landing. ``finish`` gives what still
    goes on.

    Args:
        weight_n: the body's weight, N; None: learned from the first ``learn_s`` on the board.
        limits: where one thing ends and another begins.
        feet: where the feet stand, if that is known: it sharpens step and fall.
        base_moves: see the module.

    Raises:
        SwaytrainerError: a weight that nobody has.

    >>> watch = IncidentWatch()
    >>> loads = [500.0] * 500 + [430.0] * 200 + [500.0] * 200
    >>> [i] = [i for n, f in enumerate(loads) for i in watch.update(n / 100.0, f, 0.0, 0.0)]
    >>> i.kind.value, round(i.missing_percent), round(i.start_s, 1), round(i.end_s, 1)
    ('support taken', 14, 5.0, 7.0)
    """

    def __init__(
        self,
        weight_n: float | None = None,
        *,
        limits: Limits | None = None,
        feet: Feet | None = None,
        base_moves: bool = False,
    ) -> None:
        self.limits = limits = limits or Limits()
        if weight_n is not None and not limits.least_n <= weight_n < math.inf:
            raise SwaytrainerError(
                f"{weight_n:g} N is no vaulter's weight: it must be at least {limits.least_n:g} N.",
                "Give the weight in newtons: kilograms times 9.81.",
            )
        self.feet = feet
        self.base_moves = base_moves
        self.weight_n = math.nan
        self._learned: list[float] = []
        self._steps = StepWatch(limits, feet)
        self._time_s = math.nan
        self._air_s = self._leap_s = math.nan  # since when in the air; when the feet were back
        self._off = False
        self._on_s = math.nan
        self._watch_from_s = -math.inf
        self._push = self._peak = 0.0
        self._most = 0.0  # the largest force in this bin
        self._full_s = -math.inf  # when the weight was last nearly whole
        self._pushes: deque[tuple[float, float]] = deque(maxlen=_PUSH_BINS)
        self._standing = False
        self._bin_n = 0
        self._bin_share = self._bin_x = self._bin_y = 0.0
        self._bin_index = 0
        self._kept: deque[Bin] = deque(maxlen=_KEPT_BINS)
        if weight_n is not None:
            self._weigh(weight_n, learned=False)

    def _weigh(self, weight_n: float, learned: bool) -> None:
        self.weight_n = weight_n
        self._air_n = self.limits.air_share * weight_n
        tolerance = self.limits.tolerance(weight_n, learned)
        self._missing = MissingWeight(self.limits, tolerance)
        self._excess = MissingWeight(self.limits, tolerance, -1.0)

    def gap(self) -> None:
        """What comes next has nothing to do with what came before; the weight is kept."""
        self._restart(self._time_s)
        self._air_s = self._leap_s = math.nan
        self._standing = not (math.isnan(self.weight_n) or self._off)

    def _restart(self, from_s: float) -> None:
        self._steps.restart()
        self._bin_n = 0
        self._watch_from_s = from_s
        if not math.isnan(self.weight_n):
            self._missing.restart()
            self._excess.restart()

    def update(
        self, time_s: float, force_n: float, x_mm: float, y_mm: float
    ) -> tuple[Incident, ...]:
        """Take one sample (board time; N; mm, NaN where there is no COP); what is now sure.

        A sample without a force (NaN, infinite) is a missing one.

        Raises:
            SwaytrainerError: the time does not go forward.
        """
        step_s = time_s - self._time_s
        if (
            self._standing
            and 0.0 < step_s <= GAP_S
            and self._air_n <= force_n < math.inf
            and abs(x_mm) < math.inf
            and abs(y_mm) < math.inf
        ):  # what nearly all samples are
            self._time_s = time_s
            return self._on_board(time_s, force_n / self.weight_n, x_mm, y_mm)
        if not math.isfinite(time_s) or time_s <= self._time_s:
            raise SwaytrainerError(
                f"A sample at {time_s:g} s cannot follow one at {self._time_s:g} s.",
                "Sort the samples by time, and give no time twice.",
            )
        if not math.isfinite(force_n):
            return _NOTHING
        lost = time_s - self._time_s > GAP_S  # False for the first of all
        found: list[Incident] = []
        if lost:
            found += self._stop_support(self._time_s)
            self.gap()
        self._time_s = time_s
        if math.isnan(self.weight_n):
            self._learn(time_s, force_n)
            return tuple(found)
        share = force_n / self.weight_n
        if self._off:
            self._come_back(time_s, share)
        elif not math.isnan(self._air_s):
            found += self._in_air(time_s, share)
        elif share < self.limits.air_share or not math.isfinite(x_mm + y_mm):
            self._air_s = time_s
            self._push = max(
                self._most, max((p for t, p in self._pushes if time_s - t < _PUSH_S), default=0.0)
            )
            self._leap_s = math.nan
            found += self._stop_support(time_s)
        else:
            found += self._on_board(time_s, share, x_mm, y_mm)
        self._standing = math.isnan(self._air_s) and not self._off
        return tuple(found)

    def finish(self) -> tuple[Incident, ...]:
        """The trial is over: what still goes on, as far as it was seen."""
        found = list(self._stop_support(self._time_s))
        if not math.isnan(self._air_s) and not self._off and math.isnan(self._leap_s):
            found.append(
                Incident(Kind.LEFT, self._air_s, self._time_s, "In the air, or off, at the end.")
            )
            self._off = True
        return tuple(found)

    # The board's two ends: learning a weight, and being empty ----------------------------------

    def _learn(self, time_s: float, force_n: float) -> None:
        if force_n < self.limits.least_n:
            self._learned.clear()
            return
        if not self._learned:
            self._learn_from_s = time_s
        self._learned.append(force_n)
        if time_s - self._learn_from_s >= self.limits.learn_s:
            self._weigh(statistics.median(self._learned), learned=True)
            self._learned.clear()

    def _come_back(self, time_s: float, share: float) -> None:
        if share < 0.6:
            self._on_s = math.nan
        elif math.isnan(self._on_s):
            self._on_s = time_s
        elif time_s - self._on_s > 0.3:
            self._off = False
            self._air_s = self._on_s = math.nan
            self._restart(time_s + _BACK_S)

    def _in_air(self, time_s: float, share: float) -> Iterator[Incident]:
        limits = self.limits
        if not math.isnan(self._leap_s):  # landed: wait for the peak
            self._peak = max(self._peak, share)
            if share < limits.air_share and self._peak < limits.landing_share:
                self._leap_s = math.nan  # it only brushed the board
            elif time_s - self._leap_s >= _PEAK_S:
                yield self._landed(time_s)
            return
        air_s = time_s - self._air_s
        if share >= limits.back_share:
            if air_s < limits.air_least_s:
                self._air_s = math.nan
            else:
                self._leap_s, self._peak = time_s, share
        elif air_s > limits.air_most_s:
            yield self._gone(self._air_s)
            self._off = True

    def _landed(self, time_s: float) -> Incident:
        limits, start_s, back_s = self.limits, self._air_s, self._leap_s
        air_s = back_s - start_s
        if self.base_moves:
            seen = Incident(
                Kind.HOP, start_s, back_s,
                f"In the air for {air_s:.2f} s: jumped, or thrown up by the base.", air_s=air_s,
            )  # fmt: skip
        elif self._push >= limits.push_share and self._peak >= limits.landing_share:
            seen = Incident(
                Kind.HOP, start_s, back_s,
                f"Pushed off with {self._push:.1f} weights, {air_s:.2f} s in the air, landed with"
                f" {self._peak:.1f}.", air_s=air_s,
            )  # fmt: skip
        else:
            seen = self._gone(start_s)
        self._air_s = self._leap_s = math.nan
        self._pushes.clear()
        self._restart(time_s + _LANDED_S)
        return seen

    def _gone(self, empty_s: float) -> Incident:
        if self.base_moves:
            return Incident(
                Kind.LEFT, empty_s, empty_s,
                "The board was empty; on a moving base a fall can't be told from a step off.",
            )  # fmt: skip
        how = leaving(
            self._steps.bins, self._steps.place, empty_s, self.limits, self.feet, self._push,
            empty_s - self._full_s,
        )  # fmt: skip
        return Incident(how.kind, how.start_s, empty_s, how.why)

    # Standing ----------------------------------------------------------------------------------

    def _on_board(
        self, time_s: float, share: float, x_mm: float, y_mm: float
    ) -> tuple[Incident, ...]:
        found = _NOTHING
        index = int(time_s * _BINS_A_S) if time_s >= 0.0 else math.floor(time_s * _BINS_A_S)
        if index != self._bin_index:
            if self._bin_n:
                found = tuple(self._close_bins(index))
            self._bin_index = index
            self._bin_n, self._bin_share, self._bin_x, self._bin_y = 0, 0.0, 0.0, 0.0
            self._most = 0.0
        self._bin_share += share
        self._bin_x += x_mm
        self._bin_y += y_mm
        self._bin_n += 1
        self._most = max(self._most, share)
        if share >= _FULL_SHARE:
            self._full_s = time_s
        return found

    def _close_bins(self, index: int) -> Iterator[Incident]:
        n = self._bin_n
        first_s = self._bin_index * BIN_S
        self._pushes.append((first_s + BIN_S, self._most))
        if self.base_moves or first_s < self._watch_from_s:
            return
        excess, x_mm, y_mm = self._bin_share / n - 1.0, self._bin_x / n, self._bin_y / n
        # A short gap, or a slow board: what was goes on.
        for k in range(self._bin_index, index):
            yield from self._in_bin(Bin((k + 0.5) * BIN_S, excess, x_mm, y_mm))

    def _in_bin(self, now: Bin) -> Iterator[Incident]:
        self._kept.append(now)
        for spell in self._missing.update(now):
            yield self._carried(Kind.SUPPORT, spell)
        for spell in self._excess.update(now):
            yield self._carried(Kind.LOADED, spell)
        if (step := self._steps.update(now)) is not None:
            yield Incident(
                Kind.STEP, step.start_s, step.end_s,
                f"The weight swung {step.swing_mm:.0f} mm onto one foot and settled"
                f" {math.hypot(step.shift_x_mm, step.shift_y_mm):.0f} mm from where it was.",
                shift_x_mm=step.shift_x_mm, shift_y_mm=step.shift_y_mm,
            )  # fmt: skip

    def _carried(self, kind: Kind, spell: Spell) -> Incident:
        start_s, end_s, share = spell
        then = [b for b in self._kept if start_s <= b.time_s <= end_s]
        before = [b for b in self._kept if start_s - 1.4 <= b.time_s < start_s - 0.4]
        shift_x = shift_y = math.nan
        if then and before:
            shift_x = statistics.fmean(b.x_mm for b in then) - statistics.fmean(
                b.x_mm for b in before
            )
            shift_y = statistics.fmean(b.y_mm for b in then) - statistics.fmean(
                b.y_mm for b in before
            )
        percent = 100.0 * share
        seconds = f"for {end_s - start_s:.1f} s"
        if kind is Kind.SUPPORT:
            why = f"{percent:.0f} % of the weight was carried by something else {seconds}."
        else:
            percent = -percent
            why = (
                f"{-percent:.0f} % more weight than at the start {seconds}: something was taken up,"
                " or the weight was taken while something else carried some of it."
            )
        return Incident(kind, start_s, end_s, why, percent, shift_x, shift_y)

    def _stop_support(self, now_s: float) -> Iterator[Incident]:
        """What is carried, up to now; not the force's way down to an empty board."""
        if math.isnan(self.weight_n):
            return
        for kind, watch in ((Kind.SUPPORT, self._missing), (Kind.LOADED, self._excess)):
            if now_s - watch.since_s >= _UNLOAD_S:  # False for NaN
                yield self._carried(kind, Spell(watch.since_s, now_s, watch.share))
            watch.restart()
