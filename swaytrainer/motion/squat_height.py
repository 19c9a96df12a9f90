"""How high the body's centre of mass is, from force alone: between two still stands, and no longer.

The plate bears F = m·(g + z̈), so z is (F - W)·g/W integrated twice, with W the force while still
(Newton's second law). The gain of the plate cancels: a board that shows 3 % too much gives the
same height. What does not cancel grows with time, so each spell of movement lies between two
still stands and is closed at both:

- **speed**: it is zero at both ends, so a straight line is taken off the speed; this removes any
  constant error of the force (tare, weight);
- **height**: a spell, or a few with a hold below, that comes back to about where it began is taken
  to come back exactly, by 3τ² - 2τ³ of what was left; this removes a force error that grows
  steadily too (drift).

What is left after both closures, at the middle of T seconds of movement, in closed form:

- a speed that was e₀ and e₁ at the ends instead of zero: T·(e₀ - e₁)/8 (Hermite's cubic);
- an end that was δ higher than the start: δ/2;
- white noise of the force, rms σ a sample at rate f: σ·g/W·√(T³/192f) (an integrated Brownian
  motion tied down at both ends in height and speed);
- gravity or tare wrong by a share s: s times the depth;
- a plate tilted by α while the body moves h sideways downhill: h·tan α (F and W lose the same
  cos α, which cancels).

Frame: height in mm above the standing height, up positive. It is the centre of mass's, which
falls less than hips or seat do.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final, NamedTuple

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from swaytrainer.motion.squat_still import (
    STILL_RANGE,
    STILL_S,
    Still,
    closed_path,
    find_stills,
    level_at_begin,
    level_at_end,
    sinks_slowly,
    time_shares,
)
from swaytrainer.sway.butterworth import PAD_SAMPLES
from swaytrainer.sway.cop import NAN, Array
from swaytrainer.sway.gaps import pieces
from swaytrainer.sway.prepare import Trace

#: By definition (3rd CGPM, 1901); for whoever doesn't say where the board stands.
GRAVITY_M_S2: Final = 9.80665

#: The longest movement without a still stand for which a depth is given.
SPELL_LIMIT_S: Final = 12.0
#: How far the speed may miss zero at the end of a spell, before it is closed: 20 mm/s, and what a
#: weight wrong by 0.15 % makes in a second. More is a hand, a step, or a base that moved.
_MISS_MM_S: Final = 20.0
_MISS_MM_S2: Final = 15.0
#: How far below the standing height a spell may seem to end and still be taken as standing again;
#: between this and the second pair nobody knows, and it is refused; beyond, it is a hold.
_TOP_MM: Final = 20.0
_TOP_MM_S: Final = 1.5
_DOUBT_MM_S: Final = 4.0
#: Ending lower than it began by more than this, it may be a hold in a shallow dip instead: if the
#: next spell leads up, it is.
_HOLD_MM: Final = 15.0
#: Ending higher than it began by no more than this: straighter knees than before. More: it began
#: bent.
_RISE_MM: Final = 60.0
#: Against a weight that is given, and for a plateau within a movement.
WEIGHT_SHARE: Final = 0.02


class Spell(NamedTuple):
    """A movement between two stills: from sample ``begin`` to sample ``end``, both included.

    Attributes:
        seconds: how long.
        missed_mm_s: the speed at its end before it was closed: 0 if the force adds up.
        refused: why there is no height, as a sentence; None if there is.
    """

    begin: int
    end: int
    seconds: float
    missed_mm_s: float
    refused: str | None


@dataclass(frozen=True, slots=True, eq=False)
class Heights:
    """Height and speed of the centre of mass over a trace.

    Attributes:
        height_mm, speed_mm_s: shape (N,), up positive; NaN outside the stretches that lie between
            stills or in a refused spell.
        spell_s: shape (N,), seconds of movement without a still stand around each sample, 0 while
            still, NaN where height is.
        weight_n: force while still, NaN if never.
        stills, spells: in order.
        notes: why something is missing, in sentences.
    """

    height_mm: Array
    speed_mm_s: Array
    spell_s: Array
    weight_n: float
    stills: tuple[Still, ...]
    spells: tuple[Spell, ...]
    notes: tuple[str, ...]


def heights(
    trace: Trace, *, weight_n: float | None = None, gravity_m_s2: float = GRAVITY_M_S2
) -> Heights:
    """The height of the centre of mass wherever it can be known.

    Args:
        trace: the trial; its force.
        weight_n: the body's weight from elsewhere (a countdown). If the still force differs by
            more than ``WEIGHT_SHARE``, everything is refused; without it, a hand that bears the
            same load all the time can't be seen.
        gravity_m_s2: the place's own.
    """
    count = trace.time_s.size
    force = np.where(np.isnan(trace.x_mm), NAN, trace.force_n)
    whole = [p for p in pieces(~trace.breaks[1:]) if p.stop - p.start > PAD_SAMPLES]
    whole = [p for p in whole if np.isfinite(force[p]).all()]
    body_n, stills = find_stills(force, trace.rate_hz, whole)
    height, speed, spell_s = (np.full(count, NAN) for _ in range(3))
    if not stills:
        return Heights(height, speed, spell_s, NAN, (), (), (_no_still(),))
    if weight_n is not None and not abs(body_n / weight_n - 1.0) <= WEIGHT_SHARE:
        said = (
            f"The still force is {body_n:.0f} N, the weight {weight_n:.0f} N:"
            " a hand held on, or somebody else stood there."
        )
        return Heights(height, speed, spell_s, body_n, tuple(stills), (), (said,))
    spells: list[Spell] = []
    said_all: list[str] = []
    for piece in whole:
        inside = [s for s in stills if piece.start <= s.begin < piece.stop]
        done = _Piece(trace.time_s, force, inside, gravity_m_s2, (height, speed, spell_s))
        spells += done.spells
        said_all += done.notes
    return Heights(
        height, speed, spell_s, body_n, tuple(stills), tuple(spells), tuple(dict.fromkeys(said_all))
    )


def _no_still() -> str:
    return (
        f"Nobody stood still for {STILL_S:g} s: without that there is no weight to measure"
        " from. Begin and end with a still stand, on a base that doesn't move."
    )


class _Piece:
    """Fills in one unbroken piece, spell by spell."""

    def __init__(
        self,
        time_s: Array,
        force: Array,
        stills: Sequence[Still],
        gravity_m_s2: float,
        out: tuple[Array, Array, Array],
    ) -> None:
        self._time_s, self._force, self._gravity = time_s, force, gravity_m_s2
        self._stills = stills
        self._height, self._speed, self._spell_s = out
        self.spells: list[Spell] = []
        self.notes: list[str] = []
        self._group: list[Spell] = []  # since the last standing height
        self._level = 0.0
        if stills:
            self._stand(stills[0], 0.0)
        for before, after in pairwise(stills):
            self._take(before, after)
        if self._group:
            self.notes.append(
                f"The movement that begins at {time_s[self._group[0].begin]:.1f} s doesn't come"
                " back to a still stand: it is left out."
            )
            self._forget()
        for still in stills:
            if sinks_slowly(time_s, force, still, gravity_m_s2):
                self._height[still.begin : still.end] = NAN
                self.notes.append(
                    f"Between {time_s[still.begin]:.1f} and {time_s[still.end - 1]:.1f} s the force"
                    " wavers so slowly that sinking can't be told from standing still."
                )
        unknown = np.isnan(self._height)
        self._speed[unknown] = self._spell_s[unknown] = NAN

    def _stand(self, still: Still, height_mm: float) -> None:
        part = slice(still.begin, still.end)
        self._height[part] = height_mm
        self._speed[part] = self._spell_s[part] = 0.0

    def _take(self, before: Still, after: Still) -> None:
        """One spell of movement."""
        speed, way, spell, weight = _between(
            self._time_s, self._force, before, after, self._gravity
        )
        part = slice(spell.begin, spell.end + 1)
        if not _adds_up(spell):
            spell = spell._replace(refused=_why(self._time_s[part], self._force[part], weight))
            self.notes.append(spell.refused or "")
            self.spells.append(spell)
            self._forget()
            self._height[spell.begin + 1 : spell.end] = NAN
            self._stand(after, 0.0)
            return
        self.spells.append(spell)
        self._group.append(spell)
        self._height[part], self._speed[part] = self._level + way, speed
        self._level += float(way[-1])
        self._stand(after, self._level)
        self._spell_s[part] = spell.seconds
        seconds = sum(spell.seconds for spell in self._group)
        if self._level < -_HOLD_MM and self._rises_next(after):
            return
        if -_TOP_MM - _TOP_MM_S * seconds <= self._level <= _RISE_MM:
            self._close(self._level, seconds)
        elif self._level > -_TOP_MM - _DOUBT_MM_S * seconds:
            when = f"{self._time_s[self._group[0].begin]:.1f} to {self._time_s[spell.end]:.1f} s"
            self.notes.append(
                f"From {when} the body came to stand higher than before: it began with bent knees,"
                " and is left out."
                if self._level > 0.0
                else f"From {when} nobody can tell whether it ended standing or in a shallow squat:"
                " stand still in between."
            )
            if self._level > 0.0:
                for still in self._stills:
                    if still.end - 1 == self._group[0].begin:
                        self._height[still.begin : still.end] = NAN
            self._forget()
            self._stand(after, 0.0)

    def _rises_next(self, still: Still) -> bool:
        """Whether the next spell brings the body up, so that it can't be standing now."""
        at = self._stills.index(still) + 1
        if at == len(self._stills):
            return False
        _, way, spell, _ = _between(
            self._time_s, self._force, still, self._stills[at], self._gravity
        )
        return _adds_up(spell) and float(way[-1]) > max(_HOLD_MM, -0.5 * self._level)

    def _close(self, left_mm: float, seconds: float) -> None:
        """Bring the end of the group to height 0; each spell takes its share of time."""
        done = 0.0
        for spell in self._group:
            part = slice(spell.begin, spell.end + 1)
            own = left_mm * spell.seconds / seconds
            tau = time_shares(self._time_s[part])
            self._height[part] -= done + own * tau * tau * (3.0 - 2.0 * tau)
            self._speed[part] -= own / spell.seconds * 6.0 * tau * (1.0 - tau)
            done += own
        ends = {spell.end for spell in self._group}
        for still in self._stills:
            if still.begin in ends:
                self._height[still.begin : still.end] = self._height[still.begin]
        self._group, self._level = [], 0.0

    def _forget(self) -> None:
        """Take the group's heights away again, and those of the stills after each spell."""
        for spell in self._group:
            self._height[spell.begin + 1 : spell.end + 1] = NAN
            for still in self._stills:
                if still.begin == spell.end:
                    self._height[still.begin : still.end] = NAN
        self._group, self._level = [], 0.0


