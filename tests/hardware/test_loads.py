"""Bending and safety factors against closed forms, and that every factor meets its minimum."""

import math
import subprocess
import sys
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.hardware.loading import HARDWARE, script

board_design = script("board_design")
plate_bending = script("plate_bending")
loads = script("loads")

Patch, Plate, Plywood, Rib = (
    plate_bending.Patch,
    plate_bending.Plate,
    plate_bending.Plywood,
    plate_bending.Rib,
)
STANDARD, JUNIOR = board_design.STANDARD, board_design.JUNIOR
THIN = replace(STANDARD, name="standard in 18 mm", plate_thickness_mm=18.0)
RIGID = 1e9


def sheet(along: float = 10_000, across: float = 1e-3, shear: float = 1e-3) -> Any:
    return Plywood(20.0, along, across, shear, 40.0, 30.0, 700.0, grain="x")


# --- the bending against closed forms -------------------------------------------------------------


def test_a_strip_on_two_supports_sags_as_a_beam() -> None:
    """A force spread over the middle w of a beam: F (8 L³ - 4 L w² + w³) / (384 E I), F (2L-w)/8.

    Superposition of point forces on a simple beam (Roark, 7th ed., table 8.1, case 2e).
    """
    length, width, force, w = 400.0, 40.0, 500.0, 80.0
    supports = [(x, y, RIGID) for x in (-200.0, 200.0) for y in (-15.0, 15.0)]
    strip = Plate(length, width, sheet(across=10_000, shear=600), supports, terms=21)
    bent = strip.bend([Patch(force, 0, 0, w, width)])
    inertia = width * 20.0**3 / 12
    sag = force * (8 * length**3 - 4 * length * w**2 + w**3) / (384 * 10_000 * inertia)
    assert bent.deflection_mm == pytest.approx(sag, rel=0.01)
    assert bent.stress_x_n_mm2 == pytest.approx(force * (2 * length - w) / 8 * 10 / inertia, 0.01)
    assert bent.springs_n == pytest.approx((force / 4,) * 4, rel=1e-6)


def test_a_plate_on_four_edges_sags_as_navier_says() -> None:
    """Simply supported, evenly loaded, orthotropic without D_1: Navier's double sine series."""
    a, b, q = 400.0, 300.0, 0.01
    wood = sheet(10_000, 5_000, 600)
    x = [(-a / 2 + i * a / 24, s * b / 2, RIGID) for i in range(25) for s in (-1, 1)]
    y = [(s * a / 2, -b / 2 + i * b / 24, RIGID) for i in range(1, 24) for s in (-1, 1)]
    bent = Plate(a, b, wood, x + y).bend([Patch(q * a * b, 0, 0, a, b)])
    cubed = 20.0**3 / 12
    d_x, d_y, h = 10_000 * cubed, 5_000 * cubed, 2 * 600 * cubed
    series = sum(
        16 * q / (math.pi**6 * m * n) * math.sin(m * math.pi / 2) * math.sin(n * math.pi / 2)
        / (d_x * (m / a) ** 4 + 2 * h * (m * n / a / b) ** 2 + d_y * (n / b) ** 4)
        for m in range(1, 40, 2)
        for n in range(1, 40, 2)
    )  # fmt: skip
    assert bent.deflection_mm == pytest.approx(series, rel=0.01)


def test_a_rib_bends_as_a_beam() -> None:
    """A plate of next to nothing on one rib between two supports is that rib."""
    stiffness, half = 2e9, 200.0
    rib = Rib("x", 0.0, -half, half, stiffness, 15.0, 210_000.0, 3.0)
    supports = [(-half, 0.0, RIGID), (half, 0.0, RIGID), (0.0, -20.0, 1e-3), (0.0, 20.0, 1e-3)]
    plate = Plate(2 * half, 40.0, sheet(1, 1e6, 1e4), supports, [rib], terms=21)
    bent = plate.bend([Patch(1000.0, 0, 0, 2.0, 2.0)])
    assert bent.deflection_mm == pytest.approx(1000 * (2 * half) ** 3 / (48 * stiffness), rel=0.02)
    stress = 1000 * 2 * half / 4 / stiffness * 210_000 * 15
    assert bent.rib_n_mm2 == pytest.approx(stress, rel=0.06)


