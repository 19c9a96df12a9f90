"""A simulated season: fifteen vaulters of an invented club, eight weeks, two evenings a week.

``python -m tests.report.season FOLDER`` fills a data folder with it. Each vaulter has a course that
the table and the pages must find again: who learns, who stands still, who does too much.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import NamedTuple

import numpy as np

from swaytrainer.sitting.sitting import Setup
from swaytrainer.store.home import Home
from swaytrainer.store.recording import FIRST_LINE, head_block, read_recording
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.outcome import Outcome, PartEarned, Terms
from swaytrainer.training.vaulter import Vaulter
from tests.streams import board_of, setup_for

KEPT = Path(__file__).parents[2] / "sessions"
LEVELS = {level.id: level for level in shipped_levels()}
WEEKS = 8
FILTER = "causal 2nd-order Butterworth, 10 Hz"


class Course(NamedTuple):
    """How somebody's season goes.

    Attributes:
        name: whose.
        speed: of sway at the beginning, mm/s.
        gain: share of it that is gone after the season; negative for whoever gets worse.
        toe: share of the weight on the toes, %.
        evenings: of sixteen, which were attended.
        sets: a set of three trials each, so many an evening.
        climbs: after the fourth week a level higher.
        closed: also a set without the picture, and one with eyes closed, on each evening.
    """

    name: str
    speed: float
    gain: float
    toe: float = 45.0
    evenings: range = range(16)
    sets: int = 1
    climbs: bool = False
    closed: bool = False


SEASON = (
    Course("Romy", 16.0, 0.45, closed=True),
    Course("Tjark", 20.0, 0.0),
    Course("Mika", 14.0, -0.5),
    Course("Jale", 18.0, 0.2, climbs=True),
    Course("Wren", 13.0, 0.5, toe=58.0),
    Course("Tarn", 22.0, 0.1, evenings=range(11)),
    Course("Ilvy", 17.0, 0.3, evenings=range(12, 16)),
    Course("Bosse", 19.0, 0.05, sets=14),
    Course("Nele", 15.0, 0.0, toe=30.0),
    Course("Juno", 21.0, 0.35),
    Course("Ämy Örtel", 18.0, 0.0, evenings=range(0, 16, 4)),
    Course("=cmd|' /C calc'!A0", 16.0, 0.1),
    Course("<b>Fenn</b> / 🐎", 17.0, 0.25),
    Course("Wilhelmina Theodora" + " von und zu Ried" * 16, 15.0, 0.1),
    Course("Pim", 0.0, 0.0, evenings=range(0)),
)


def outcome(
    level: Level, number: int, speed: float, toe: float, rng: np.random.Generator
) -> Outcome:
    """A trial of Millpond that stood so calm and so far forward, marked as the level says."""
    spread = 6.0 + 0.3 * speed
    inside = float(np.clip(100.0 - 2.2 * abs(toe - 43.0) + 8.0 * rng.normal(), 0.0, 100.0))
    measures = {
        "mean_speed_mm_s": speed,
        "calm_speed_mm_s": speed,
        "ellipse_area_mm2": spread * speed,
        "toe_share_percent": toe + 2.0 * rng.normal(),
        "time_in_band_percent": inside,
        "right_share_percent": 50.0 + 1.5 * rng.normal(),
    }
    parts = []
    for part in level.parts:
        share = (measures[part.measure] - part.nothing_at) / (part.all_at - part.nothing_at)
        earned = 10.0 * part.weight * float(np.clip(share, 0.0, 1.0))
        parts.append(PartEarned(part.measure, measures[part.measure], earned, 10.0 * part.weight))
    mark = round(sum(part.earned for part in parts), 1)
    feedback = level.feedback if level.feedback in ("full", "none", "sound") else "full"
    terms = Terms(80.0, FILTER, level.seconds, level.base, level.stance, level.eyes, feedback)
    return Outcome(
        number, "complete", True, mark, tuple(parts), 0.0, "Made.", "Go on.", 0, 0.0, 0.0, measures,
        terms, 420.0,
    )  # fmt: skip


def season(folder: Path, until: datetime, seed: int = 5) -> Home:
    """Fill a data folder; the last evening was so many days before ``until`` as Monday lies."""
    home = Home(folder)
    rng = np.random.default_rng(seed)
    setup = setup_for(board_of(), LEVELS["millpond-open-water"])
    for n, course in enumerate(SEASON):
        group = "Otters" if n < 8 else "Herons"
        caution = "Left ankle taped" if course.name == "Wren" else ""
        vaulter = Vaulter(course.name, 225.0 + n, 190.0, 1400.0 + 20 * n, 2012, group, caution)
        home.add_vaulter(vaulter)
        for evening in course.evenings:
            made = until - timedelta(days=1) - timedelta(days=3.5 * (15 - evening))
            share = evening / 15.0
            high = course.climbs and evening >= 10
            level = LEVELS["millpond-reeds" if high else "millpond-open-water"]
            day = float(np.exp(0.08 * rng.normal()))
            speed = course.speed * (1.0 - course.gain * share) * day * (1.4 if high else 1.0)
            _sets(home, replace(setup, vaulter=vaulter, level=level), made, course, speed, rng)
            if course.closed:
                for later, (name, more) in enumerate((("unseen", 1.1), ("asleep", 1.5)), start=1):
                    level = LEVELS[f"millpond-{name}"]
                    blind = replace(setup, vaulter=vaulter, level=level)
                    _sets(
                        home, blind, made + timedelta(minutes=9 * later), course, more * speed, rng
                    )
        if course.evenings:
            _signals(home, vaulter, made + timedelta(minutes=30))
    return home


def _sets(
    home: Home, setup: Setup, made: datetime, course: Course, speed: float, rng: np.random.Generator
) -> None:
    for n in range(course.sets):
        recorder = home.new_recorder(setup, made + timedelta(minutes=3 * n))
        for number in (1, 2, 3):
            at = speed * float(np.exp(0.12 * rng.normal()))
            recorder.append_outcome(outcome(setup.level, number, at, course.toe, rng))
        recorder.close()


def _signals(home: Home, vaulter: Vaulter, made: datetime) -> None:
    """A kept recording with signals, under the vaulter's name, for the picture of the soles."""
    source = KEPT / "2-romy-calm.sway"
    recording = read_recording(source)
    data = source.read_bytes()
    at = len(FIRST_LINE)
    end = at + 7 + int.from_bytes(data[at + 3 : at + 7], "little") + 4
    setup = replace(recording.setup, vaulter=Vaulter(vaulter.name, 230.0, 180.0))
    recorder = home.new_recorder(setup, made)
    recorder.close()
    recorder.path.write_bytes(head_block(setup, made.isoformat()) + data[end:])


if __name__ == "__main__":
    season(Path(sys.argv[1]), datetime.now().astimezone())
