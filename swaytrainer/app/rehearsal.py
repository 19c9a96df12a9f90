"""The whole gym with a simulated board and a simulated vaulter; nothing of it is kept."""

from __future__ import annotations

import argparse
import math
import tempfile
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Final

from swaytrainer.app.choices import choices
from swaytrainer.app.gym import Gym
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.board import DECENT, SimulatedBoard
from swaytrainer.simulate.body import ORDINARY
from swaytrainer.simulate.obliging import obliging_loads
from swaytrainer.simulate.scenario import Scenario, Stand, StepOn, corner_loads
from swaytrainer.simulate.server import SimulatorServer
from swaytrainer.store.home import Home
from swaytrainer.training.vaulter import Vaulter
from swaytrainer.words import tr

if TYPE_CHECKING:
    from swaytrainer.app.window import Window
    from swaytrainer.sound.player import Player

_SEED: Final = 5
#: Long enough to step on with both feet, and nothing of it is heard before.
_ON_S: Final = 2.0


def rehearse(window: Window, player: Player, speed: float = 1.0) -> bool:
    """Open the gym as it will be, with a vaulter who does what the screen asks for.

    Args:
        window, player: the edges; they stay open.
        speed: board seconds a wall second.

    Returns:
        Whether the whole program is to end.
    """
    wanted = threading.Event()
    board = SimulatedBoard(DECENT, _SEED)
    # Without an end: whoever watches leaves.
    standing = Scenario((StepOn(), Stand(math.inf, ORDINARY)))
    half = (DECENT.half_width_mm, DECENT.half_depth_mm)
    loads = _from(corner_loads(standing, JUNIOR, DECENT.rate_hz, *half, _SEED))
    server = SimulatorServer.on_tcp(
        board, obliging_loads(loads, wanted.is_set, DECENT.rate_hz), speed
    )
    try:
        with tempfile.TemporaryDirectory(prefix="swaytrainer-") as folder:
            home = Home(Path(folder))
            home.keep_calibration(board.true_calibration())
            home.add_vaulter(
                Vaulter(tr("Wren (simulated)"), JUNIOR.foot_length_mm, JUNIOR.stance_width_mm)
            )
            options = argparse.Namespace(vaulter=None, level=None, spotter=False)

            def look(wants: bool) -> None:
                (wanted.set if wants else wanted.clear)()

            room = Gym(home, server.url, choices(home, options), window, player, on_look=look)
            try:
                room.run()
            finally:
                room.close()
            return room.closed
    finally:
        server.close()


def _from(loads: Iterator[tuple[float, ...]]) -> Iterator[tuple[float, ...]]:
    """The loads from when both feet stand."""
    for _ in range(round(_ON_S * DECENT.rate_hz)):
        next(loads)
    yield from loads
