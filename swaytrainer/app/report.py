"""``swaytrainer report``: one page about a vaulter, or the squad's, to print and to hand out."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Final

import numpy as np

from swaytrainer.app.about import about_one
from swaytrainer.app.squad_table import squad_sheet
from swaytrainer.errors import SwaytrainerError
from swaytrainer.progress.about import (
    RECENT_DAYS,
    About,
    Word,
    amount,
    measure_words,
    told,
    where_words,
)
from swaytrainer.progress.assess import Row, counted
from swaytrainer.progress.change import NOT_ENOUGH, ORDINARY, REAL, REAL_BETTER, REAL_WORSE
from swaytrainer.progress.findings import findings
from swaytrainer.report.pages import squad_page, vaulter_page
from swaytrainer.report.sheets import LONGEST_SENTENCE, Curve, NextStep, Rung, Soles, VaulterSheet
from swaytrainer.sitting.sitting import feet_of
from swaytrainer.store.home import Home
from swaytrainer.store.recording import glance, read_recording
from swaytrainer.store.trials import trials_of
from swaytrainer.sway.prepare import prepare
from swaytrainer.training.ladder import DAYS, K, N, Step, Suggestion
from swaytrainer.training.risk import needs_spotter
from swaytrainer.words import Name, say, tr

ENDINGS: Final = (".html", ".pdf")
#: A page has room for so many.
_CURVES, _RUNGS = 2, 4
#: A picture older than so many sittings tells nothing of now.
_SEEN: Final = 20


def report(options: argparse.Namespace, home: Home) -> int:
    """The command; its exit status.

    Raises:
        SwaytrainerError: nobody of that name, an ending that is neither, or a library is missing.
    """
    path: Path = options.output
    if path.suffix.lower() not in ENDINGS:
        raise SwaytrainerError(
            say("{path} ends in none of {those}.", path=Name(path), those=Name(", ".join(ENDINGS))),
            say("Name it so, such as wren.pdf."),
        )
    if (options.name is None) == (not options.squad):
        raise SwaytrainerError(
            say("A report is about a vaulter, or about the squad."),
            say("Write: swaytrainer report NAME -o FILE.pdf, or report --squad -o FILE.pdf"),
        )
    today = datetime.now().astimezone().date()
    sentence = (options.sentence or "").strip()
    if len(sentence) > LONGEST_SENTENCE:
        raise SwaytrainerError(
            say(
                "The sentence has {n} letters; a page holds {most}.",
                n=len(sentence),
                most=LONGEST_SENTENCE,
            ),
            say("Say it shorter."),
        )
    if options.squad:
        page = squad_page(squad_sheet(home, today, sentence))
    else:
        page = vaulter_page(vaulter_sheet(home, options.name, today, sentence))
    data = page.encode()
    if path.suffix.lower() == ".pdf":
        from swaytrainer.report.paper import as_pdf

        data = as_pdf(page)
    try:
        path.write_bytes(data)
    except OSError as error:
        raise SwaytrainerError(
            say("Can't write {path}: {why}.", path=Name(path), why=Name(error.strerror)),
            say("Give another file, in a folder that you may write to."),
        ) from None
    print(tr(say("Written: {path}", path=Name(path))))
    return 0


def vaulter_sheet(home: Home, name: str, today: date, sentence: str = "") -> VaulterSheet:
    """What the page about a vaulter holds.

    Raises:
        SwaytrainerError: nobody of that name, or a file can't be used.
    """
    vaulter = home.vaulter_called(name)
    about, _ = about_one(home, vaulter, today)
    return VaulterSheet(
        vaulter.name,
        vaulter.group,
        today,
        _lately(about),
        newest_soles(home, vaulter.name),
        tuple(findings(about)),
        tuple(_curve(row) for row in _chosen(about.rows)),
        tuple(_rung(step) for step in about.steps[:_RUNGS]),
        _next(about),
        vaulter.caution,
        sentence,
    )


def _lately(about: About) -> str:
    """How much was trained, and whether it was too much of late."""
    load = about.load(RECENT_DAYS)
    lately = say(
        "{days} of training and {minutes:.0f} min on the board in four weeks",
        days=counted(load.days, "day"),
        minutes=load.minutes,
    )
    word, why = told(about)
    if word is not Word.MUCH:
        return lately
    return say("{lately}. Too much of late: {why}", lately=lately, why=why)


def newest_soles(home: Home, name: str) -> Soles | None:
    """The picture of a vaulter's newest counted trial that stayed on the board; None without one.

    Recordings that can't be read are passed over: ``progress`` names them.
    """
    for path in home.recordings_of(name)[: -_SEEN - 1 : -1]:
        try:
            if glance(path).setup.vaulter.name != name:
                continue
            found = _soles_of(path)
        except SwaytrainerError:
            continue
        if found is not None:
            return found
    return None


def _soles_of(path: Path) -> Soles | None:
    recording = read_recording(path)
    setup = recording.setup
    for trial in reversed(trials_of(recording)):
        if not trial.outcome.counts or trial.outcome.step_offs:
            continue
        trace = prepare(trial.time_s, trial.loads_n, setup.calibration.places)
        feet = feet_of(setup)
        x, y = float(np.nanmean(trace.x_mm)), float(np.nanmean(trace.y_mm))
        day = datetime.fromisoformat(recording.made).date()
        return Soles(
            feet,
            trace.x_mm,
            trace.y_mm,
            (setup.level.band_low_percent, setup.level.band_high_percent),
            float(feet.toe_share_percent(y)),
            float(feet.right_share_percent(x)),
            say(
                "{level}, {day}",
                level=setup.level.title,
                day=Name(day.strftime(tr(say("%Y-%m-%d")))),
            ),
        )
    return None


def _chosen(rows: Sequence[Row]) -> list[Row]:
    """The marks' and the speed's row of late, before all one that has changed."""
    chosen: list[Row] = []
    for measure in ("mark", "mean_speed_mm_s"):
        there = [row for row in rows if row.measure == measure and len(row.days.days) > 1]
        if there:
            newest = max(row.days.days[-1].day for row in there)
            lately = [row for row in there if newest - row.days.days[-1].day <= RECENT_DAYS]
            chosen.append(max(lately, key=_telling))
    return chosen[:_CURVES]


def _telling(row: Row) -> tuple[bool, int, int]:
    changed = row.change.verdict in (REAL_BETTER, REAL_WORSE, REAL)
    return changed, len(row.days.days), row.days.days[-1].day


def _curve(row: Row) -> Curve:
    c = row.change
    ordinary = None if np.isnan(c.ordinary_low) else (c.ordinary_low, c.ordinary_high)
    unit = "" if row.measure == "mark" else row.unit
    verdict: str
    if c.verdict == NOT_ENOUGH:
        verdict = say(
            "Too early to tell: {days} of {need} days.", days=c.days, need=c.days + c.days_missing
        )
    else:
        ends = {
            "before": amount(c.before, "of 10" if row.measure == "mark" else ""),
            "latest": amount(c.latest, row.unit),
        }
        verdicts: dict[str, str] = {
            REAL_BETTER: say("Really better: from {before} to {latest}.", **ends),
            REAL_WORSE: say("Really changed, for the worse: from {before} to {latest}.", **ends),
            REAL: say("Really changed: from {before} to {latest}.", **ends),
            ORDINARY: say("Within the ordinary day-to-day range."),
        }
        verdict = verdicts[c.verdict]
    days = tuple((date.fromordinal(d.day), row.days.unit(d.mean)) for d in row.days.days)
    title = say("{measure} ({where})", measure=measure_words(row.measure), where=where_words(row))
    return Curve(title, unit, days, ordinary, verdict)


def _rung(step: Suggestion) -> Rung:
    return Rung((step.current or step.level).title, step.reason)


def _next(about: About) -> NextStep | None:
    """The step to take: one up before anything else, else what goes on."""
    order = (Step.UP, Step.COACH, Step.DOWN, Step.STAY, Step.BEGIN)
    if not about.steps:
        return None
    step = min(about.steps, key=lambda s: order.index(s.step))
    level = step.level
    # What a level is for is told against the one below: beside the same one it says nothing.
    title, why = {
        Step.UP: (say("One up: {level}", level=level.title), level.purpose),
        Step.BEGIN: (say("Begin with {level}", level=level.title), level.purpose),
        Step.COACH: (say("What your coach said: {level}", level=level.title), step.reason),
        Step.DOWN: (say("One back, for now: {level}", level=level.title), step.reason),
        Step.STAY: (say("Stay at {level}", level=level.title), step.reason),
    }[step.step]
    rung = about.rungs[level.id][0]
    top = max(n for n, other in about.rungs.values() if other.game == level.game)
    if step.step is Step.STAY and rung < top:
        why = say(
            "until {need} of the last {of} trials, on {days} days or more, had a mark of {mark:g}"
            " or more.",
            need=K,
            of=N,
            days=DAYS,
            mark=level.pass_mark,
        )
    return NextStep(title, why, needs_spotter(level), level.cautions)
