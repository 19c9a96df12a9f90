"""Load cases of the board, peak forces, safety factors: ``python hardware/loads.py`` prints them.

What is assumed, and where it is from:

- Landing: the peak force grows with the root of the drop height (Niu, Feng, Jiang, Zhang, BioMed
  Research International 2014:126860, pooled from 26 articles; barefoot and a hard platform give
  more). Gymnasts land harder than others (Seegmiller & McCaw, J Athl Train 2003;38:311-314).
  Level of the root: 4.2 body weights from 0.32 m (McNitt-Gray, Int J Sport Biomech 1991;7:201-224,
  from memory). The design takes 6 body weights, and all of it on one spot.
- Birch plywood: of two trade specifications for birch plywood of 9 to 40 mm ("not less than":
  6,000 and 3,000 N/mm² along and across, 60 and 30 N/mm²; 7,500 and 4,000, 50 and 30 N/mm²) and
  a handbook's characteristic values (about 40 and 34 N/mm², from memory) the lowest of each.
  Real thickness at least 14.3, 17.1, 20.0 mm for nominal 15, 18, 21; 680 kg/m³ (trade data sheet).
  In-plane shear modulus 600 N/mm² (handbooks say about 620, from memory).
- Steel S235: yield 235 N/mm², 210,000 N/mm². Bolts of class 8.8: proof stress 580 N/mm²; stress
  area of M8 36.6 mm² (ISO 898-1, from memory).
- The thin rubber under a foot and under its pad, both together: 4 kN/mm, a cautious guess (3 to
  4 mm of hard rubber should be several times stiffer). Steel on steel at the stop: a guess too,
  50 kN/mm.

Bending by Ritz's method in ``plate_bending``; beside it stand plain beam strips that anybody can
check with a pencil: a beam on two supports under a central force has M = F L / 4 and sags by
F L³ / (48 E I); a cantilever's end sags by F L³ / (3 E I) (Young & Budynas, Roark's Formulas for
Stress and Strain, 7th ed. 2002, table 8.1).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from board_design import JUNIOR, STANDARD, STANDARD_GRAVITY, BoardDesign
from plate_bending import Bent, Patch, Plate, Plywood, Rib

STEEL_N_MM2: Final = 210_000.0
STEEL_YIELD_N_MM2: Final = 235.0
STEEL_KG_MM3: Final = 7.85e-6
BOLT_PROOF_N: Final = 580.0 * 36.6
RUBBER_N_MM: Final = 4_000.0
STOP_N_MM: Final = 50_000.0
FOOT_RATED_N: Final = 5_000.0
DESIGN_BODY_WEIGHTS: Final = 6.0
#: From nominal to the least real thickness.
LEAST_THICKNESS_MM: Final = {15.0: 14.3, 18.0: 17.1, 21.0: 20.0}

#: The safety factors that the design must keep.
LEAST_FACTORS: Final = {
    "cell, safe overload": 1.1,
    "cell, ultimate overload": 1.4,
    "levelling foot": 1.2,
    "cell bolt": 2.0,
    "backing plate": 1.5,
    "tube": 2.0,
    "plywood, along the grain": 3.0,
    "plywood, across the grain": 3.0,
}
LEAST_BASE_FACTOR: Final = 2.0
LEAST_FREQUENCY_HZ: Final = 30.0


def birch(nominal_mm: float) -> Plywood:
    """Birch plywood of a nominal thickness (18 or 21 mm), at its weakest and thinnest."""
    return Plywood(LEAST_THICKNESS_MM[nominal_mm], 6_000, 3_000, 600, 39, 30, 680)


def peak_body_weights(drop_mm: float) -> float:
    """Likely peak of a gymnast's landing: root law through 4.2 body weights at 320 mm.

    >>> round(peak_body_weights(320), 3), round(peak_body_weights(1280), 3)
    (4.2, 8.4)
    """
    return 4.2 * math.sqrt(drop_mm / 320.0)


def corner_shares(u: float, v: float) -> tuple[float, float, float, float]:
    """Shares of a force at (u·half width, v·half depth): front left and right, rear left and right.

    The product rule (1 ± u)(1 ± v)/4 is statically right, and its heaviest corner is never lighter
    than that of a rigid plate on four equal springs, (1 ± u ± v)/4, as long as all feet press.

    >>> corner_shares(1.0, 0.0)
    (0.0, 0.5, 0.0, 0.5)
    """
    left, right, front, rear = (1 - u) / 2, (1 + u) / 2, (1 + v) / 2, (1 - v) / 2
    return (left * front, right * front, left * rear, right * rear)


def heaviest_on_three(u: float, v: float) -> float:
    """Share of the heaviest corner if the worst placed of the other feet hangs in the air.

    For 0 <= u, v: with the neighbour along x in the air, balance of moments leaves (1 + v)/2 at
    the heavy corner, possible while v <= u; with the neighbour along y, (1 + u)/2 while u <= v.

    >>> heaviest_on_three(0.5, 0.3)
    0.65
    """
    return (1 + min(u, v)) / 2


@dataclass(frozen=True, slots=True)
class Case:
    """One way to load the board.

    Attributes:
        name: of the case.
        mass_kg: of everybody on it.
        body_weights: peak force as a multiple of their weight.
        load: where the force goes.
        landing: whether it happens only where landings are allowed.
        mishap: it shouldn't happen; the board must survive it, but it is nobody's training.
    """

    name: str
    mass_kg: float
    body_weights: float
    load: tuple[Patch, ...]
    landing: bool = False
    mishap: bool = False

    @property
    def force_n(self) -> float:
        """The peak force."""
        return self.mass_kg * STANDARD_GRAVITY * self.body_weights

    @property
    def centre_mm(self) -> tuple[float, float]:
        """Where the resultant goes through."""
        total = sum(p.force_n for p in self.load)
        x = sum(p.force_n * p.x_mm for p in self.load) / total
        y = sum(p.force_n * p.y_mm for p in self.load) / total
        return (x, y)


def _case(
    name: str,
    mass_kg: float,
    body_weights: float,
    spots: Sequence[tuple[float, float, float, float, float]],
    *,
    landing: bool = False,
    mishap: bool = False,
) -> Case:
    force = mass_kg * STANDARD_GRAVITY * body_weights
    load = tuple(Patch(share * force, x, y, w, d) for share, x, y, w, d in spots)
    return Case(name, mass_kg, body_weights, load, landing, mishap)


def cases(design: BoardDesign) -> tuple[Case, ...]:
    """All load cases of a design; patches are soles (90 × 220 mm) or balls of a foot (90 × 60)."""
    stand, land = design.standing_limit_kg, design.landing_limit_kg
    ball = design.heel_line_mm + 180.0
    sole = design.heel_line_mm + 110.0
    edge_x, edge_y = design.standing_half_width_mm - 45, design.standing_half_depth_mm - 30
    inside = [
        _case(
            "quiet stand on both feet",
            stand,
            1.0,
            [(0.5, -80, sole, 90, 220), (0.5, 80, sole, 90, 220)],
        ),
        _case("one leg, on a mark", stand, 1.0, [(1.0, 100, sole, 90, 220)]),
        _case("one leg, ball of the foot, corner", stand, 1.0, [(1.0, edge_x, edge_y, 90, 60)]),
        _case(
            "knee bends and small hops, 2 body weights",
            stand,
            2.0,
            [(0.5, -80, ball, 90, 60), (0.5, 80, ball, 90, 60)],
        ),
        _case(
            "three step on at once (mishap), corner",
            3 * stand,
            1.0,
            [(1.0, edge_x - 40, edge_y - 40, 160, 120)],
            mishap=True,
        ),
    ]
    if not design.landings:
        # A child jumps although it mustn't: the board must not break under it.
        inside.append(
            _case(
                "landing although forbidden (mishap), 4 body weights, one foot",
                stand,
                4.0,
                [(1.0, 100, ball, 90, 60)],
                mishap=True,
            )
        )
        return tuple(inside)
    return (
        *inside,
        _case(
            "landing on both feet, 3 body weights",
            land,
            3.0,
            [(0.5, -80, ball, 90, 60), (0.5, 80, ball, 90, 60)],
            landing=True,
        ),
        _case(
            "landing, 4 body weights, 75 % on the right",
            land,
            4.0,
            [(0.25, -80, ball, 90, 60), (0.75, 80, ball, 90, 60)],
            landing=True,
        ),
        _case(
            "landing, 6 body weights, one foot on a mark",
            land,
            DESIGN_BODY_WEIGHTS,
            [(1.0, 100, ball, 90, 60)],
            landing=True,
        ),
        _case(
            "landing, 6 body weights, one foot in the middle",
            land,
            DESIGN_BODY_WEIGHTS,
            [(1.0, 0, 0, 90, 60)],
            landing=True,
        ),
        _case(
            "landing, 6 body weights, one foot at the front edge",
            land,
            DESIGN_BODY_WEIGHTS,
            [(1.0, 0, edge_y, 90, 60)],
            landing=True,
        ),
        _case(
            "landing, 6 body weights, one foot in the corner",
            land,
            DESIGN_BODY_WEIGHTS,
            [(1.0, edge_x, edge_y, 90, 60)],
            landing=True,
        ),
    )


def proof_loads(design: BoardDesign) -> tuple[Case, ...]:
    """The static proof, with bags of 25 kg.

    First all bags on a board that lies on two blocks as large as soles, on the marks; then some of
    them on a board of 200 x 150 mm towards each corner in turn.
    """
    bags, in_corner = (15, 8) if design.landings else (6, 4)
    sole = design.heel_line_mm + 110.0
    middle = [(0.5, -80.0, sole, 90.0, 220.0), (0.5, 80.0, sole, 90.0, 220.0)]
    return (
        _case(f"proof in the middle: {bags} bags", bags * 25.0, 1.0, middle),
        _case(
            f"proof towards a corner: {in_corner} bags",
            in_corner * 25.0,
            1.0,
            [(1.0, 130.0, 95.0, 200.0, 150.0)],
        ),
    )


def cell_stiffness_n_mm(design: BoardDesign) -> float:
    """Force on a cell by the deflection of its free end."""
    return design.cell.rated_n / design.cell.deflection_mm


def tube_bending_mm_n(design: BoardDesign) -> float:
    """Closing of the stop gap by the tube's own bending, a newton: a cantilever of the arm."""
    return design.arm_mm**3 / (3 * STEEL_N_MM2 * design.tube.inertia_mm4)


