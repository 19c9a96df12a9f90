"""A large club: ``python -m tests.bench.large [FOLDER]``.

200 vaulters, 10,000 sittings, 50,000 trials as recordings of outcomes, indexed on all cores; then
each of the coach's questions as the program answers it, with the index up to date: the slowest of
three, in
a process that has answered once (its libraries are loaded), and the memory that the process took.
"""

from __future__ import annotations

import contextlib
import io
import os
import resource
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np

from swaytrainer.cli import main as command
from swaytrainer.store.home import Home
from swaytrainer.training.vaulter import Vaulter
from tests.report.season import LEVELS, outcome
from tests.streams import board_of, setup_for

VAULTERS, SITTINGS, TRIALS = 200, 50, 5


def fill(folder: Path) -> None:
    """The recordings, two evenings a week up to yesterday."""
    home = Home(folder)
    rng = np.random.default_rng(3)
    setup = setup_for(board_of(), LEVELS["millpond-open-water"])
    chosen = [LEVELS[name] for name in ("millpond-open-water", "millpond-dusk", "millpond-reeds")]
    now = datetime.now().astimezone()
    for n in range(VAULTERS):
        vaulter = Vaulter(f"Vaulter {n}", 220.0, 190.0)
        home.add_vaulter(vaulter)
        for sitting in range(SITTINGS):
            made = now - timedelta(days=1 + 3.5 * (SITTINGS - 1 - sitting), seconds=n)
            level = chosen[sitting % len(chosen)]
            recorder = home.new_recorder(replace(setup, vaulter=vaulter, level=level), made)
            day = 12.0 * float(np.exp(0.1 * rng.normal()))
            for number in range(1, TRIALS + 1):
                speed = day * float(np.exp(0.12 * rng.normal()))
                recorder.append_outcome(outcome(level, number, speed, 45.0, rng))
            recorder.close()


def asked(*arguments: str) -> Callable[[], None]:
    """A command, its words thrown away."""

    def ask() -> None:
        with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
            assert command(list(arguments)) == 0

    return ask


def slowest(question: Callable[[], None], times: int = 3) -> float:
    """Seconds, after one answer that is not counted."""
    question()
    taken = []
    for _ in range(times):
        begin_s = time.perf_counter()
        question()
        taken.append(time.perf_counter() - begin_s)
    return max(taken)


def at_the_desk(folder: Path, *questions: tuple[str, ...]) -> None:
    """From the click to the answer, by the process that the desk has on call."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from PySide6 import QtCore, QtWidgets

    from swaytrainer.office.orders import Order
    from swaytrainer.office.runner import Runner

    application = QtWidgets.QApplication([])
    runner = Runner(folder)
    for question in questions:
        taken = []
        for _ in range(3):
            runner.stand_by()
            time.sleep(3.0)  # somebody reads, and turns a page
            told: list[bool] = []

            def done(well: bool, _said: str, told: list[bool] = told) -> None:
                told.append(well)

            begin_s = time.perf_counter()
            runner.ask(Order(question), done)
            while not told:
                application.processEvents(QtCore.QEventLoop.ProcessEventsFlag.AllEvents, 5)
            taken.append(time.perf_counter() - begin_s)
            assert told == [True]
        print(f"at the desk, {' '.join(question)}: {1000.0 * max(taken):.0f} ms")
    runner.close()


def main() -> None:
    """Print the figures."""
    with contextlib.ExitStack() as stack:
        folder = Path(
            sys.argv[1] if len(sys.argv) > 1 else stack.enter_context(tempfile.TemporaryDirectory())
        )
        if not (folder / "recordings").exists():
            fill(folder)
        home = ("--home", str(folder))
        begin_s = time.perf_counter()
        asked(*home, "index", "--rebuild")()
        took_s = time.perf_counter() - begin_s
        print(f"{VAULTERS * SITTINGS} recordings indexed on {os.cpu_count()} cores: {took_s:.1f} s")
        page = str(folder / "page.html")
        for name, question in {
            "squad's table": ("progress", "--squad"),
            "one's progress": ("progress", "Vaulter 7"),
            "one's page": ("report", "Vaulter 7", "-o", page),
            "the squad's page": ("report", "--squad", "-o", page),
            "what comes next, all": ("ladder",),
            "what comes next, one": ("ladder", "Vaulter 7"),
            "all vaulters of the index": ("index", "--squad"),
        }.items():
            print(f"{name}: {1000.0 * slowest(asked(*home, *question)):.0f} ms")
        at_the_desk(folder, ("progress", "--squad"), ("progress", "Vaulter 7"), ("ladder",))
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
        print(f"memory of this process at most: {peak:.0f} MiB")


if __name__ == "__main__":
    main()
