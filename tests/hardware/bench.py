"""The bench: builds the firmware and the simulated board, plays one on the real host's link.

``tests/hardware/board/`` holds the simulated board: the firmware's ELF in a simulated chip, four
modelled converters, a pseudo-terminal. Here it is built and run, and what it sent is read by
``swaytrainer.board.link`` through pyserial, as any board.
"""

from __future__ import annotations

import fcntl
import json
import os
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, NamedTuple

import pytest

from swaytrainer.board import wire
from swaytrainer.board.arrivals import Arrival, LinkBroken, Received
from swaytrainer.board.link import Link, find_board

ROOT = Path(__file__).parents[2]
FIRMWARE = ROOT / "hardware" / "firmware"
BUILD = ROOT / "build" / "chip"
REQUIRE_VARIABLE = "SWAYTRAINER_REQUIRE_CHIP"  # "1": missing tools fail instead of skip
MINUTES_VARIABLE = "SWAYTRAINER_CHIP_MINUTES"  # how long each of the long runs is; 1 by default

CYCLES_PER_US = 16
NOMINAL_US = 12_500.0
_PATIENCE_S = 300.0

#: Builds of the firmware by what is different in them.
VARIANTS = {
    "as it is": "",
    "without its remedy": "-DGUARD=0",
    "27 pulses": "-DREAD_PULSES=27",
    "one clock": "-DFREEING_CLOCKS=1",
}


def missing_tools() -> str | None:
    """What keeps the chip from being simulated here, or None."""
    tools = [t for t in ("avr-gcc", "avr-objcopy", "make", "cc") if shutil.which(t) is None]
    headers = [h for h in ("simavr/sim_avr.h", "libelf.h") if not _header(h)]
    if tools or headers:
        return (
            f"{', '.join(tools + headers)} not found: install gcc-avr avr-libc simavr"
            " libsimavr-dev libelf-dev make gcc"
        )
    return None


def _header(name: str) -> bool:
    return any((Path(place) / name).is_file() for place in ("/usr/include", "/usr/local/include"))


def skip_or_fail() -> None:
    """Skip without the tools; fail instead where they are required."""
    if (reason := missing_tools()) is not None:
        if os.environ.get(REQUIRE_VARIABLE) == "1":
            pytest.fail(reason, pytrace=False)
        pytest.skip(reason)