def stop_force_n(design: BoardDesign) -> tuple[float, float]:
    """Foot force at which the stop takes over: earliest (the tube bends too) and latest."""
    cell = 1 / cell_stiffness_n_mm(design)
    gap = design.stop_gap_mm
    return gap / (cell + tube_bending_mm_n(design)), gap / cell


def cell_force_n(design: BoardDesign, foot_n: float) -> float:
    """What the cell bears of a foot's force: all of it up to the stop, then a small share."""
    _, latest = stop_force_n(design)
    cell = cell_stiffness_n_mm(design)
    share = cell / (cell + STOP_N_MM)
    return min(foot_n, latest) + max(foot_n - latest, 0.0) * share


def bolt_force_n(design: BoardDesign, cell_n: float) -> float:
    """Pull of the inner bolt of a cell's fixed end.

    The cell turns about the spacer's outer edge; the two bolts stretch in proportion to their
    distance from it: F · (foot - edge) = T · (a + b²/a), a and b the inner and outer distance.
    """
    edge = design.cell_inner_mm + design.spacer_length_mm
    inner, outer = (edge - x for x in design.cell_bolts_x_mm)
    return cell_n * (design.half_width_mm - edge) / (inner + outer**2 / inner)


def backing_stress_n_mm2(design: BoardDesign, bolt_n: float) -> float:
    """Bending of the backing plate between the tube's side walls, under one bolt in its middle.

    The plate's half length is taken as effective width: M = F L / 4, W = b t² / 6.
    """
    span = design.tube.width_mm - 2 * design.tube.wall_mm
    section = design.backing_length_mm / 2 * design.backing_thickness_mm**2 / 6
    return bolt_n * span / 4 / section


