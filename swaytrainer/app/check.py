"""``swaytrainer check``: accept or refuse a board, in a minute."""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

from swaytrainer.app.board_finder import find_only_board
from swaytrainer.app.calibrate import gravity_of, keep_words, plate_of
from swaytrainer.app.listening import Heard, arrivals_of, samples_of
from swaytrainer.board.acceptance import Check, Verdict, check_mass
from swaytrainer.board.pair import PairCalibration, Plate
from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.home import Home


def check(options: argparse.Namespace, home: Home) -> int:
    """Run the command; its exit status: 0 if the board has passed."""
    check_mass(options.mass)
    gravity, _ = gravity_of(options)
    found = find_only_board(options.port, time.monotonic)
    try:
        hello = found.hello
        print(f"Board {hello.board_id} at {found.url}.")
        calibration = home.calibration(hello.board_id)
        if calibration is None:
            known = home.calibrated_boards()
            what = f"Board {hello.board_id} has no calibration"
            raise SwaytrainerError(
                f"{what}, but {' and '.join(known)} {'has' if len(known) == 1 else 'have'} one."
                if known
                else f"{what}.",
                "If this should be one of them, its id is wrong: see its label. Otherwise run"
                " 'swaytrainer calibrate' first."
                if known
                else "Run 'swaytrainer calibrate --mass KG' first.",
            )
        plate = plate_of(options, hello)
        if isinstance(calibration, PairCalibration):
            assert plate is not None
            calibration = calibration.plate(plate)
        print(f"Calibrated {calibration.made:%Y-%m-%d %H:%M}.")
        print("Somebody stands by; lean only as far as is easy, with a hand on a support.")
        steps = Check(calibration, hello.board_id, hello.rate_hz, options.mass, gravity)
        from swaytrainer.board.link import Link

        link = Link(found, time.monotonic)
    except SwaytrainerError:
        found.port.close()
        raise
    try:
        arrivals = arrivals_of(link.poll)
        verdict = follow(samples_of(arrivals, hello.rate_hz, hello.board_id, plate), steps)
    finally:
        link.close()
    print(report(verdict, options.mass))
    if verdict.fix is not None:
        _offer(verdict, options.fix, home, plate)
    return 0 if verdict.passed else 1


def follow(heard: Iterator[Heard], steps: Check) -> Verdict:
    """Prompt until there is a verdict."""
    said = hinted = ""
    for sample in heard:
        if steps.instruction != said:
            said, hinted = steps.instruction, ""
            print(said, flush=True)
        steps.update(sample.time_s, sample.counts, sample.status)
        if steps.verdict is not None:
            return steps.verdict
        if steps.hint and steps.hint != hinted:
            hinted = steps.hint
            print(f"  {hinted}", flush=True)
    raise SwaytrainerError("The board fell silent.", "Check its cable, then start again.")


def report(verdict: Verdict, mass_kg: float) -> str:
    """The verdict as text."""
    if verdict.passed:
        return (
            f"PASS: {mass_kg:g} kg read {verdict.force_error:+.2%} and lie"
            f" {verdict.cop_error_mm:.1f} mm beside the middle; noise {verdict.noise_n:.3f} N rms."
        )
    return "\n".join(f"FAIL: {f.what} {f.remedy}" for f in verdict.findings)


def _offer(verdict: Verdict, without_asking: bool, home: Home, plate: Plate | None) -> None:
    fix = verdict.fix
    assert fix is not None
    if not without_asking:
        if not sys.stdin.isatty():
            print("A corrected calibration is offered: run the check again with --fix to keep it.")
            return
        try:
            answer = input("Keep a corrected calibration instead? The old one stays. [y/N] ")
        except EOFError:
            answer = ""
        if answer.strip().lower() not in ("y", "yes"):
            print("Nothing was changed.")
            return
    fix = replace(fix, made=datetime.now().astimezone())
    print(f"{keep_words(home, fix, plate, None)}\nRun the check once more.")