def _between(
    time_s: Array, force: Array, before: Still, after: Still, gravity_m_s2: float
) -> tuple[Array, Array, Spell, float]:
    """Closed speed and way from one still to another, and the weight that was taken (N)."""
    a, b = before.end - 1, after.begin
    part = slice(a, b + 1)
    weight = 0.5 * (level_at_end(time_s, force, before) + level_at_begin(time_s, force, after))
    pull = 1000.0 * gravity_m_s2 * (force[part] / weight - 1.0)
    speed, way, missed = closed_path(time_s[part], pull)
    return speed, way, Spell(a, b, float(time_s[b] - time_s[a]), missed, None), weight


def _adds_up(spell: Spell) -> bool:
    return abs(spell.missed_mm_s) <= _MISS_MM_S + _MISS_MM_S2 * spell.seconds


def _why(time_s: Array, force: Array, weight: float) -> str:
    """A refused spell's reason: a plateau beside the weight, or a force that doesn't add up."""
    window = max(2, int(np.searchsorted(time_s, time_s[0] + 1.5)))
    when = f"Between {time_s[0]:.1f} and {time_s[-1]:.1f} s"
    if window <= time_s.size:
        views = sliding_window_view(force, window)
        means = views.mean(axis=1)
        flat = (np.ptp(views, axis=1) < 2.0 * STILL_RANGE * weight) & (
            np.abs(means / weight - 1.0) > WEIGHT_SHARE
        )
        if flat.any():
            share = 100.0 * float(np.median(means[flat]) / weight - 1.0)
            return (
                f"{when} the weight changed by {share:+.0f} % for more than a second:"
                " a hand on a support, or something taken up."
            )
    return (
        f"{when} the force doesn't add up to a body that is still before and after:"
        " a hand, a step, a base that moved, or a squat too slow to follow."
    )
