"""How long until there is something: ``--help``, and the gym screen's first frame."""

from __future__ import annotations

import subprocess
import sys
import time

_FIRST_FRAME = """
from swaytrainer.app.window import Window
from swaytrainer.games.gym import GymState
from swaytrainer.games.stage import draw_gym
from swaytrainer.app import gym
from swaytrainer.training.level_file import shipped_levels
from swaytrainer.training.vaulter import GUEST
window = Window(off_screen={off_screen})
state = GymState("Looking for the board", False, "Plug it in.", (GUEST,), shipped_levels())
draw_gym(window.surface, state)
window.show()
"""


def seconds(*arguments: str) -> float:
    """The fastest of seven runs of this Python."""
    best = float("inf")
    for _ in range(7):
        begin = time.perf_counter()
        subprocess.run([sys.executable, *arguments], check=True, stdout=subprocess.DEVNULL)
        best = min(best, time.perf_counter() - begin)
    return best


def main() -> dict[str, float]:
    """Measure, print, and return the ratios."""
    from swaytrainer.app.window import display_missing

    bare = seconds("-c", "pass")
    helped = seconds("-m", "swaytrainer", "--help")
    first = seconds("-c", _FIRST_FRAME.format(off_screen=display_missing()))
    print(f"bare Python                      {bare:9.3f} s")
    print(f"--help                           {helped:9.3f} s    (aim: 0.15)")
    print(f"first frame of the gym screen    {first:9.3f} s    (aim: 1)")
    print(f"  ratios to bare Python          {helped / bare:9.2f}, {first / bare:.2f}")
    return {"help_over_python": helped / bare, "first_frame_over_python": first / bare}


if __name__ == "__main__":
    main()