def foot_stiffness_n_mm(design: BoardDesign) -> float:
    """Cell, tube's end and rubber one after the other."""
    return 1 / (1 / cell_stiffness_n_mm(design) + tube_bending_mm_n(design) + 1 / RUBBER_N_MM)


def base_factor(design: BoardDesign, body_weights: float = 2.0) -> float:
    """Safety of the base plate where only its middle is carried (dome, disc, barrel).

    A beam carried along its middle line, half of the force at each side's feet:
    M = F / 2 · half width, W = depth · t² / 6; the weaker grain.
    """
    force = design.standing_limit_kg * STANDARD_GRAVITY * body_weights
    wood = birch(design.base_thickness_mm)
    section = design.base_depth_mm * wood.thickness_mm**2 / 6
    return wood.strength_across_n_mm2 * section / (force / 2 * design.half_width_mm)


def ribs(design: BoardDesign) -> tuple[Rib, ...]:
    """The four tubes."""
    tube = design.tube
    numbers = (
        STEEL_N_MM2 * tube.inertia_mm4,
        tube.height_mm / 2,
        STEEL_N_MM2,
        tube.area_mm2 * STEEL_KG_MM3 * 1000,
    )
    c, n = design.cross_half_length_mm, design.long_half_length_mm
    cross = [Rib("x", s * design.half_depth_mm, -c, c, *numbers) for s in (-1, 1)]
    long = [Rib("y", s * design.long_x_mm, -n, n, *numbers) for s in (-1, 1)]
    return (*cross, *long)


