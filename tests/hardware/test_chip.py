"""The firmware's own ELF in a simulated chip, read by the real host through a pseudo-terminal."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from swaytrainer.board import wire
from swaytrainer.board.arrivals import LinkBroken, Received
from swaytrainer.board.clock import StreamClock
from swaytrainer.simulate.athlete import JUNIOR
from swaytrainer.simulate.scenario import corner_loads
from swaytrainer.sitting.sitting import Sitting
from swaytrainer.training.outcome import Outcome
from tests.hardware import bench
from tests.hardware.bench import NOMINAL_US, Run, Truth, play
from tests.streams import board_of, one_visit, received, run, setup_for

MINUTES = float(os.environ.get(bench.MINUTES_VARIABLE, "1"))
TOP, BOTTOM = 2**23 - 1, -(2**23)
#: Lateness of an edge's stamp: interrupts that are under way, and the stamp's own making.
STAMP_WITHIN_US = 25.0
FRAMES_TO_LOCK = 3


def conversion_of(count: int, cell: int) -> int:
    """Which of its conversions the model's scrambled count is; nonsense if bits are mixed."""
    return (count - BOTTOM - cell * 0x3C6EF3) * pow(0x9E3779, -1, 2**24) % 2**24


def rates(spread: float) -> str:
    """Four converters' rates, the fastest ``spread`` above the slowest."""
    return ",".join(f"{80 * (1 + spread * k):.6f}" for k in (-0.5, -0.13, 0.21, 0.5))


def judge(samples: Sequence[wire.Sample], truth: Sequence[Truth]) -> None:
    """Each sample is right to the last bit, or marked; marked only before the guard has locked."""
    assert len(samples) == len(truth)
    marked = [n for n, s in enumerate(samples) if s.status == wire.STATUS_MIXED]
    wrong = [
        n
        for n, (sample, read) in enumerate(zip(samples, truth, strict=True))
        if sample.status != wire.STATUS_MIXED
        and (
            sample.status != 0
            or tuple(sample[3:]) != read.counts
            or tuple(conversion_of(c, i) for i, c in enumerate(sample[3:])) != read.number
        )
    ]
    assert not wrong, f"{len(wrong)} of {len(samples)} samples are wrong, the first {wrong[:5]}"
    assert marked == list(range(len(marked)))
    assert len(marked) <= FRAMES_TO_LOCK


def stamps_are_right(
    samples: Sequence[wire.Sample],
    truth: Sequence[Truth],
    within_us: float = STAMP_WITHIN_US,
) -> None:
    """Every stamp is the moment at which the last of the four lines fell, but for one offset."""
    late = [max(t.edge_us) - s.time_us for s, t in zip(samples, truth, strict=True)]
    assert max(late) - min(late) < within_us


def nothing_is_lost(met: Run) -> None:
    """Not a frame, not a byte."""
    assert met.lost() == 0
    assert (met.counters.corrupt, met.counters.unknown) == (0, 0)
    assert len(met.samples) == met.met["reads"]


# ---- right or marked ------------------------------------------------------------------------


@pytest.mark.parametrize("collision", ["renew", "again"])
@pytest.mark.parametrize("spread", [0.001, 0.01, 0.03])
def test_every_sample_is_right_or_marked(spread: float, collision: str) -> None:
    met = play(
        60 * MINUTES,
        *("--rates", rates(spread), "--offsets", "0,3100,7000,9900"),
        *("--jitter", 0.0005, "--collision", collision),
    )
    judge(met.samples, met.truth)
    stamps_are_right(met.samples, met.truth)
    nothing_is_lost(met)
    # The slowest converter sets the rate; the settling at the start is 50 ms.
    assert len(met.samples) == pytest.approx(60 * MINUTES * 80 * (1 - spread / 2), abs=12)
    # Faster ones overtook: without that there was nothing to guard against.
    overtaken = met.truth[-1].number[3] - met.truth[-1].number[0]
    assert overtaken == pytest.approx(60 * MINUTES * 80 * spread, abs=3)