def test_a_rib_along_y_does_the_same_turned() -> None:
    along_x = Rib("x", 10.0, -150.0, 150.0, 1e9, 15.0, 210_000.0, 3.0)
    along_y = Rib("y", -10.0, -150.0, 150.0, 1e9, 15.0, 210_000.0, 3.0)
    at = [(150.0, 150.0), (-150.0, 150.0), (150.0, -150.0), (-150.0, -150.0)]
    turned = Plywood(20.0, 10_000, 5_000, 600, 40.0, 30.0, 700.0, grain="y")
    straight = replace(turned, grain="x")
    one = Plate(400, 400, straight, [(x, y, 5e3) for x, y in at], [along_x])
    two = Plate(400, 400, turned, [(-y, x, 5e3) for x, y in at], [along_y])
    b1 = one.bend([Patch(900.0, 60, 30, 80, 40)])
    b2 = two.bend([Patch(900.0, -30, 60, 40, 80)])
    assert b1.springs_n == pytest.approx(b2.springs_n)
    assert b1.rib_n_mm2 == pytest.approx(b2.rib_n_mm2)
    assert (b1.stress_x_n_mm2, b1.stress_y_n_mm2) == pytest.approx(
        (b2.stress_y_n_mm2, b2.stress_x_n_mm2)
    )


def test_a_free_strip_rings_as_a_beam() -> None:
    """First bending of a free-free beam: (4.7300)² / (2π L²) √(E I / m)."""
    length, width = 600.0, 30.0
    soft = [(x, 0.0, 1e-6) for x in (-100.0, 100.0)]
    strip = Plate(length, width, sheet(10_000, 10_000, 3_000), soft)
    found = strip.frequencies_hz()
    tonnes_per_mm = width * 20.0 * 700e-12
    inertia = width * 20.0**3 / 12
    want = 4.7300**2 / (2 * math.pi * length**2) * math.sqrt(10_000 * inertia / tonnes_per_mm)
    assert np.min(np.abs(found / want - 1)) < 0.005


def test_a_rigid_plate_with_a_rider_is_a_mass_on_springs() -> None:
    plate = Plate(
        200, 200, sheet(1e9, 1e9, 1e9), [(x, y, 500.0) for x in (-90, 90) for y in (-90, 90)]
    )
    own_kg = 0.2 * 0.2 * 0.02 * 700
    found = plate.frequencies_hz([(0.0, 0.0, 80.0)])
    want = math.sqrt(4 * 500_000.0 / (80 + own_kg)) / (2 * math.pi)
    assert np.min(np.abs(found / want - 1)) < 1e-4


def test_more_terms_change_little() -> None:
    """The design's numbers have converged: Ritz's sag grows by under 2 % from 15 to 21 terms."""
    patch = [Patch(3530.0, 0, 0, 90, 60)]
    standard = loads.plate(STANDARD)
    finer = Plate(500, 400, standard.wood, standard.springs, standard.ribs, terms=21)
    coarse, fine = standard.bend(patch), finer.bend(patch)
    assert coarse.sag_mm <= fine.sag_mm <= 1.02 * coarse.sag_mm
    for a, b in (
        (coarse.stress_x_n_mm2, fine.stress_x_n_mm2),
        (coarse.stress_y_n_mm2, fine.stress_y_n_mm2),
        (coarse.rib_n_mm2, fine.rib_n_mm2),
    ):
        assert a == pytest.approx(b, rel=0.25)


def test_pencil_and_plate_agree() -> None:
    """Without tubes the plate in a line load across it is the beam strip of the report."""
    bare = loads.plate(STANDARD, with_tubes=False)
    rigid = Plate(500, 400, bare.wood, [(x, y, RIGID) for x, y, _ in bare.springs])
    bent = rigid.bend([Patch(1000.0, 0, 0, 20, 400)])
    sag, stress = loads.strip_mm_n_mm2(STANDARD, 1000.0)
    # On points instead of lines it sags more; the stress at mid-span stays near the strip's.
    assert sag < bent.sag_mm < 2.5 * sag
    assert bent.stress_x_n_mm2 == pytest.approx(stress, rel=0.35)
    assert sag == pytest.approx(1000 * 440**3 / (48 * 3000 * 400 * 20.0**3 / 12))
    tube_sag, tube_stress = loads.tubes_strip_mm_n_mm2(STANDARD, 1000.0)
    inertia = 2 * (50 * 30**3 - 44 * 24**3) / 12
    assert tube_sag == pytest.approx(1000 * 440**3 / (48 * 210_000 * inertia))
    assert tube_stress == pytest.approx(1000 * 440 / 4 * 15 / inertia)


