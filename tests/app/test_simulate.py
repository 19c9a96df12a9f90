"""What ``swaytrainer simulate`` plays: its fault begins when the calibration is over."""

import argparse
from itertools import islice

from swaytrainer.app.simulate import _Done, _loads
from swaytrainer.board.guided import Guide, marked_spots
from swaytrainer.simulate.board import DECENT, SimulatedBoard
from swaytrainer.simulate.fault import Fault


def test_a_guide_can_finish_before_the_fault_begins() -> None:
    board = SimulatedBoard(DECENT, 3)
    options = argparse.Namespace(
        calibrate=True, check=True, fault=Fault.ID.value, seed=3, manner="ordinary"
    )
    guide = Guide(marked_spots(DECENT.half_width_mm, DECENT.half_depth_mm), 20.0)
    loads = _loads(options, board, _Done())
    for load in loads:
        seen = board.observe(load)
        assert seen is not None
        guide.update(seen.time_s, seen.counts)
        if guide.done:
            break
    assert board.announced_id == board.board_id
    list(islice(loads, 160))
    assert board.announced_id != board.board_id