def test_converters_that_start_together_and_drift_apart() -> None:
    met = play(60, "--rates", rates(0.0005), "--jitter", 0.0005)
    judge(met.samples, met.truth)
    nothing_is_lost(met)


def test_a_converter_may_wander_half_a_percent_from_one_result_to_the_next() -> None:
    met = play(60, "--rates", rates(0.01), "--offsets", "0,3100,7000,9900", "--jitter", 0.005)
    judge(met.samples, met.truth)
    nothing_is_lost(met)


@pytest.mark.parametrize("collision", ["renew", "again"])
@pytest.mark.parametrize("spread", [0.001, 0.01, 0.03])
def test_the_firmware_without_its_remedy_is_wrong(spread: float, collision: str) -> None:
    """So the test above can fail, and the remedy is needed."""
    met = play(
        60,
        *("--rates", rates(spread), "--offsets", "0,3100,7000,9900"),
        *("--jitter", 0.0005, "--collision", collision),
        variant="without its remedy",
    )
    assert met.met["collisions"] > 0
    # Under good checksums, in good order, and no status says so:
    assert met.counters.corrupt == met.lost() == 0
    unmarked = [s for s in met.samples if s.status == 0]
    # Counts that are no conversion of these sixty seconds at all.
    mixed = [s for s in unmarked if max(map(conversion_of, s[3:], range(4))) > 60 * 90]
    assert mixed
    with pytest.raises(AssertionError):
        judge(met.samples, met.truth)


def test_another_number_of_pulses_chooses_another_gain() -> None:
    """So the model minds the 25th pulse: with 27 it converts at half the gain."""
    met = play(2, variant="27 pulses")
    for sample, read in list(zip(met.samples, met.truth, strict=True))[FRAMES_TO_LOCK:]:
        assert tuple(sample[3:]) == read.counts
        full = [(n * 0x9E3779 + i * 0x3C6EF3) % 2**24 + BOTTOM for i, n in enumerate(read.number)]
        assert list(sample[3:]) == pytest.approx([f / 2 for f in full], abs=0.51)


# ---- what goes in comes out -----------------------------------------------------------------


def write_script(path: Path, rate_hz: float, rows: Sequence[Sequence[float]]) -> Path:
    lines = [repr(rate_hz), *(" ".join(repr(v) for v in row) for row in rows)]
    path.write_text("\n".join(lines))
    return path


def test_scripted_loads_arrive_exactly(tmp_path: Path) -> None:
    """Ramps over the whole range; what a converter must give at its time is worked out here."""
    ends = [(BOTTOM, TOP, -1.0, 5.0), (TOP, BOTTOM, 1.0, 5.0)]
    script = write_script(tmp_path / "script", 0.05, ends)  # 20 s from row to row
    met = play(20, "--script", script)
    judged = 0
    for sample, read in zip(met.samples, met.truth, strict=True):
        at = [edge_us / 20e6 for edge_us in read.edge_us]
        expected = [a + (b - a) * t for a, b, t in zip(*ends, at, strict=True)]
        # The truth's edge is written to 0.1 cycles, in which the ramp moves 0.005 counts.
        assert list(sample[3:]) == pytest.approx(expected, abs=0.51)
        judged += 1
    assert judged > 1500
    assert met.samples[0].front_left < -8_250_000
    assert met.samples[-1].front_left > 8_250_000


def test_stamps_count_the_seconds_and_hellos_come_each_second() -> None:
    met = play(10.5)
    assert met.hello.board_id == "0" * 16
    assert (met.hello.rate_hz, met.hello.cells, met.hello.count_bits) == (80.0, 4, 24)
    steps = [b.time_us - a.time_us for a, b in zip(met.samples, met.samples[1:], strict=False)]
    assert steps == pytest.approx([NOMINAL_US] * len(steps), abs=STAMP_WITHIN_US)
    # One at the start, one a second, one for each ask: the host asked at least once.
    assert 12 <= len(met.hellos) <= 20
    assert isinstance(met.frames[0], wire.Hello)


