"""``swaytrainer stream``: a board's force and COP, live, for programs on the local network."""

from __future__ import annotations

import argparse
import math
import time

from swaytrainer.app.listening import Arrivals
from swaytrainer.board.arrivals import LinkBroken, Received
from swaytrainer.board.clock import HostClock
from swaytrainer.errors import SwaytrainerError
from swaytrainer.exchange.lsl_out import FRAME, LiveOutlet
from swaytrainer.progress.assess import counted
from swaytrainer.sitting.board_watch import BoardWatch
from swaytrainer.sitting.live_cop import CUTOFF_HZ, LIVE_FILTER
from swaytrainer.store.home import Home
from swaytrainer.words import Name, say


class _TimeIsUpError(Exception):
    """The time is up."""


def stream(options: argparse.Namespace, home: Home) -> int:
    """Run the command; its exit status."""
    from swaytrainer.app.board_finder import find_only_board
    from swaytrainer.board.link import Link

    seconds = math.inf if options.seconds is None else options.seconds
    if not seconds > 0.0:
        raise SwaytrainerError(
            say("Nobody can stream for {seconds:g} s.", seconds=seconds),
            say("Give --seconds above 0."),
        )
    found = find_only_board(options.port, time.monotonic)
    hello = found.hello
    try:
        calibration = home.calibration(hello.board_id)
        if calibration is None or hello.rate_hz < 4 * CUTOFF_HZ:
            raise SwaytrainerError(
                say(
                    "Board {board_id} is not calibrated, or slower than {value:g} Hz.",
                    board_id=Name(hello.board_id),
                    value=4 * CUTOFF_HZ,
                ),
                say("Look at it with: swaytrainer board"),
            )
        outlet = LiveOutlet(hello.board_id, hello.rate_hz, LIVE_FILTER)
    except SwaytrainerError:
        found.port.close()
        raise
    print(f"Streaming board {hello.board_id} on the local network, Ctrl-C ends it. {FRAME}")
    link = Link(found, time.monotonic)
    end_s = time.monotonic() + seconds
    sent = 0
    try:
        sent = _stream(Arrivals(link.poll), BoardWatch(hello, calibration), outlet, end_s)
    finally:
        link.close()
    print(f"{counted(sent, 'sample')} sent.")
    return 0


def _stream(arrivals: Arrivals, watch: BoardWatch, outlet: LiveOutlet, end_s: float) -> int:
    """Send what the board says until then; how many samples."""
    sent = 0
    host, last_s = HostClock(), -math.inf
    # Both clocks run on; how far apart they are is asked once.
    apart_s = outlet.clock_s() - time.monotonic()

    def meanwhile() -> None:
        if time.monotonic() >= end_s:
            raise _TimeIsUpError
        time.sleep(0.002)

    try:
        for item in arrivals.one_by_one(meanwhile):
            watch.feed(item)
            if isinstance(item, LinkBroken):
                raise SwaytrainerError(
                    say("The board's signal broke off."), say("Check its cable.")
                )
            sample = watch.cop
            if not isinstance(item, Received) or sample.time_s == last_s:
                continue
            if math.isnan(sample.force_n):
                continue
            if sample.time_s < last_s:  # the board began anew
                host = HostClock()
            last_s = sample.time_s
            host.observe(last_s, item.host_s)
            outlet.send(sample, host.host_time_s(last_s) + apart_s)
            sent += 1
            if time.monotonic() >= end_s:
                break
    except (_TimeIsUpError, KeyboardInterrupt):
        pass
    return sent