# --- who bears what -------------------------------------------------------------------------------


@given(st.floats(0, 1), st.floats(0, 1))
def test_shares_balance_and_are_never_too_light(u: float, v: float) -> None:
    shares = loads.corner_shares(u, v)
    assert sum(shares) == pytest.approx(1)
    assert shares[1] + shares[3] - shares[0] - shares[2] == pytest.approx(u)
    assert shares[0] + shares[1] - shares[2] - shares[3] == pytest.approx(v)
    assert max(shares) >= (1 + u + v) / 4 - 1e-12  # rigid plate on four springs
    assert max(shares) >= (u + v) / 2 - 1e-12  # and on the three that still press
    assert loads.heaviest_on_three(u, v) >= (u + v) / 2 - 1e-12


@given(st.floats(0, 1), st.floats(0, 1))
def test_three_feet_in_balance(u: float, v: float) -> None:
    """Solve force and moments for each hanging foot; among those that press, none is heavier."""
    corners = np.array([(-1, 1), (1, 1), (-1, -1), (1, -1)], dtype=float)
    heaviest = 0.0
    for hanging in range(4):
        three = np.delete(corners, hanging, axis=0)
        equations = np.vstack([np.ones(3), three.T])
        pressed = np.linalg.solve(equations, np.array([1.0, u, v]))
        if (pressed > -1e-9).all():
            heaviest = max(heaviest, float(pressed.max()))
    assert heaviest == pytest.approx(loads.heaviest_on_three(u, v), abs=1e-6)


def test_the_stop_takes_over_where_the_gap_says() -> None:
    """0.5 mm of a cell that bends 0.4 mm at 1,961 N: at the latest at 125 % of it."""
    early, late = loads.stop_force_n(STANDARD)
    assert STANDARD.stop_gap_mm == pytest.approx(0.5)
    assert late == pytest.approx(1.25 * 200 * 9.80665)
    inertia = (50 * 30**3 - 44 * 24**3) / 12
    compliance = 0.4 / (200 * 9.80665) + 87.5**3 / (3 * 210_000 * inertia)
    assert early == pytest.approx(0.5 / compliance)
    assert loads.cell_force_n(STANDARD, 1000.0) == 1000.0
    beyond = loads.cell_force_n(STANDARD, late + 1000.0) - late
    cell = 200 * 9.80665 / 0.4
    assert beyond == pytest.approx(1000 * cell / (cell + 50_000))


def test_bolts_and_backing_by_hand() -> None:
    """Cell from 105 mm, bolts at 120 and 145, spacer to 160: levers 40 and 15, arm 60."""
    pull = loads.bolt_force_n(STANDARD, 2000.0)
    assert pull == pytest.approx(2000 * 60 / (40 + 15**2 / 40))
    assert loads.backing_stress_n_mm2(STANDARD, 3000.0) == pytest.approx(
        3000 * 44 / 4 / (30 * 8**2 / 6)
    )


def test_landing_follows_the_root_of_the_drop() -> None:
    assert loads.peak_body_weights(320.0) == pytest.approx(4.2)
    assert loads.peak_body_weights(4 * 320.0) == pytest.approx(8.4)
    assert loads.peak_body_weights(STANDARD.drop_limit_mm) < loads.DESIGN_BODY_WEIGHTS


def test_base_plate_by_hand() -> None:
    """120 kg twice over: 2,354 N, 259 N·m, 440 x 17.1² / 6 mm³."""
    stress = 120 * 9.80665 * 2 / 2 * 220 / (440 * 17.1**2 / 6)
    assert loads.base_factor(STANDARD) == pytest.approx(30 / stress)


def test_skew_by_hand() -> None:
    """Left sees F, right 0.9 F: x = 220 · (0.9 - 1) / 1.9."""
    assert loads.skew_error_mm(STANDARD, 0.010, 10.0) == pytest.approx(-220 * 0.1 / 1.9)


# --- the design holds -----------------------------------------------------------------------------