def test_the_board_id_is_kept_in_the_eeprom() -> None:
    assert play(0.5, "--eeprom", eeprom("0123456789abcdef")).hello.board_id == "0123456789abcdef"


def test_a_damaged_id_is_not_believed() -> None:
    kept = eeprom("0123456789abcdef")
    damaged = kept[:2] + f"{int(kept[2:4], 16) ^ 4:02x}" + kept[4:]
    assert play(0.5, "--eeprom", damaged).hello.board_id == "0" * 16


def eeprom(board_id: str) -> str:
    """What the firmware's own tool writes for an id."""
    tool = bench.firmware().parent / "tool"
    said = subprocess.run([tool, "id", board_id], capture_output=True, text=True, check=True).stdout
    return "".join(f"{int(word, 16):02x}" for word in said.split(","))


# ---- faults ---------------------------------------------------------------------------------


def statuses(met: Run, from_s: float, to_s: float) -> set[int]:
    """All statuses in a stretch of the board's time, which begins with its first sample."""
    begin = met.samples[0].time_us
    return {s.status for s in met.samples if from_s <= (s.time_us - begin) * 1e-6 < to_s}


@pytest.mark.parametrize("cell", range(4))
@pytest.mark.parametrize(
    ("fault", "shows", "after_s"),
    [
        ("open", 0x001, 0.3),
        ("ground", 0x101, 1.3),
        ("saturate", 0x010, 0.1),
        ("stick", 0x100, 1.2),
    ],
)
def test_a_cells_fault_shows_and_heals(fault: str, shows: int, after_s: float, cell: int) -> None:
    met = play(
        7,
        *("--rates", rates(0.01), "--offsets", "0,3100,7000,9900"),
        at=[(2.0, f"{fault}={cell}"), (5.0, f"heal={cell}")],
    )
    assert statuses(met, 0.1, 1.8) == {0}
    assert statuses(met, 2.0 + after_s, 4.8) == {shows << cell}
    assert statuses(met, 5.4, 7.0) == {0}
    # The other cells go on, and stay right; of a missing one no count is sent.
    for sample, read in zip(met.samples, met.truth, strict=True):
        missing = sample.status & 0xF
        for i, count in enumerate(sample[3:]):
            if missing >> i & 1:
                assert count == 0
            elif not sample.status & wire.STATUS_MIXED:
                assert count == read.counts[i] or i == cell
    assert met.lost() == 0


def test_no_converter_at_all_is_told() -> None:
    met = play(4, at=[(0.0, f"open={i}") for i in range(4)])
    assert {s.status for s in met.samples} == {0x000F}
    assert len(met.samples) > 20
    assert met.met["reads"] == 0


def test_all_converters_come_back() -> None:
    events = [(1.0, f"open={i}") for i in range(4)] + [(2.0, f"heal={i}") for i in range(4)]
    met = play(4, at=events)
    assert statuses(met, 1.3, 1.8) == {0x000F}
    assert statuses(met, 2.6, 4.0) == {0}


@pytest.mark.parametrize("cells", [(2,), (0, 1, 2, 3)])
def test_a_wrong_rate_pin_is_told(cells: tuple[int, ...]) -> None:
    rate = ["80"] * 4
    for cell in cells:
        rate[cell] = "10"
    met = play(8, "--rates", ",".join(rate), "--offsets", "0,3100,7000,9900")
    # It settles for 400 ms, then two periods must agree.
    shown = statuses(met, 1.5, 8.0)
    if len(cells) == 1:
        assert shown == {wire.STATUS_RATE}
    else:
        # Results that wait ten times as long as at 80 a second might have been renewed.
        assert shown <= {wire.STATUS_RATE, wire.STATUS_RATE | wire.STATUS_MIXED}
    steps = [b.time_us - a.time_us for a, b in zip(met.samples, met.samples[1:], strict=False)]
    assert steps[-60:] == pytest.approx([1e5] * 60, rel=0.01)
    # The others go on at 80 a second meanwhile, and are never mixed.
    for sample, read in zip(met.samples[-60:], met.truth[-60:], strict=True):
        assert tuple(sample[3:]) == read.counts