@contextmanager
def _alone() -> Iterator[None]:
    # Tests run side by side, and make in one folder doesn't.
    BUILD.mkdir(parents=True, exist_ok=True)
    with (BUILD / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def make(folder: Path, *arguments: str) -> str:
    """Run make; its output. Fails the test with make's own words."""
    with _alone():
        done = subprocess.run(
            ["make", "-C", str(folder), *arguments], capture_output=True, text=True, check=False
        )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def firmware(variant: str = "as it is") -> Path:
    """The ELF of one build."""
    build = BUILD / variant.replace(" ", "-")
    make(FIRMWARE, f"BUILD={build}", f"EXTRA={VARIANTS[variant]}", f"{build}/swaytrainer.elf")
    return build / "swaytrainer.elf"


def board() -> Path:
    """The simulated board's program."""
    make(Path(__file__).parent / "board", f"BUILD={BUILD}")
    return BUILD / "board"


class Truth(NamedTuple):
    """What the model knows of one read.

    Times in µs of the chip; ``counts`` are those in the converters' registers when it began, of the
    conversions ``number``, finished at ``edge_us``. ``collided``: one fell due during the read.
    """

    begin_us: float
    end_us: float
    clocked: int
    number: tuple[int, ...]
    counts: tuple[int, ...]
    edge_us: tuple[float, ...]
    collided: tuple[bool, ...]


class Felt(NamedTuple):
    """One result of the modelled accelerometer that the chip took, in digits of 2 mg."""

    edge_us: float
    digits: tuple[int, int, int]


@dataclass
class Run:
    """What was met on the host's side and in the model."""

    arrivals: list[Arrival]
    truth: list[Truth]
    felt: list[Felt]
    met: dict[str, float]
    hello: wire.Hello
    frames: list[wire.Frame] = field(default_factory=list)
    counters: wire.Counters = field(default_factory=wire.Counters)

    def __post_init__(self) -> None:
        decoder = wire.Decoder()
        for item in self.arrivals:
            if isinstance(item, Received):
                self.frames += decoder.feed(item.data)
            elif isinstance(item, LinkBroken):
                decoder.restart()
        self.counters = decoder.counters

    @property
    def samples(self) -> list[wire.Sample]:
        """All samples, in order."""
        return [f for f in self.frames if isinstance(f, wire.Sample)]

    @property
    def accelerations(self) -> list[wire.Acceleration]:
        """All accelerations, in order."""
        return [f for f in self.frames if isinstance(f, wire.Acceleration)]

    @property
    def hellos(self) -> list[wire.Hello]:
        """All hellos, in order."""
        return [f for f in self.frames if isinstance(f, wire.Hello)]

    def lost(self) -> int:
        """Frames that the sequence says are missing."""
        pairs = zip(self.frames, self.frames[1:], strict=False)
        return sum((b.sequence - a.sequence - 1) & 0xFFFF for a, b in pairs)


def play(
    seconds: float,
    *options: object,
    variant: str = "as it is",
    at: Sequence[tuple[float, str]] = (),
) -> Run:
    """Run a board for so many of its own seconds and read all it sends.

    Args:
        seconds: simulated.
        options: of the simulated board, see its source.
        variant: which build of the firmware.
        at: events by simulated second.
    """
    program, elf = board(), firmware(variant)
    with tempfile.TemporaryDirectory() as folder:
        port, truth, felt = (Path(folder) / name for name in ("port", "truth", "felt"))
        command = [str(program), "--elf", str(elf), "--port", str(port), "--truth", str(truth)]
        command += ["--accel-truth", str(felt)]
        command += ["--seconds", str(seconds), *map(str, options)]
        for when_s, what in at:
            command += ["--at", f"{when_s}:{what}"]
        with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as process:
            assert process.stdin is not None
            assert process.stdout is not None
            try:
                arrivals, met, hello = _listen(process, process.stdout, port)
                process.stdin.close()
                assert process.wait(_PATIENCE_S) == 0
            finally:
                process.kill()
        return Run(arrivals, _read_truth(truth), _read_felt(felt), met, hello)


def _listen(
    process: subprocess.Popen[bytes], said: IO[bytes], port: Path
) -> tuple[list[Arrival], dict[str, float], wire.Hello]:
    give_up_s = time.monotonic() + _PATIENCE_S

    def patience() -> None:
        assert time.monotonic() < give_up_s, "the simulated board takes for ever"
        time.sleep(0.002)

    while not port.exists():
        assert process.poll() is None, "the simulated board ended at once"
        patience()
    link = Link(find_board([str(port)], time.monotonic), time.monotonic, lambda: [str(port)])
    arrivals: list[Arrival] = []
    os.set_blocking(said.fileno(), False)
    met: dict[str, float] | None = None
    text = b""
    try:
        while met is None or _bytes_since_plugged(arrivals) < met["bytes_out"]:
            arrivals += link.poll()
            if met is None:
                text += said.read() or b""
                if text.endswith(b"\n"):
                    met = json.loads(text)
                else:
                    assert process.poll() is None, "the simulated board ended early"
            patience()
        arrivals += link.poll()
    finally:
        link.close()
    return arrivals, met, link.hello


def _bytes_since_plugged(arrivals: list[Arrival]) -> int:
    count = 0
    for item in reversed(arrivals):
        if isinstance(item, LinkBroken):
            break
        if isinstance(item, Received):
            count += len(item.data)
    return count


def _read_truth(path: Path) -> list[Truth]:
    reads = []
    for line in path.read_text().splitlines():
        words = line.split()
        reads.append(
            Truth(
                float(words[0]) / CYCLES_PER_US,
                float(words[1]) / CYCLES_PER_US,
                int(words[2]),
                tuple(int(w) for w in words[3::4]),
                tuple(int(w) for w in words[4::4]),
                tuple(float(w) / CYCLES_PER_US for w in words[5::4]),
                tuple(w == "1" for w in words[6::4]),
            )
        )
    return reads


def _read_felt(path: Path) -> list[Felt]:
    felt = []
    for line in path.read_text().splitlines():
        edge, x, y, z = line.split()
        felt.append(Felt(float(edge) / CYCLES_PER_US, (int(x), int(y), int(z))))
    return felt
