"""The commands without a screen: board, vaulter, list; and the way to calibrate and check."""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable
from dataclasses import replace
from typing import Final

from swaytrainer.app.listening import Ear
from swaytrainer.board import wire
from swaytrainer.board.arrivals import Received
from swaytrainer.board.clock import HostClock
from swaytrainer.board.pair import BoardCalibration
from swaytrainer.store.home import Home
from swaytrainer.training.vaulter import Vaulter


def run(options: argparse.Namespace) -> int:
    """Run one of these commands; its exit status."""
    home = Home(options.home) if options.home else Home.usual()
    commands: dict[str, Callable[[argparse.Namespace, Home], int]] = {
        "vaulter": _vaulter,
        "list": _list,
        "board": _board,
        "calibrate": _calibrate,
        "check": _check,
        "progress": _progress,
    }
    return commands[options.command](options, home)


def _calibrate(options: argparse.Namespace, home: Home) -> int:
    from swaytrainer.app.calibrate import calibrate

    return calibrate(options, home)


def _check(options: argparse.Namespace, home: Home) -> int:
    from swaytrainer.app.check import check

    return check(options, home)


def _progress(options: argparse.Namespace, home: Home) -> int:
    from swaytrainer.app.progress import progress

    return progress(options, home)


def _vaulter(options: argparse.Namespace, home: Home) -> int:
    if options.name is not None:
        given = {
            "foot_length_mm": options.foot_length,
            "stance_width_mm": options.stance_width,
            "height_mm": options.height,
        }
        given = {field: value for field, value in given.items() if value is not None}
        known = {v.name.casefold(): v for v in home.vaulters()}.get(options.name.casefold())
        # Feet grow: whoever is there already is changed, if there is something to change.
        if known is not None and given:
            home.change_vaulter(replace(known, **given))
        else:
            home.add_vaulter(Vaulter(options.name, **given))
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
    ear, host = Ear(hello.rate_hz), HostClock()
    link = Link(found, time.monotonic)
    samples, last_s = 0, 0.0
    end_s = time.monotonic() + options.seconds
    counts: tuple[float, ...] = ()
    heard: list[tuple[float, ...]] = []
    try:
        while time.monotonic() < end_s:
            for item in link.poll():
                if not isinstance(item, Received):
                    continue
                for last_s, counts, status, gap in ear.hear(item):
                    host.observe(last_s, item.host_s)
                    samples += 1
                    if gap:
                        heard.clear()
                    if not status & wire.STATUS_NO_LOADS:
                        heard.append((last_s, *counts))
            time.sleep(0.02)
    finally:
        link.close()
    clock, counters = ear.clock, ear.decoder.counters
    rate = (samples - 1 + clock.lost) / last_s if last_s > 0 else 0.0
    print(f"  heard {samples} samples, {rate:.2f} a second by the board's own clock")
    print(f"  lost {clock.lost}, corrupt {counters.corrupt}, unknown {counters.unknown}")
    print(f"  jitter {host.jitter_ms:.2f} ms, drift {host.drift_ppm:+.0f} ppm")
    names = ("front left", "front right", "rear left", "rear right")
    print("  counts " + ", ".join(f"{n} {c}" for n, c in zip(names, counts, strict=False)))
    if calibration is not None:
        print(f"  {noise_words(heard, calibration)}")
    return 0


#: The noise floor of an empty board is told for a body of this weight, N.
_BODY_N: Final = 500.0


def noise_words(heard: list[tuple[float, ...]], calibration: BoardCalibration) -> str:
    """The noise floor of what was heard, as a line: of the empty board, or under a dead weight.

    Args:
        heard: time (s) and four counts of each sample, without a gap.
        calibration: the board's.
    """
    import numpy as np

    from swaytrainer.sway.noise import LEAST_S, cop_noise_mm, noise_floor

    cells = len(calibration.places)
    loads = np.array([calibration.loads(row[1:]) for row in heard]).reshape(-1, cells)
    if not heard or heard[-1][0] - heard[0][0] < LEAST_S:
        return "noise floor: too little was heard without a gap"
    force = loads.sum(axis=1)
    # A dead thing's force is as steady as an empty board's; a body's is not.
    if float(np.ptp(force)) > 12.0 * float(np.median(np.abs(np.diff(force)))) + 1.0:
        return "noise floor: not measured, something moves on the board"
    mean_n = float(force.mean())
    dead = mean_n > calibration.load_threshold_n
    time_s = np.array([row[0] for row in heard])
    floor = noise_floor(time_s, loads, calibration.places, mean_n if dead else _BODY_N)
    half_mm = max(abs(p[0]) for p in calibration.places)
    rms_mm = cop_noise_mm(floor.cell_noise_n, half_mm, floor.force_n)
    under = f"under the dead {mean_n:.0f} N on it" if dead else f"empty, scaled to {_BODY_N:.0f} N"
    return (
        f"noise floor {floor.mean_speed_mm_s:.2f} mm/s at 10 Hz ({under}); a cell"
        f" {floor.cell_noise_n:.3f} N rms, the unfiltered centre of pressure {rms_mm:.3f} mm rms"
    )