def test_converters_that_wait_for_a_slow_one_are_right_or_marked() -> None:
    """One at 10 a second; each of the others renews its result seven times before it is read."""
    met = play(60, "--rates", "80.31,79.2,10.017,81.4", "--jitter", 0.0005)
    taken = {read.counts for read in met.truth}
    late = [s for s in met.samples if s.time_us > 1_500_000]
    assert len(late) == pytest.approx(585, abs=4)
    assert all(s.status & wire.STATUS_RATE for s in late)
    assert all(s.status & wire.STATUS_MIXED or tuple(s[3:]) in taken for s in late)
    assert sum(bool(s.status & wire.STATUS_MIXED) for s in late) < 30


def test_a_low_supply_is_told() -> None:
    met = play(9, at=[(3.0, "supply=3700"), (6.0, "supply=5000")])
    assert statuses(met, 0.1, 2.9) == {0}
    assert statuses(met, 5.1, 5.9) == {wire.STATUS_SUPPLY}
    assert statuses(met, 8.1, 9.0) == {0}


def test_a_flipped_bit_of_the_program_fails_the_self_test() -> None:
    # The last byte of the vectors' table: nothing ever jumps there.
    met = play(1, "--flip-flash", "67:3")
    assert {s.status & ~wire.STATUS_MIXED for s in met.samples} == {wire.STATUS_SELF_TEST}


@pytest.mark.parametrize("address", ["300", "4ff", "7f1"])
def test_a_stuck_bit_of_the_memory_fails_the_self_test(address: str) -> None:
    # Above the variables, below the stack: it does no harm but to the test.
    met = play(0.4, "--stuck-ram", f"{address}:5")
    assert {s.status & ~wire.STATUS_MIXED for s in met.samples} == {wire.STATUS_SELF_TEST}


# ---- resets and cables ----------------------------------------------------------------------


@pytest.mark.parametrize("how", ["reset", "reset-in-read", "hang"])
def test_a_reset_resynchronises(how: str) -> None:
    """By the button, in the middle of a read, and by the watchdog of a program that hangs."""
    met = play(6, "--rates", rates(0.01), at=[(3.0, how)])
    assert met.met["resets"] == 1
    assert met.counters.corrupt <= 1  # the frame that was cut
    again = next(n for n, f in enumerate(met.frames) if n > 5 and f.sequence == 0)
    assert isinstance(met.frames[again], wire.Hello)
    after = [f for f in met.frames[again:] if isinstance(f, wire.Sample)]
    judge(after, met.truth[-len(after) :])
    # At most a quarter of a second until the watchdog bites, then the start and the settling.
    assert len(after) > 80 * 2.4
    # The host's clock sees a new start and goes on.
    clock = StreamClock(80.0)
    stamps = [clock.stamp(s.sequence, s.time_us, n / 80) for n, s in enumerate(met.samples)]
    assert all(stamp is not None for stamp in stamps)
    assert clock.restarts == 1


def test_a_yanked_cable_resynchronises() -> None:
    met = play(8, "--rates", rates(0.01), at=[(3.0, "yank"), (5.0, "plug")])
    assert [type(item) for item in met.arrivals].count(LinkBroken) == 1
    assert met.counters.corrupt == 0
    steps_s = [
        (b.time_us - a.time_us) * 1e-6 for a, b in zip(met.samples, met.samples[1:], strict=False)
    ]
    # Two seconds without a cable, and what was on its way when it was pulled.
    away_s = max(steps_s)
    assert away_s > 1.98
    assert sorted(steps_s)[-2] < 1.5 * NOMINAL_US * 1e-6
    # 79.6 samples and a hello a second are what the sequence misses; nothing else is lost.
    assert met.lost() == pytest.approx(away_s * 80.6, abs=4)
    counted = {read.counts: read for read in met.truth}
    assert all(tuple(s[3:]) in counted for s in met.samples)