@pytest.mark.parametrize("design", [STANDARD, THIN, JUNIOR], ids=lambda d: d.name)
def test_each_factor_meets_its_minimum(design: Any) -> None:
    done = loads.results(design)
    assert set(loads.lowest(done)) == set(loads.LEAST_FACTORS)
    for part, (factor, case) in loads.lowest(done).items():
        assert factor >= loads.LEAST_FACTORS[part], (part, case)
    for result in done:
        x, y = result.case.centre_mm
        force = sum(result.bent.springs_n)
        assert force == pytest.approx(result.case.force_n, rel=1e-6)
        signs = design.corners
        moments = [
            sum(f * s[axis] for f, s in zip(result.bent.springs_n, signs, strict=True))
            for axis in (0, 1)
        ]
        assert moments[0] * design.half_width_mm == pytest.approx(force * x, abs=1)
        assert moments[1] * design.half_depth_mm == pytest.approx(force * y, abs=1)


@pytest.mark.parametrize("design", [STANDARD, THIN, JUNIOR], ids=lambda d: d.name)
def test_it_is_stiff_and_stands(design: Any) -> None:
    assert loads.first_frequency_hz(design) >= loads.LEAST_FREQUENCY_HZ
    assert min(loads.tipping(design)) > 1.0
    assert loads.base_factor(design) >= loads.LEAST_BASE_FACTOR
    early, late = loads.stop_force_n(design)
    assert early > 1.05 * design.cell.rated_n
    assert late < 1.3 * design.cell.rated_n


def test_the_guides_widest_stop_still_saves_the_cell() -> None:
    """The guide has the stops set to 115 to 130 % of rated load."""
    late = replace(STANDARD, shim_mm=0.48)
    assert loads.stop_force_n(late)[1] == pytest.approx(1.3 * late.cell.rated_n)
    factor, _ = loads.lowest(loads.results(late))["cell, safe overload"]
    assert factor >= loads.LEAST_FACTORS["cell, safe overload"]


def test_training_within_the_limit_stays_in_the_cells_range() -> None:
    """Standing, hopping and landing on both feet never reach the stop: those peaks are true."""
    for design in (STANDARD, JUNIOR):
        quiet = [r for r in loads.results(design) if r.case.body_weights < 5 and not r.case.mishap]
        assert len(quiet) >= 4
        for result in quiet:
            assert result.foot_n < min(loads.stop_force_n(design)), result.case.name


def test_what_the_design_is_not() -> None:
    """The checks can fail: no tubes is too soft, small cells or no stop break, no base tips."""
    assert loads.first_frequency_hz(STANDARD, with_tubes=False) < loads.LEAST_FREQUENCY_HZ
    weak = replace(STANDARD, cell=board_design.CellSpec(rated_kg=50.0), shim_mm=-99.0)
    factor, _ = loads.lowest(loads.results(weak))["cell, ultimate overload"]
    assert factor < 1
    open_stop = replace(STANDARD, shim_mm=-99.0)
    factor, _ = loads.lowest(loads.results(open_stop))["cell, safe overload"]
    assert factor < 1
    assert min(loads.lift_without_base_n(STANDARD)) < STANDARD.standing_limit_kg * 9.80665


@pytest.mark.parametrize("design", [STANDARD, JUNIOR], ids=lambda d: d.name)
def test_the_proof_load_is_worth_its_name(design: Any) -> None:
    """In the middle at least the largest force of training, and twice the standing limit."""
    middle, corner = loads.proof_loads(design)
    training = [c for c in loads.cases(design) if not c.mishap]
    assert middle.force_n >= max(c.force_n for c in training)
    assert middle.mass_kg >= 2 * design.standing_limit_kg
    on = loads.plate(design)
    for proof in (middle, corner):
        result = loads.work_out(design, proof, on)
        assert min(f - loads.LEAST_FACTORS[part] for part, f in result.factors.items()) > 0
        assert result.foot_n < loads.stop_force_n(design)[0]


def test_the_script_prints_what_the_guide_tells() -> None:
    told = (HARDWARE / "BUILD.md").read_text(encoding="utf-8")
    printed = subprocess.run(
        [sys.executable, str(HARDWARE / "loads.py")], capture_output=True, text=True, check=True
    ).stdout
    assert printed.count("Load limit: 120 kg standing; 60 kg landing") == 2
    standard = printed.split("\n\nstandard in 18 mm")[0]
    rows = [line for line in standard.splitlines() if line.startswith("|")]
    assert len(rows) > 20
    for row in rows:
        assert row in told, row
    sentences = [line for line in standard.splitlines() if line.endswith(".")]
    assert len(sentences) == 8
    for sentence in sentences:
        assert f"- {sentence}" in told, sentence
