"""A board's force and COP as a live stream of the Lab Streaming Layer (an open protocol).

The stream is announced on the local network: whoever listens there can read it. It names the board
and nobody.
"""

from __future__ import annotations

from typing import Any, Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.cop import CopSample

NAME: Final = "swaytrainer"
#: A content type is free text; this one is ours.
TYPE: Final = "Force and COP"
CHANNELS: Final = {"force_n": "N", "cop_x_mm": "mm", "cop_y_mm": "mm", "board_time_s": "s"}
FRAME: Final = (
    "Seen from above, vaulter facing forward: x to the right, y forward, origin at the plate's"
    " centre. Force on the plate, downwards positive. NaN: nobody is on the plate."
)


class LiveOutlet:
    """The stream, open as long as this is.

    Args:
        board_id: the stream's source, by which a listener finds it again after a break.
        rate_hz: the board's nominal rate.
        filter_name: what the samples went through.

    Raises:
        SwaytrainerError: pylsl or the library that it needs is not installed.
    """

    def __init__(self, board_id: str, rate_hz: float, filter_name: str) -> None:
        try:
            import pylsl
        except (ImportError, RuntimeError, OSError):
            raise SwaytrainerError(
                "The live stream needs pylsl and liblsl, which are not installed.",
                "Install them with: pip install 'swaytrainer[exchange]'",
            ) from None
        info = pylsl.StreamInfo(NAME, TYPE, len(CHANNELS), rate_hz, pylsl.cf_double64, board_id)
        about = info.desc()
        about.append_child_value("frame", FRAME)
        about.append_child_value("filter", filter_name)
        channels = about.append_child("channels")
        for label, unit in CHANNELS.items():
            channel = channels.append_child("channel")
            channel.append_child_value("label", label)
            channel.append_child_value("unit", unit)
        self._outlet: Any = pylsl.StreamOutlet(info)
        self._clock = pylsl.local_clock

    def clock_s(self) -> float:
        """The layer's own clock, s."""
        return float(self._clock())

    def send(self, sample: CopSample, stamp_s: float) -> None:
        """Send one sample.

        Args:
            sample: force, COP and board time.
            stamp_s: when it was measured, by the layer's clock.
        """
        values = [sample.force_n, sample.x_mm, sample.y_mm, sample.time_s]
        self._outlet.push_sample(values, stamp_s)
