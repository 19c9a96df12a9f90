"""The trials inside a recording: fed through the very same path, with what it made of them."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

import numpy as np

from swaytrainer.board.calibration import Loads
from swaytrainer.sitting.sitting import Sitting
from swaytrainer.sitting.view import Happening, View
from swaytrainer.store.recording import Recording, outcome_json
from swaytrainer.sway.cop import Array
from swaytrainer.sway.noise import EmptySpell
from swaytrainer.toml_text import finite_number
from swaytrainer.training.outcome import Outcome
from swaytrainer.training.trial import STAMP_S
from swaytrainer.words import Name, say


@dataclass(frozen=True, slots=True, eq=False)
class RecordedTrial:
    """One trial of a recording, computed again.

    Attributes:
        outcome: computed now, by this version.
        same_as_shown: whether it is what was shown when it was recorded; None if that is unknown.
        time_s, loads_n: the trial's own samples, tared and unfiltered; shapes (N,) and (N, cells).
        view: the view at its end.
        acceleration: times (s) and upward acceleration of the plate (m/s², gravity included) during
            the trial; None without an accelerometer.
        empty: times and loads of the longest stretch of an empty, untouched board in the whole
            recording, for its noise floor; None if there was none.
    """

    outcome: Outcome
    same_as_shown: bool | None
    time_s: Array
    loads_n: Array
    view: View
    acceleration: tuple[Array, Array] | None = None
    empty: tuple[Array, Array] | None = None


class Replayed(NamedTuple):
    """A recording fed through a fresh sitting.

    Attributes:
        trials: those that ended, in order.
        under_way: a sentence on the trial that the recording ends in, None if it ends in none.
    """

    trials: list[RecordedTrial]
    under_way: str | None


def trials_of(recording: Recording) -> list[RecordedTrial]:
    """The trials of a recording that ended, in order."""
    return replayed(recording).trials


def only_shown(recording: Recording, trials: Sequence[RecordedTrial]) -> tuple[str, ...]:
    """A sentence for each outcome that is kept as shown and that no replay brings about."""
    computed = {trial.outcome.number for trial in trials}
    found = []
    for n, shown in enumerate(recording.shown, start=1):
        number = shown.get("number", n)
        if number not in computed:
            found.append(
                say("trial {n} was shown, and can't be computed from what was recorded", n=number)
            )
    return tuple(found)


def replayed(recording: Recording) -> Replayed:
    """Feed a recording through a fresh sitting."""
    samples: list[tuple[float, ...]] = []
    spell = EmptySpell()

    def keep(time_s: float, loads_n: Loads, gap: bool) -> None:
        samples.append((time_s, *loads_n))
        if sitting.tare_n is not None:
            spell.update(time_s, loads_n, gap)

    felt: list[tuple[float, float]] = []
    sitting = Sitting(recording.setup, keep, lambda time_s, up: felt.append((time_s, up)))
    found: list[RecordedTrial] = []
    began_s = 0.0
    for item in recording.inputs:
        for event in sitting.feed(item):
            if event.happening is Happening.TRIAL_STARTED:
                began_s = event.time_s
                samples = [s for s in samples if s[0] >= began_s]
            outcome = event.outcome
            if outcome is None:
                continue
            ends_s = began_s + outcome.terms.seconds - STAMP_S
            width = 1 + recording.setup.board.cells
            kept = np.array([s for s in samples if began_s <= s[0] < ends_s]).reshape(-1, width)
            found.append(
                RecordedTrial(
                    outcome=outcome,
                    same_as_shown=_same(outcome, recording),
                    time_s=kept[:, 0],
                    loads_n=kept[:, 1:],
                    view=sitting.view(),
                    acceleration=_during(felt, began_s, ends_s),
                )
            )
            samples.clear()
            felt.clear()
    empty = spell.get()
    trials = [replace(trial, empty=empty) for trial in found]
    return Replayed(trials, _under_way(sitting.view()) if sitting.in_trial else None)


def _during(
    felt: list[tuple[float, float]], began_s: float, ends_s: float
) -> tuple[Array, Array] | None:
    kept = np.array([f for f in felt if began_s <= f[0] < ends_s]).reshape(-1, 2)
    return (kept[:, 0], kept[:, 1]) if len(kept) else None


def _under_way(view: View) -> str:
    done_s = view.level.seconds - view.left_s
    return say(
        "Trial {n} was under way: {done:.0f} of {seconds:g} s recorded.",
        n=view.trial,
        done=done_s,
        seconds=view.level.seconds,
    )


def difference_words(trial: RecordedTrial, recording: Recording) -> str:
    """From what to what a trial differs that is not as it was shown."""
    was, now = _as_shown(trial.outcome, recording), _as_now(trial.outcome)
    marks = [_mark_words(held.get("mark")) for held in (was, now)]
    if marks[0] != marks[1]:
        return say(
            "Differs from what version {version} showed: then {was}, computed now {now}.",
            version=Name(recording.version),
            was=marks[0],
            now=marks[1],
        )
    keys = _differing(was, now)
    if "measures" in keys and all(isinstance(held.get("measures"), dict) for held in (was, now)):
        keys = [key for key in keys if key != "measures"]
        keys += _differing(was["measures"], now["measures"])
    return say(
        "Differs from what version {version} showed: still {mark}, but other values of {what}.",
        version=Name(recording.version),
        mark=marks[1],
        what=Name(", ".join(keys)),
    )


def _differing(was: dict[str, Any], now: dict[str, Any]) -> list[str]:
    return sorted(key for key in was.keys() | now.keys() if was.get(key) != now.get(key))


def _mark_words(value: object) -> str:
    mark = finite_number(value)
    return say("no mark") if mark is None else say("mark {mark:.2f}", mark=mark)


def _same(outcome: Outcome, recording: Recording) -> bool | None:
    shown = _as_shown(outcome, recording)
    return _as_now(outcome) == shown if shown else None


def _as_shown(outcome: Outcome, recording: Recording) -> dict[str, Any]:
    """The outcome as it was shown; empty if that was not kept. The weight was not always kept."""
    shown = [s for s in recording.shown if s.get("number") == outcome.number]
    return {**shown[-1], "body_n": None} if shown else {}


def _as_now(outcome: Outcome) -> dict[str, Any]:
    # Through JSON and back, as the shown one went: tuples become lists, numbers stay exact.
    return {**json.loads(json.dumps(outcome_json(outcome))), "body_n": None}