def plate(design: BoardDesign, *, with_tubes: bool = True) -> Plate:
    """The plate on its feet, for bending and frequencies."""
    k = foot_stiffness_n_mm(design)
    feet = [(sx * design.half_width_mm, sy * design.half_depth_mm, k) for sx, sy in design.corners]
    return Plate(
        design.plate_width_mm,
        design.plate_depth_mm,
        birch(design.plate_thickness_mm),
        feet,
        ribs(design) if with_tubes else (),
    )


def first_frequency_hz(design: BoardDesign, *, with_tubes: bool = True) -> float:
    """Lowest natural frequency with somebody of the standing limit on it.

    The person is six rigid lumps on two soles, which is harsher than a body: a body's legs give
    way long before this frequency, and less of it moves along.
    """
    y = design.heel_line_mm
    spots = [(sx * 80.0, y + dy) for sx in (-1, 1) for dy in (30.0, 110.0, 190.0)]
    riders = [(a, b, design.standing_limit_kg / len(spots)) for a, b in spots]
    return float(plate(design, with_tubes=with_tubes).frequencies_hz(riders)[0])


def top_mass_kg(design: BoardDesign) -> float:
    """Plate and tubes; what lies above the cells."""
    wood = birch(design.plate_thickness_mm)
    sheet = design.plate_width_mm * design.plate_depth_mm * wood.thickness_mm * 1e-9
    steel = sum((rib.to_mm - rib.from_mm) / 1000 * rib.mass_kg_m for rib in ribs(design))
    return sheet * wood.density_kg_m3 + steel


def tipping(design: BoardDesign) -> tuple[float, float]:
    """How safely the board stands with all the load on the plate's very edge (along x, along y).

    The distance from the middle to the edge of the pads' ground, by that to the plate's edge;
    above 1, no load on the plate can tip the board on level, firm ground, however heavy.
    """
    x = design.base_pad_x_mm + design.base_pad_mm / 2
    y = design.base_pad_y_mm + design.base_pad_mm / 2
    return x / (design.plate_width_mm / 2), y / (design.plate_depth_mm / 2)


def lift_without_base_n(design: BoardDesign) -> tuple[float, float]:
    """Smallest force on the plate's very edge that would lift the far feet without a base.

    Moments about the line through two feet: F · overhang = weight · half distance.
    """
    weight = top_mass_kg(design) * STANDARD_GRAVITY
    x = design.plate_width_mm / 2 - design.half_width_mm
    y = design.plate_depth_mm / 2 - design.half_depth_mm
    return weight * design.half_width_mm / x, weight * design.half_depth_mm / y


