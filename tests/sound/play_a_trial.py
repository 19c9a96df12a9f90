"""Run by test_player.py in its own process: plays an invented trial on whatever device is set."""

from __future__ import annotations

import json
import sys
import time
from dataclasses import replace

from swaytrainer.sitting.view import Event, Happening, Phase, Where
from swaytrainer.sound.player import Player
from tests.games.scenes import LEVEL, OUTCOME, view


def main() -> None:
    feedback = sys.argv[1]
    player = Player(1.0, language="en")
    player.open()
    began = time.monotonic()
    times: dict[str, float] = {}

    def wait(seconds: float, toes: float | None = None) -> None:
        until = time.monotonic() + seconds
        # Nobody waits to be told "step on": the board is not empty, and has just been left.
        shown = view(Phase.SETTLING)
        if toes is not None:
            level = replace(LEVEL, feedback=feedback)
            where = Where.TOES if toes > level.band_high_percent else Where.INSIDE
            shown = view(
                Phase.RUNNING,
                level=level,
                toe_share_percent=toes,
                right_share_percent=60.0,
                where=where,
            )
        while time.monotonic() < until:
            player.tick(shown, time.monotonic())
            time.sleep(1 / 60)

    def happen(happening: Happening, number: int = 0) -> None:
        times[happening.value] = time.monotonic() - began
        player.notice(Event(happening, 0.0, number, outcome=OUTCOME))

    wait(0.3)
    happen(Happening.COUNTDOWN_TICK, 1)
    wait(1.0)
    happen(Happening.TRIAL_STARTED)
    wait(1.0, 43.0)
    times["toes"] = time.monotonic() - began
    wait(1.0, 65.0)
    times["inside"] = time.monotonic() - began
    wait(0.8, 43.0)
    happen(Happening.TRIAL_ENDED)
    wait(4.5 if feedback == "full" else 0.8)
    player.close()
    print(json.dumps({"times": times, "silent_reason": player.silent_reason}))


if __name__ == "__main__":
    main()
