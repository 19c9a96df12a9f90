"""The numbers and lines of text beside the curves: what they say, not how they look.

All are given in the language in use.
"""

from __future__ import annotations

import math
from datetime import datetime
from typing import Final

from swaytrainer import words
from swaytrainer.errors import SwaytrainerError
from swaytrainer.scope.watched import Cloud, Spectra, Watched
from swaytrainer.sitting.view import Event, Happening, Phase
from swaytrainer.words import Name, Said, say, tr

_HAPPENED: Final = {
    Happening.TARED: say("zero taken"),
    Happening.STEPPED_ON: say("stepped on"),
    Happening.LEFT_EARLY: say("stepped off before the trial"),
    Happening.LESSON_STARTED: say("the game is tried first"),
    Happening.LESSON_ENDED: say("tried enough"),
    Happening.TRIAL_STARTED: say("trial begins"),
    Happening.HALF_TIME: say("half of the time"),
    Happening.STEPPED_OFF: say("stepped off"),
    Happening.STEPPED_BACK: say("stepped back on"),
    Happening.REST_OVER: say("rest is over"),
    Happening.FINISHED: say("all trials done"),
    Happening.SIGNAL_LOST: say("signal lost"),
    Happening.SIGNAL_BACK: say("signal is back"),
}
_PHASES: Final = {
    Phase.WAITING: say("Waiting for somebody to step on"),
    Phase.SETTLING: say("Standing still"),
    Phase.COUNTDOWN: say("Countdown"),
    Phase.LESSON: say("Trying the game"),
    Phase.RUNNING: say("Trial"),
    Phase.OFF: say("Stepped off: a few seconds to come back"),
    Phase.RESULT: say("The mark stands"),
    Phase.RESTING: say("Rest"),
    Phase.FINISHED: say("Over"),
}


def number(value: float, digits: int, unit: str) -> str:
    """A value and its unit, or a dash where there is none.

    >>> number(41.26, 0, "%"), number(math.nan, 0, "%")
    ('41 %', '–')
    """
    if not math.isfinite(value):
        return "–"
    # + 0.0: no minus before a zero
    return f"{words.number(round(value, digits) + 0.0, f'.{digits}f')} {unit}"


def trouble(error: SwaytrainerError) -> str:
    """What is wrong and what to do."""
    return f"{tr(error.what)} {tr(error.remedy)}".strip()


def title(watched: Watched) -> str:
    """Who and what."""
    level = watched.setup.level
    said = say(
        "{name} · {title} · {base}, {stance}, eyes {eyes}",
        name=Name(watched.setup.vaulter.name),
        title=level.title,
        base=level.base,
        stance=level.stance,
        eyes=level.eyes,
    )
    return tr(said)


def date(made: str) -> str:
    """When, to the minute, of a recording's ISO date.

    >>> date("2026-09-12T17:30:05+02:00")
    '2026-09-12 17:30'
    """
    try:
        at = datetime.fromisoformat(made)
    except ValueError:
        return made[:16].replace("T", " ")
    return f"{at.strftime(tr(say('%Y-%m-%d')))} {at:%H:%M}"


def values(watched: Watched, at_s: float) -> list[tuple[str, str]]:
    """The large numbers at a board time: (name, value)."""

    def at(name: str) -> float:
        return watched.curves.value(name, at_s)

    shown = [
        (tr(say("force")), number(at("force_n"), 0, "N")),
        (tr(say("toes")), number(at("toe_share_percent"), 0, "%")),
        (tr(say("right")), number(at("right_share_percent"), 0, "%")),
        (tr(say("speed")), number(at("speed_mm_s"), 1, "mm/s")),
        (tr(say("noise floor")), number(watched.view.signal.noise_floor_mm_s, 2, "mm/s")),
    ]
    if watched.moves:
        shown += [
            (tr(say("cadence")), number(at("cadence_hz"), 2, "/s")),
            (tr(say("absorbed")), number(at("absorption_percent"), 0, "%")),
        ]
    return shown


def state(watched: Watched) -> str:
    """Where the sitting stands now."""
    view = watched.view
    said = [tr(_PHASES[view.phase])]
    if view.left_s > 0.0:
        said.append(tr(say("{left:.0f} s left", left=view.left_s)))
    said.append(tr(say("trial {n} of {all}", n=view.trial, all=view.trials)))
    said.append(tr(say("pass at {mark:g}", mark=view.level.pass_mark)))
    if view.marks:
        between = ", " if words.number(0.5) == "0.5" else "; "
        marks = between.join("–" if m is None else words.number(m, ".1f") for m in view.marks)
        said.append(tr(say("marks so far: {marks}", marks=Name(marks))))
    return " · ".join(said)


def health(watched: Watched) -> tuple[bool, str]:
    """Whether all is well with the board, and a line on it."""
    view = watched.view
    signal = view.signal
    if view.warnings:
        return False, " ".join(tr(warning) for warning in view.warnings)
    if not signal.connected:
        return False, tr(say("No signal from the board."))
    said = say(
        "Cells and link are well: {rate:.0f} samples a second, {lost} lost, {corrupt} corrupt,"
        " jitter {jitter}.",
        rate=signal.rate_hz,
        lost=signal.lost,
        corrupt=signal.corrupt,
        jitter=Name(number(signal.jitter_ms, 1, "ms")),
    )
    return True, tr(said)


def ellipse_line(cloud: Cloud) -> str:
    """The ellipse in words."""
    e = cloud.ellipse
    said: Said | str = cloud.reason or say(
        "Ellipse (95 %): {area:.0f} mm², {long:.0f} × {short:.0f} mm",
        area=e.ellipse_area_mm2,
        long=2.0 * e.ellipse_major_mm,
        short=2.0 * e.ellipse_minor_mm,
    )
    return tr(said)


def spectrum_line(spectra: Spectra) -> str:
    """The spectrum in words."""
    (mx, my), (ex, ey) = spectra.median_hz, spectra.edge_95_hz
    said: Said | str = spectra.reason or say(
        "Half the power below {mx:.2f} Hz across, {my:.2f} Hz along; 95 % below {ex:.1f} and"
        " {ey:.1f} Hz ({seconds:.0f} s)",
        mx=mx,
        my=my,
        ex=ex,
        ey=ey,
        seconds=spectra.seconds,
    )
    return tr(said)


def strides_line(watched: Watched) -> str:
    """What is known of the strides; "" on a base that stands."""
    absorbed = watched.absorbed
    if absorbed is None:
        return ""
    if absorbed.reason:
        return tr(absorbed.reason)
    mass = watched.plate_mass_kg
    n = absorbed.strides
    return tr(
        say("Of the last {n} strides; plate of {mass:g} kg taken out.", n=n, mass=mass)
        if mass
        else say("Of the last {n} strides; the plate's own mass not taken out.", n=n)
    )


def told(event: Event) -> str:
    """An event in a few words.

    >>> told(Event(Happening.CUE, 3.0, 2, word="gust"))
    'gust 2'
    """
    if event.happening is Happening.CUE:
        return f"{tr(event.word)} {event.number}" if event.number else tr(event.word)
    if event.happening is Happening.COUNTDOWN_TICK:
        return tr(say("countdown {n}", n=event.number))
    if event.outcome is not None:
        n, mark = event.outcome.number, event.outcome.mark
        return tr(
            say("trial {n} ended without a mark", n=n)
            if mark is None
            else say("trial {n} ended: mark {mark:.1f}", n=n, mark=mark)
        )
    return tr(_HAPPENED.get(event.happening, str(event.happening)))