def skew_error_mm(design: BoardDesign, skew_s: float, rise_per_s: float) -> float:
    """Error of the COP if the right cells are read later than the left, while the force changes.

    All load in the middle, force F growing by ``rise_per_s`` of itself a second; the right cells
    still show F - dF/dt · skew. Then x = a (right - left) / (right + left).

    >>> round(skew_error_mm(STANDARD, 0.0, 30.0), 3)
    0.0
    """
    late = 1 - rise_per_s * skew_s
    return design.half_width_mm * (late - 1) / (late + 1)


@dataclass(frozen=True, slots=True)
class Result:
    """A case worked out: the heaviest foot and its cell, what bends, and the safety factors."""

    case: Case
    foot_n: float
    cell_n: float
    bent: Bent
    factors: dict[str, float]


def work_out(design: BoardDesign, case: Case, on: Plate) -> Result:
    """One case on a plate."""
    bent = on.bend(case.load)
    x, y = case.centre_mm
    u, v = abs(x) / design.half_width_mm, abs(y) / design.half_depth_mm
    # A foot that hangs is somebody's mistake; it need not come together with another mishap.
    share = max(corner_shares(u, v)) if case.mishap else heaviest_on_three(u, v)
    foot = max(share * case.force_n, *bent.springs_n)
    cell = cell_force_n(design, foot)
    bolt = bolt_force_n(design, cell)
    wood = on.wood
    along, across = bent.stress_y_n_mm2, bent.stress_x_n_mm2
    factors = {
        "cell, safe overload": design.cell.rated_n * design.cell.safe_share / cell,
        "cell, ultimate overload": design.cell.rated_n * design.cell.ultimate_share / cell,
        "levelling foot": FOOT_RATED_N / foot,
        "cell bolt": BOLT_PROOF_N / bolt,
        "backing plate": STEEL_YIELD_N_MM2 / backing_stress_n_mm2(design, bolt),
        "tube": STEEL_YIELD_N_MM2 / bent.rib_n_mm2,
        "plywood, along the grain": wood.strength_along_n_mm2 / along,
        "plywood, across the grain": wood.strength_across_n_mm2 / across,
    }
    return Result(case, foot, cell, bent, factors)


def results(design: BoardDesign, on: Plate | None = None) -> list[Result]:
    """All cases of a design, on its plate."""
    on = on or plate(design)
    return [work_out(design, case, on) for case in cases(design)]


def lowest(done: Sequence[Result]) -> dict[str, tuple[float, str]]:
    """For each part its lowest factor and the case that gives it."""
    return {part: min((r.factors[part], r.case.name) for r in done) for part in LEAST_FACTORS}


def proof_coverage(design: BoardDesign, done: Sequence[Result], on: Plate) -> dict[str, float]:
    """How much of the worst training case the static proof reaches, part by part."""
    proofs = [on.bend(case.load) for case in proof_loads(design)]
    training = [r for r in done if not r.case.mishap]
    force = max(case.force_n for case in proof_loads(design))
    return {
        "whole force": force / max(r.case.force_n for r in training),
        "one foot": max(max(b.springs_n) for b in proofs) / max(r.foot_n for r in training),
        "tubes": max(b.rib_n_mm2 for b in proofs) / max(r.bent.rib_n_mm2 for r in training),
    }


def strip_mm_n_mm2(design: BoardDesign, force_n: float) -> tuple[float, float]:
    """By pencil: the plate without tubes as one beam over the feet; sag and stress."""
    wood = birch(design.plate_thickness_mm)
    span, width, t = 2 * design.half_width_mm, design.plate_depth_mm, wood.thickness_mm
    inertia = width * t**3 / 12
    modulus, moment = wood.across_n_mm2, force_n * span / 4
    return force_n * span**3 / (48 * modulus * inertia), moment * t / 2 / inertia


