"""Half a minute on the board that finds heels and balls: from received bytes to found feet.

Pure, like ``Sitting``: the same bytes give the same feet.
"""

from __future__ import annotations

import math

from swaytrainer.board import wire
from swaytrainer.board.arrivals import Arrival, LinkBroken, Received, Silence
from swaytrainer.board.clock import StreamClock
from swaytrainer.board.pair import BoardCalibration, PairCalibration
from swaytrainer.board.tare import Tare
from swaytrainer.errors import SwaytrainerError
from swaytrainer.sitting.live_cop import live_cop
from swaytrainer.sway.cop import NAN, CopSample
from swaytrainer.training.foot_finding import FootFinder, Pose
from swaytrainer.training.vaulter import Vaulter

#: After this silence it is over: the poses' order is lost.
_GONE_AFTER_S = 5.0


class FootSitting:
    """The board's empty second, then the finder's poses.

    Args:
        calibration: the board's; with two plates each foot stands on its plate's middle.
        board_id, rate_hz: from its hello.
        vaulter, stance: whose feet, and how they stand.

    Attributes:
        finder: what was held so far.
        cop: the newest force and COP.

    Raises:
        SwaytrainerError: the calibration is another board's.
    """

    def __init__(
        self,
        calibration: BoardCalibration,
        board_id: str,
        rate_hz: float,
        vaulter: Vaulter,
        stance: str = "two feet",
    ) -> None:
        self._calibration = calibration.for_board(board_id)
        self._board_id = board_id
        self._decoder = wire.Decoder()
        self._clock = StreamClock(rate_hz)
        cells = len(calibration.places)
        self._tare = Tare((0.0,) * cells)
        self._live_cop = live_cop(calibration, rate_hz)
        width_mm = vaulter.stance_width_mm
        if isinstance(calibration, PairCalibration):
            width_mm = calibration.apart_mm
        self.finder = FootFinder(
            vaulter.name, stance, vaulter.foot_length_mm, width_mm, calibration.heel_line_mm
        )
        self.cop = CopSample(0.0, 0.0, NAN, NAN, 0.0)

    @property
    def heel_line_mm(self) -> float:
        """y of the board's heel line."""
        return self._calibration.heel_line_mm

    @property
    def instruction(self) -> str:
        """What to do now, one line."""
        if not self._tare.known:
            return "Leave the board empty for a moment."
        if math.isnan(self.cop.x_mm) and self.finder.pose is Pose.EVEN:
            return "Step on, heels on the line, a hand on the support."
        return self.finder.instruction

    def feed(self, item: Arrival) -> None:
        """Take what a link heard.

        Raises:
            SwaytrainerError: the signal broke off, or another board was plugged in.
        """
        if isinstance(item, LinkBroken) or (
            isinstance(item, Silence) and item.silent_s > _GONE_AFTER_S
        ):
            raise SwaytrainerError(
                "The board's signal broke off.",
                "Check its cable, then start again; nothing was changed.",
            )
        if not isinstance(item, Received):
            return
        for frame in self._decoder.feed(item.data):
            if isinstance(frame, wire.Sample):
                self._sample(frame, frame.status, frame[3:], item.host_s)
            elif isinstance(frame, wire.PairSample):
                status = frame.left_status | frame.right_status
                self._sample(frame, status, frame.left + frame.right, item.host_s)
            else:
                self._clock.skip(frame.sequence)
                if isinstance(frame, wire.Hello) and frame.board_id != self._board_id:
                    raise SwaytrainerError(
                        f"Another board ({frame.board_id}) was plugged in.",
                        "Start again with one board; nothing was changed.",
                    )

    def _sample(
        self,
        frame: wire.Sample | wire.PairSample,
        status: int,
        counts: tuple[int, ...],
        host_s: float,
    ) -> None:
        stamp = self._clock.stamp(frame.sequence, frame.time_us, host_s)
        if stamp is None:
            return
        lost = status & wire.STATUS_NO_LOADS or len(counts) != len(self._calibration.places)
        if stamp.gap or lost:
            self._live_cop.gap()
            self.finder.gap()
        if lost:
            return
        if not self._tare.known:
            self._tare.update(stamp.time_s, self._calibration.loads(counts))
            return
        loads = self._calibration.loads(counts, self._tare.tare_n)
        self.cop = self._live_cop.update(stamp.time_s, loads)
        self.finder.update(self.cop)
