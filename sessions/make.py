"""Makes the recordings in this folder: four sittings of an invented club.

Run it from the checkout's top: ``python sessions/make.py [FOLDER]``. The same version of the
program makes the same files, byte for byte.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from swaytrainer.board.arrivals import Received
from swaytrainer.simulate.athlete import ADULT, CHILD, HEAVY_ADULT, JUNIOR, Athlete
from swaytrainer.simulate.board import BoardMake, SimulatedBoard
from swaytrainer.simulate.body import CALM, HEEL_HEAVY, ORDINARY, TOE_HEAVY, Ground, Manner
from swaytrainer.simulate.scenario import (
    Empty,
    Scenario,
    Stand,
    Step,
    StepOff,
    StepOn,
    corner_loads,
)
from swaytrainer.sitting.inputs import BoardFacts
from swaytrainer.sitting.sitting import Setup, Sitting
from swaytrainer.store.recording import SUFFIX, Recorder
from swaytrainer.training.level import Level
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.vaulter import Vaulter

_LEVELS = {level.id: level for level in shipped_levels()}
SHORE, OPEN_WATER, REEDS = (
    _LEVELS[name] for name in ("millpond-shore", "millpond-open-water", "millpond-reeds")
)
#: Settling and countdown, with time to spare.
LEAD_S = 7.0


@dataclass(frozen=True, slots=True)
class Story:
    """One sitting: who, what, and how it went."""

    name: str
    athlete: Athlete
    level: Level
    steps: tuple[Step, ...]
    seed: int


def visit(level: Level, manner: Manner, ground: Ground = Ground.FIRM) -> tuple[Step, ...]:
    """Step on, stand the trial out, step off."""
    return (StepOn(), Stand(LEAD_S + level.seconds, manner, ground), StepOff())


def stories() -> tuple[Story, ...]:
    """The sittings, in the order of their file names."""
    once = replace(SHORE, trials=1)
    twice = replace(SHORE, trials=2, rest_s=5.0)
    reeds = replace(REEDS, trials=1)
    water = replace(OPEN_WATER, trials=1)
    return (
        Story(
            "1-mika-toes-then-even",
            CHILD,
            twice,
            (
                Empty(2.5),
                *visit(twice, replace(TOE_HEAVY, toe_share_percent=62.0)),
                Empty(6.0),
                *visit(twice, ORDINARY),
                Empty(1.0),
            ),
            11,
        ),
        Story("2-romy-calm", JUNIOR, water, (Empty(2.5), *visit(water, CALM), Empty(1.0)), 12),
        Story(
            "3-jale-steps-off",
            ADULT,
            once,
            (
                Empty(2.5),
                StepOn(),
                Stand(13.0, HEEL_HEAVY),
                StepOff(),
                Empty(1.0),
                StepOn(),
                Stand(20.0, ORDINARY),
                StepOff(),
                Empty(1.0),
            ),
            13,
        ),
        Story(
            "4-tjark-foam",
            HEAVY_ADULT,
            reeds,
            (Empty(2.5), *visit(reeds, ORDINARY, Ground.COMPLIANT), Empty(1.0)),
            14,
        ),
    )


def record(story: Story, folder: Path) -> Path:
    """Play one sitting into a file."""
    make = BoardMake()
    board = SimulatedBoard(make, 2026)
    athlete = story.athlete
    setup = Setup(
        board.true_calibration(),
        story.level,
        Vaulter(athlete.name.split()[0], athlete.foot_length_mm, athlete.stance_width_mm),
        BoardFacts(board.board_id, make.rate_hz),
    )
    path = folder / (story.name + SUFFIX)
    path.unlink(missing_ok=True)
    made = datetime(2026, 9, 12, 17, 30, tzinfo=UTC).isoformat()
    recorder, sitting = Recorder(path, setup, made), Sitting(setup)
    loads = corner_loads(
        Scenario(story.steps),
        athlete,
        make.rate_hz,
        make.half_width_mm,
        make.half_depth_mm,
        story.seed,
    )
    for n, data in enumerate(board.stream(loads), start=1):
        item = Received(n / make.rate_hz, data)
        recorder.append(item)
        for event in sitting.feed(item):
            if event.outcome is not None:
                recorder.append_outcome(event.outcome)
    recorder.close()
    return path


def main() -> None:
    """Make all recordings."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent
    for story in stories():
        print(record(story, folder))


if __name__ == "__main__":
    main()