def tubes_strip_mm_n_mm2(design: BoardDesign, force_n: float) -> tuple[float, float]:
    """By pencil: the two cross tubes alone as beams over the feet; sag and stress."""
    span, inertia = 2 * design.half_width_mm, 2 * design.tube.inertia_mm4
    sag = force_n * span**3 / (48 * STEEL_N_MM2 * inertia)
    return sag, force_n * span / 4 * design.tube.height_mm / 2 / inertia


def report(design: BoardDesign) -> str:
    """The whole calculation as text."""
    on = plate(design)
    done = results(design, on)
    early, late = stop_force_n(design)
    rated = design.cell.rated_n
    lines = [
        f"{design.name}: plate {design.plate_thickness_mm:g} mm, cells {design.cell.rated_kg:g} kg,"
        f" tubes {design.tube.width_mm:g} x {design.tube.height_mm:g} x {design.tube.wall_mm:g} mm",
        "",
        "| case | kg | peak N | heaviest foot N | its cell N | of rated % | sag mm"
        " | plywood N/mm2 | tube N/mm2 |",
        "|---|---|---|---|---|---|---|---|---|",
    ]
    for r in done:
        wood = max(r.bent.stress_x_n_mm2, r.bent.stress_y_n_mm2)
        lines.append(
            f"| {r.case.name} | {r.case.mass_kg:.0f} | {r.case.force_n:.0f} | {r.foot_n:.0f}"
            f" | {r.cell_n:.0f} | {100 * r.cell_n / rated:.0f} | {r.bent.sag_mm:.2f}"
            f" | {wood:.1f} | {r.bent.rib_n_mm2:.0f} |"
        )
    lines += ["", "| part | lowest factor | at least | in the case |", "|---|---|---|---|"]
    for part, (factor, name) in lowest(done).items():
        lines.append(f"| {part} | {factor:.2f} | {LEAST_FACTORS[part]:g} | {name} |")
    one, bare = first_frequency_hz(design), first_frequency_hz(design, with_tubes=False)
    tip, lift = tipping(design), lift_without_base_n(design)
    gap = design.stop_gap_mm
    lines += [
        "",
        f"Stop: gap {gap:.2f} mm; takes over between {early:.0f} and {late:.0f} N"
        f" ({100 * early / rated:.0f} to {100 * late / rated:.0f} % of rated).",
        f"Frequency with {design.standing_limit_kg:g} kg on it: {one:.0f} Hz"
        f" (at least {LEAST_FREQUENCY_HZ:g}); the plate without tubes: {bare:.0f} Hz.",
        f"Tipping: the base reaches {tip[0]:.2f} and {tip[1]:.2f} times as far as the plate."
        f" Without a base {lift[0]:.0f} N on the side's edge or {lift[1]:.0f} N on the front's"
        " would lift the far feet.",
        f"Base plate carried in its middle only, 2 body weights: factor"
        f" {base_factor(design):.1f} (at least {LEAST_BASE_FACTOR:g}).",
        f"Cells read one sample (12.5 ms) apart: COP off by"
        f" {abs(skew_error_mm(design, 0.0125, 0.05)):.2f} mm while the force changes by 5 % a"
        f" second, by {abs(skew_error_mm(design, 0.0125, 30.0)):.0f} mm at a landing's 3,000 %.",
        f"Mass above the cells: {top_mass_kg(design):.1f} kg.",
        "Proof loads reach, of the worst training case: "
        + ", ".join(f"{k} {100 * v:.0f} %" for k, v in proof_coverage(design, done, on).items())
        + ".",
        f"Load limit: {design.standing_limit_kg:g} kg standing; "
        + (
            f"{design.landing_limit_kg:g} kg landing from at most {design.drop_limit_mm:g} mm"
            f" (likely peak {peak_body_weights(design.drop_limit_mm):.1f}, designed for"
            f" {DESIGN_BODY_WEIGHTS:g} body weights)."
            if design.landings
            else "no landings."
        ),
    ]
    return "\n".join(lines)


def main() -> None:
    """Print the calculation for each variant, and for the standard board in 18 mm."""
    thin = replace(STANDARD, name="standard in 18 mm", plate_thickness_mm=18.0)
    print("\n\n".join(report(design) for design in (STANDARD, thin, JUNIOR)))


if __name__ == "__main__":
    main()
