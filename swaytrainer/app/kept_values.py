"""What the recordings hold of every counted trial, measure by measure.

What a recording keeps of its outcomes is enough for the live measures, at a hundredth of the cost
of a replay. A measure that no outcome holds is computed from the recording, with the filter of
``analyse``; then the filter is another term, and the two are never compared.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import Any, Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.index.reading import known_terms
from swaytrainer.progress.assess import Found, counted
from swaytrainer.progress.days import DatedValue
from swaytrainer.progress.terms import Task
from swaytrainer.store.recording import Recording, glance, outcome_json, read_recording
from swaytrainer.store.trials import RecordedTrial, trials_of
from swaytrainer.sway.prepare import prepare
from swaytrainer.sway.table import MEASURES, sway_measures
from swaytrainer.toml_text import finite_number
from swaytrainer.training.level import Level
from swaytrainer.training.tasks.catalogue import KINDS
from swaytrainer.words import Name, listed, say

#: They depend on the level's band, so they compare only within the same one.
_OF_BAND: Final = ("time_in_band_percent", "longest_spell_s")
#: They count time off the board; what all others make of a step off and back on is no sway.
_WITH_STEP_OFFS: Final = ("mark", "time_in_band_percent")
_UNCOUNTED: Final = say("that did not count (broken off, signal lost, or in doubt)")
_UNKNOWN: Final = say("with terms that this version does not know")
_STEPPED: Final = say("with a step off the board, but for mark and time in band")


def gather(
    paths: Iterable[Path], measures: tuple[str, ...], since: date | None = None
) -> tuple[list[Found], list[str]]:
    """Every counted trial's values of these measures, and sentences on what was left out.

    Args:
        paths: recordings; damaged ones are named and passed over.
        measures: keys of ``senses.SENSES``.
        since: older ones are passed over, with no word.
    """
    found: list[Found] = []
    notes: list[str] = []
    left_out: dict[str, int] = {}
    for path in paths:
        try:
            recording = glance(path)
            day = datetime.fromisoformat(recording.made).date()
        except SwaytrainerError as error:
            notes.append(say("Left out: {why}", why=listed((error.what, error.remedy), " ")))
        except ValueError:
            notes.append(say("Left out: {path} does not tell its date.", path=Name(path)))
        else:
            if since is None or day >= since:
                found += of_one(path, recording, day, measures, left_out)
    return found, [*notes, *left_out_words(left_out)]


def left_out_words(left_out: Mapping[str, int]) -> list[str]:
    """Sentences on the trials that were left out."""
    return [
        say("Left out: {many} {what}.", many=counted(n, "trial"), what=what)
        for what, n in left_out.items()
    ]


def of_one(
    path: Path,
    recording: Recording,
    day: date,
    measures: tuple[str, ...],
    left_out: dict[str, int],
) -> list[Found]:
    """The values of one recording's trials; what is left out is counted in ``left_out``."""
    shown, computed = _outcomes(path, recording, measures)
    setup = recording.setup
    whose = (setup.vaulter.name, setup.board.board_id)
    return values_of(whose, setup.level, day, shown, computed, measures, left_out)


def values_of(
    whose: tuple[str, str],
    level: Level,
    day: date,
    shown: Iterable[Mapping[str, Any]],
    computed: Mapping[int, tuple[dict[str, float], str]],
    measures: tuple[str, ...],
    left_out: dict[str, int],
) -> list[Found]:
    """The values of one sitting's trials.

    Args:
        whose: the vaulter's name, and the board's id.
        level: what was done.
        day: when, at the vaulter's place.
        shown: the outcomes as they were kept.
        computed: offline values, and their filter, by the trial's number.
        measures: keys.
        left_out: trials that are left out are counted here, by the reason.
    """
    found = []
    tasks = {key: _task(level, key) for key in measures}
    for outcome in shown:
        terms = known_terms(outcome.get("terms"))
        stepped = outcome.get("step_offs") != 0 and not KINDS[level.game].leaves_board
        why: str = _UNCOUNTED if outcome.get("counts") is not True else ""
        why = why or ("" if terms else _UNKNOWN)
        if why or stepped:
            left_out[why or _STEPPED] = left_out.get(why or _STEPPED, 0) + 1
        if terms is None or why:
            continue
        for key in measures:
            if stepped and key not in _WITH_STEP_OFFS:
                continue
            value, of_terms = _value(outcome, key), terms
            number = outcome.get("number")
            if value is None and isinstance(number, int) and number in computed:
                values, label = computed[number]
                value, of_terms = values.get(key, math.nan), replace(terms, filter=label)
            if value is not None:
                task = Task(of_terms, tasks[key])
                found.append(
                    Found(whose[0], task, key, DatedValue(day.toordinal(), value), whose[1])
                )
    return found


def lacking(kept: Iterable[Mapping[str, Any]], measures: tuple[str, ...]) -> bool:
    """Whether a measure that a recording's trials would tell was not kept with the outcomes."""
    return any(_value(k, key) is None for k in kept for key in measures if key in MEASURES)


def _outcomes(
    path: Path, recording: Recording, measures: tuple[str, ...]
) -> tuple[tuple[dict[str, Any], ...], dict[int, tuple[dict[str, float], str]]]:
    """The outcomes as shown, or computed where none was kept; and offline values, if needed."""
    kept = recording.shown
    if kept and not lacking(kept, measures):
        return kept, {}
    recording = read_recording(path)
    trials = trials_of(recording)
    kept = kept or tuple(outcome_json(trial.outcome) for trial in trials)
    offline = {}
    for trial in trials if lacking(kept, measures) else ():
        values = _offline(trial, recording)
        if values is not None:
            offline[trial.outcome.number] = values
    return kept, offline


def _offline(trial: RecordedTrial, recording: Recording) -> tuple[dict[str, float], str] | None:
    try:
        trace = prepare(trial.time_s, trial.loads_n, recording.setup.calibration.places)
    except SwaytrainerError:
        return None
    return sway_measures(trace), trace.filter


def _value(outcome: Mapping[str, Any], key: str) -> float | None:
    """A value as it was kept; NaN where it was null; None where the outcome lacks it."""
    held = outcome.get("measures")
    if key == "mark":
        value = outcome.get("mark")
    elif isinstance(held, dict) and key in held:
        value = held[key]
    else:
        return None
    return math.nan if (number := finite_number(value)) is None else number


def _task(level: Level, key: str) -> str:
    numbers = ", ".join(f"{name} {value:g}" for name, value in level.task)
    game = f"{level.game} ({numbers})" if numbers else level.game
    band = f"{game}, toe share {level.band_low_percent:g}-{level.band_high_percent:g} %"
    if key == "mark":
        parts = "; ".join(
            f"{p.measure} {p.nothing_at:g} to {p.all_at:g} times {p.weight:g}" for p in level.parts
        )
        return f"{band}, marked by {parts}"
    return band if key in _OF_BAND else game