# ---- measured -------------------------------------------------------------------------------


def test_the_line_is_exact_and_the_clock_never_high_for_long() -> None:
    met = play(20, "--rates", rates(0.03), "--jitter", 0.0005)
    assert met.met["baud"] == wire.BAUD
    # 60 µs would power the converters down; interrupts are held off, so it is far from that.
    assert met.met["clock_high_max_us"] <= 1.0
    assert met.met["restarts"] == 1
    assert met.met["read_max_us"] < 100.0
    assert met.met["awake_percent"] < 20.0


def test_memory_is_bounded() -> None:
    """What the stack ever held is below what the call graph allows, and both leave room."""
    met = play(30, "--rates", rates(0.03), at=[(5.0, "open=1"), (8.0, "heal=1"), (9.0, "hang")])
    text = bench.make(bench.FIRMWARE, f"BUILD={bench.BUILD / 'as-it-is'}", "stack")
    bound = int(text.split("stack at most ")[1].split()[0])
    assert 100 < met.met["stack_bytes"] <= bound
    assert met.met["static_bytes"] + bound < 2048 / 2


def test_the_build_says_what_it_takes() -> None:
    build = bench.BUILD / "printed"
    text = bench.make(bench.FIRMWARE, f"BUILD={build}", "-B")
    assert "warning" not in text
    flash = int(text.split("flash ")[1].split()[0])
    ram = int(text.split("RAM ")[1].split()[0])
    assert 1000 < flash < 16_384
    assert 100 < ram < 1024
    assert (build / "swaytrainer.hex").read_text().startswith(":10000000")


def test_the_core_passes_on_this_machine_under_sanitizers() -> None:
    text = bench.make(bench.FIRMWARE, f"BUILD={bench.BUILD / 'as-it-is'}", "host-test")
    assert ", 0 failed" in text


# ---- to the mark ----------------------------------------------------------------------------


def test_a_whole_hands_free_trial_through_the_chip(tmp_path: Path) -> None:
    """Empty, on, still, counted in, six seconds, off: the mark is that of the loads themselves."""
    simulated = board_of()
    make = simulated.make
    truth = simulated.true_calibration()
    loads = corner_loads(
        one_visit(), JUNIOR, make.rate_hz, make.half_width_mm, make.half_depth_mm, 1
    )
    counts = [
        [
            w / g + o
            for w, g, o in zip(row, truth.gain_n_per_count, truth.offset_counts, strict=True)
        ]
        for row in loads
    ]
    script = write_script(tmp_path / "script", make.rate_hz, counts)
    met = play(
        len(counts) / make.rate_hz,
        *("--script", script, "--noise", make.noise_counts, "--eeprom", eeprom(simulated.board_id)),
        *("--rates", rates(0.01), "--offsets", "0,3100,7000,9900", "--jitter", 0.0005),
    )
    assert met.hello.board_id == simulated.board_id
    setup = setup_for(simulated)
    sitting = Sitting(replace(setup))
    events = [event for item in met.arrivals for event in sitting.feed(item)]
    [through_chip] = [e.outcome for e in events if e.outcome is not None]
    direct = Sitting(setup)
    [straight] = [
        e.outcome for e in run(direct, received(simulated, one_visit())) if e.outcome is not None
    ]
    assert isinstance(through_chip, Outcome)
    assert through_chip.counts
    assert straight.mark is not None
    assert through_chip.mark == pytest.approx(straight.mark, abs=0.3)
    assert sitting.view().signal.lost == 0
    assert sitting.view().warnings == ()
    assert sum(isinstance(item, Received) for item in met.arrivals) > 10
