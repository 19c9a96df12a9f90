"""The live stream, received by the layer's own library on this computer."""

from __future__ import annotations

import math
import threading
from itertools import pairwise, repeat
from pathlib import Path
from typing import Any

import pylsl
import pytest

from swaytrainer.cli import main
from swaytrainer.exchange.lsl_out import CHANNELS, FRAME, LiveOutlet
from swaytrainer.simulate.server import SimulatorServer
from swaytrainer.store.home import Home
from swaytrainer.sway.cop import CopSample
from tests.streams import board_of

pytest.importorskip("pty")


def inlet_of(source: str) -> Any:
    found = pylsl.resolve_byprop("source_id", source, 1, 20.0)
    assert found, "the stream was not found on this computer"
    inlet = pylsl.StreamInlet(found[0])
    inlet.open_stream(timeout=20.0)
    return inlet


def received(inlet: Any, many: int) -> tuple[list[list[float]], list[float]]:
    samples: list[list[float]] = []
    stamps: list[float] = []
    while len(samples) < many:
        sample, stamp = inlet.pull_sample(timeout=20.0)
        assert sample is not None, f"only {len(samples)} samples came"
        samples.append(sample)
        stamps.append(stamp)
    return samples, stamps


def test_what_is_sent_arrives_to_the_last_bit() -> None:
    outlet = LiveOutlet("test-equal", 80.0, "none")
    inlet = inlet_of("test-equal")
    sent = [CopSample(n / 80.0, 400.0 + n / 3.0, n / 7.0, -n / 9.0, 0.0) for n in range(50)]
    sent.append(CopSample(1.0, 2.0, math.nan, math.nan, 0.0))
    for n, sample in enumerate(sent):
        outlet.send(sample, 1000.0 + n / 80.0)
    samples, stamps = received(inlet, len(sent))
    wanted = [[s.force_n, s.x_mm, s.y_mm, s.time_s] for s in sent]
    assert repr(samples) == repr(wanted)
    assert stamps == [1000.0 + n / 80.0 for n in range(len(sent))]
    about = inlet.info(timeout=20.0)
    assert about.nominal_srate() == 80.0
    assert about.desc().child_value("frame") == FRAME
    channel = about.desc().child("channels").child("channel")
    for label, unit in CHANNELS.items():
        assert (channel.child_value("label"), channel.child_value("unit")) == (label, unit)
        channel = channel.next_sibling()
    inlet.close_stream()


def test_the_command_streams_a_board(tmp_path: Path) -> None:
    board = board_of(4)
    Home(tmp_path).keep_calibration(board.true_calibration())
    server = SimulatorServer.on_pty(board_of(4), repeat((150.0, 150.0, 100.0, 100.0)), 1.0)
    words = ["--home", str(tmp_path), "--port", server.url, "stream", "--seconds", "8"]
    done: list[int] = []
    begin_s = pylsl.local_clock()
    thread = threading.Thread(target=lambda: done.append(main(words)))
    thread.start()
    try:
        inlet = inlet_of(board.board_id)
        samples, stamps = received(inlet, 40)
        inlet.close_stream()
    finally:
        thread.join(60)
        server.close()
    assert done == [0]
    times = [sample[3] for sample in samples]
    steps = [b - a for a, b in pairwise(times)]
    assert all(step == pytest.approx(1 / 80, rel=0.01) for step in steps)
    # By the layer's own clock, as every other stream's.
    assert all(begin_s - 1.0 < stamp < pylsl.local_clock() for stamp in stamps)


def test_a_board_without_calibration_is_not_streamed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    server = SimulatorServer.on_pty(board_of(4), repeat((1.0, 2.0, 3.0, 4.0)), 6.0)
    try:
        words = ["--home", str(tmp_path), "--port", server.url, "stream", "--seconds"]
        assert main([*words, "1"]) == 1
        assert "is not calibrated" in capsys.readouterr().err
        assert main([*words, "nan"]) == 1
        assert "Nobody can stream" in capsys.readouterr().err
    finally:
        server.close()
