"""The commands without a screen: calibrate, board, vaulter, list."""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Callable, Iterator
from datetime import datetime

from swaytrainer.board import wire
from swaytrainer.board.arrivals import Arrival, LinkBroken, Received, Silence
from swaytrainer.board.clock import HostClock, StreamClock
from swaytrainer.board.guided import Fit, Guide, fit_gains, marked_spots
from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.home import Home
from swaytrainer.sway.cop import CellPlaces
from swaytrainer.training.vaulter import Vaulter


def run(options: argparse.Namespace) -> int:
    """Run one of these commands; its exit status."""
    home = Home(options.home) if options.home else Home.usual()
    commands: dict[str, Callable[[argparse.Namespace, Home], int]] = {
        "vaulter": _vaulter,
        "list": _list,
        "board": _board,
        "calibrate": _calibrate,
    }
    return commands[options.command](options, home)


def _vaulter(options: argparse.Namespace, home: Home) -> int:
    if options.name:
        home.add_vaulter(
            Vaulter(options.name, options.foot_length, options.stance_width, options.height)
        )
    for v in home.vaulters():
        height = f", {v.height_mm:.0f} mm tall" if v.height_mm else ""
        print(
            f"{v.name}: foot {v.foot_length_mm:.0f} mm, stance {v.stance_width_mm:.0f} mm{height}"
        )
    if not home.vaulters():
        print("No vaulters yet: swaytrainer vaulter NAME --foot-length MM")
    return 0


def _list(_options: argparse.Namespace, home: Home) -> int:
    paths = home.recordings()
    for path in paths:
        print(path)
    if not paths:
        print(f"No recordings in {home.path} yet.")
    return 0


def _board(options: argparse.Namespace, home: Home) -> int:
    from swaytrainer.app.board_finder import urls_to_try
    from swaytrainer.board.link import Link, find_board

    found = find_board(urls_to_try(options.port), time.monotonic)
    hello = found.hello
    firmware = ".".join(str(n) for n in hello.firmware)
    print(f"Board {hello.board_id} at {found.url}, {hello.rate_hz:g} samples a second")
    print(f"  wire {hello.wire_major}.{hello.wire_minor}, firmware {firmware}")
    calibration = home.calibration(hello.board_id)
    print(
        f"  calibrated {calibration.made:%Y-%m-%d %H:%M}"
        if calibration
        else "  not calibrated: swaytrainer calibrate --mass KG"
    )
    decoder, clock, host = wire.Decoder(), StreamClock(hello.rate_hz), HostClock()
    link = Link(found, time.monotonic)
    samples, last_s = 0, 0.0
    end_s = time.monotonic() + options.seconds
    counts: tuple[int, ...] = ()
    try:
        while time.monotonic() < end_s:
            for item in link.poll():
                if not isinstance(item, Received):
                    continue
                for frame in decoder.feed(item.data):
                    if not isinstance(frame, wire.Sample):
                        clock.skip(frame.sequence)
                        continue
                    stamp = clock.stamp(frame.sequence, frame.time_us, item.host_s)
                    if stamp is not None:
                        host.observe(stamp.time_s, item.host_s)
                        samples, last_s, counts = samples + 1, stamp.time_s, frame[3:]
            time.sleep(0.02)
    finally:
        link.close()
    rate = (samples - 1 + clock.lost) / last_s if last_s > 0 else 0.0
    print(f"  heard {samples} samples, {rate:.2f} a second by the board's own clock")
    print(
        f"  lost {clock.lost}, corrupt {decoder.counters.corrupt},"
        f" unknown {decoder.counters.unknown}"
    )
    print(f"  jitter {host.jitter_ms:.2f} ms, drift {host.drift_ppm:+.0f} ppm")
    names = ("front left", "front right", "rear left", "rear right")
    print("  counts " + ", ".join(f"{n} {c}" for n, c in zip(names, counts, strict=False)))
    return 0


def counts_of(
    arrivals: Iterator[Arrival], rate_hz: float
) -> Iterator[tuple[float, tuple[float, float, float, float]]]:
    """Board time (s) and raw counts of each sample that arrives.

    Raises:
        SwaytrainerError: the link breaks off, or nothing comes for long.
    """
    decoder, clock = wire.Decoder(), StreamClock(rate_hz)
    for item in arrivals:
        if isinstance(item, LinkBroken) or (isinstance(item, Silence) and item.silent_s > 5.0):
            raise SwaytrainerError(
                "The board's signal broke off.", "Check its cable, then start again."
            )
        if not isinstance(item, Received):
            continue
        for frame in decoder.feed(item.data):
            if not isinstance(frame, wire.Sample):
                clock.skip(frame.sequence)
                continue
            stamp = clock.stamp(frame.sequence, frame.time_us, item.host_s)
            if stamp is not None and not frame.status & (wire.STATUS_MISSING | wire.STATUS_MIXED):
                yield stamp.time_s, (frame[3], frame[4], frame[5], frame[6])


def fit_of(guide: Guide, board_id: str, made: datetime, places: CellPlaces) -> Fit:
    """The fit of a guide that is done."""
    assert guide.empty is not None
    return fit_gains(board_id, made, places, guide.empty, guide.placed)


def _calibrate(options: argparse.Namespace, home: Home) -> int:
    from swaytrainer.app.board_finder import urls_to_try
    from swaytrainer.board.link import Link, find_board

    if not (math.isfinite(options.mass) and 5.0 <= options.mass <= 100.0):
        raise SwaytrainerError(
            f"A mass of {options.mass:g} kg can't calibrate a board.",
            "Take 5 to 100 kg, weighed on a scale, and give it in kilograms.",
        )
    for option, value in (
        ("--half-width", options.half_width),
        ("--half-depth", options.half_depth),
    ):
        if not 30.0 <= value <= 1000.0:
            raise SwaytrainerError(
                f"{option} is {value:g}: no load cell stands there.",
                "Give it in millimetres from the plate's centre, 30 to 1,000.",
            )
    found = find_board(urls_to_try(options.port), time.monotonic)
    hello = found.hello
    print(f"Board {hello.board_id} at {found.url}.")
    print("Use something that can't roll or topple; mind your back and your toes.")
    places = CellPlaces.rectangle(options.half_width, options.half_depth)
    guide = Guide(marked_spots(options.half_width, options.half_depth), options.mass)
    link = Link(found, time.monotonic)
    try:
        said = ""
        for time_s, counts in counts_of(_arrivals(link.poll), hello.rate_hz):
            if guide.instruction != said:
                said = guide.instruction
                print(said, flush=True)
            if guide.update(time_s, counts) and guide.done:
                break
    finally:
        link.close()
    fit = fit_of(guide, hello.board_id, datetime.now().astimezone(), places)
    path = home.keep_calibration(fit.calibration)
    print(f"Fits to {fit.residual_n:.2f} N and {fit.worst_place_mm:.1f} mm. Kept as {path}")
    return 0


def _arrivals(poll: Callable[[], list[Arrival]]) -> Iterator[Arrival]:
    while True:
        yield from poll()
        time.sleep(0.01)
