"""Which guests have come to the pond: the game's rule, without a picture."""

from __future__ import annotations

import random
from dataclasses import dataclass

from swaytrainer.games.sprites import COMMON, RARE
from swaytrainer.sitting.view import Phase, View, Where

#: Calm seconds in the band that bring one guest.
CALM_PER_GUEST_S = 2.5
#: Restless seconds that drive the newest one away, and each further one.
UNREST_PER_FLIGHT_S = 1.2
#: Stillness from which water counts as calm, and below which it frightens. Between the two
#: nothing changes, so that a guest is not won and lost on one threshold.
STILL_ENOUGH = 0.5
RESTLESS = 0.25
RARE_SHARE = 1 / 8


@dataclass(frozen=True, slots=True)
class Guest:
    """One guest: the how-manieth arrival it was, and its kind."""

    number: int
    kind: str


class Gathering:
    """Guests come one by one while the water is calm, and stay; unrest drives off the newest.

    Told of every view in turn. Runs on the board's time in the views, so a replay gathers the
    same guests.
    """

    def __init__(self, seed: int) -> None:
        self._seed = seed
        self._trial = 0
        self._begin(0)

    def _begin(self, trial: int) -> None:
        self._trial = trial
        self._rng = random.Random(f"guests {self._seed} {trial}")
        self.guests: list[Guest] = []
        self._arrivals = 0
        self._credit_s = 0.0
        self._unrest_s = 0.0
        self._calm_s = 0.0
        self._phase_s = 0.0

    def update(self, view: View) -> tuple[list[Guest], list[Guest]]:
        """The guests that came and those that fled since the last view."""
        if view.phase is not Phase.RUNNING:
            return [], []
        if view.trial != self._trial or view.calm_s < self._calm_s:
            self._begin(view.trial)
        # After a step back the phase begins again at zero: no time has passed then.
        passed_s = max(0.0, view.phase_s - self._phase_s)
        calm_s = view.calm_s - self._calm_s
        self._phase_s, self._calm_s = view.phase_s, view.calm_s

        came: list[Guest] = []
        if view.stillness >= STILL_ENOUGH:
            self._credit_s += calm_s
        while self._credit_s >= CALM_PER_GUEST_S:
            self._credit_s -= CALM_PER_GUEST_S
            self._arrivals += 1
            kinds = RARE if self._rng.random() < RARE_SHARE else COMMON
            came.append(Guest(self._arrivals, self._rng.choice(kinds)))
        self.guests += came

        fled: list[Guest] = []
        if view.where in (Where.TOES, Where.HEELS) or view.stillness < RESTLESS:
            self._unrest_s += passed_s
        else:
            self._unrest_s = max(0.0, self._unrest_s - passed_s)
        while self._unrest_s >= UNREST_PER_FLIGHT_S:
            self._unrest_s -= UNREST_PER_FLIGHT_S
            self._credit_s = 0.0
            if self.guests:
                fled.append(self.guests.pop())
        return came, fled
