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
        calibrate=True, check=True, fault=Fault.ID.value, seed=3, manner="ordinary", feet=False
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


def test_the_masses_wait_for_who_calibrates_and_then_a_vaulter_comes() -> None:
    board = SimulatedBoard(DECENT, 3)
    options = argparse.Namespace(
        calibrate=True, check=False, fault=None, seed=3, manner="ordinary", feet=False
    )
    done = _Done()

    def heaviest_n(samples: int) -> float:
        return max(sum(load) for load in islice(_loads(options, board, done), samples))

    # A short look, then the whole calibration up to a second of the empty board behind it.
    assert heaviest_n(80 * 2) == 0.0
    assert heaviest_n(80 * (4 + 9 * 3 + 1)) < 250.0
    # The next host meets a vaulter, not the masses.
    assert heaviest_n(80 * 12) > 400.0
