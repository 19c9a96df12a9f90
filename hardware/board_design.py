"""Every dimension of the board, in one place: drawings, load calculation and guide follow it.

Frame: seen from above, vaulter facing forward, origin at the plate's centre, x right, y forward.
Millimetres, newtons, kilograms; the unit stands in the name.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

STANDARD_GRAVITY: Final = 9.80665


@dataclass(frozen=True, slots=True)
class CellSpec:
    """A bar load cell (full bridge, parallel beam), as its data sheet gives it.

    Attributes:
        rated_kg: rated capacity.
        safe_share, ultimate_share: safe and ultimate overload as shares of it. The least that
            the guide allows; most data sheets say 1.5 and 2 to 3 (from memory).
        deflection_mm: of the free end at rated load. Data sheets say 0.2 to 0.5 (from memory);
            the guide has it measured, together with the bar that carries the cell.
        length_mm, width_mm, height_mm: of the bar.
        end_hole_mm, hole_pitch_mm: from the bar's end to its first hole, and on to the second;
            the same at both ends.
        thread_mm: of the four holes.
    """

    rated_kg: float = 200.0
    safe_share: float = 1.5
    ultimate_share: float = 2.0
    deflection_mm: float = 0.4
    length_mm: float = 130.0
    width_mm: float = 30.0
    height_mm: float = 22.0
    end_hole_mm: float = 15.0
    hole_pitch_mm: float = 25.0
    thread_mm: float = 8.0

    @property
    def rated_n(self) -> float:
        """Rated capacity as a force."""
        return self.rated_kg * STANDARD_GRAVITY


@dataclass(frozen=True, slots=True)
class TubeSpec:
    """A rectangular steel tube, lying flat: ``width_mm`` along the plate, ``height_mm`` down."""

    width_mm: float = 50.0
    height_mm: float = 30.0
    wall_mm: float = 3.0

    @property
    def inertia_mm4(self) -> float:
        """Second moment of area about the flat axis; sharp corners."""
        outer = self.width_mm * self.height_mm**3
        inner = (self.width_mm - 2 * self.wall_mm) * (self.height_mm - 2 * self.wall_mm) ** 3
        return (outer - inner) / 12

    @property
    def area_mm2(self) -> float:
        """Of the steel in its section; sharp corners."""
        w, h, t = self.width_mm, self.height_mm, self.wall_mm
        return w * h - (w - 2 * t) * (h - 2 * t)


@dataclass(frozen=True, slots=True)
class BoardDesign:
    """The board as drawn.

    From the top: the plate, four tubes under it (two cross tubes along x over the cells, two long
    tubes along y under the feet), four cells under the cross tubes with their free ends outwards,
    a levelling foot under each free end, and the base plate that the feet stand on.

    Attributes:
        name: of the variant.
        plate_*: outline (x, y) and nominal thickness; ``plate_corner_mm`` rounds it in plan.
        edge_radius_mm: rounding of all the plate's edges, above and below.
        half_width_mm, half_depth_mm: the feet, where the loads enter, stand at (±, ±) these.
        heel_line_mm: y of the line on which the backs of the heels stand.
        stance_widths_mm: marked distances between the middles of the feet.
        standing_half_width_mm, standing_half_depth_mm: the non-slip area to stand on.
        spot_x_mm, spot_y_mm: the calibration marks stand at (0 or ±, 0 or ±) these.
        cell, tube: see there.
        cross_half_length_mm: the cross tubes reach from -x to x.
        long_half_length_mm, long_x_mm: the long tubes reach from -y to y, at ± x.
        cross_screws_x_mm, long_screws_y_mm: screws through the plate (0 and ±).
        end_screw_x_mm: screws at the ends of the cross tubes, through their upper wall only.
        screw_mm: of all these.
        spacer_thickness_mm, spacer_length_mm: between cross tube and the cell's fixed end.
        backing_thickness_mm, backing_length_mm: inside the tube, under the cell's bolts.
        stop_thickness_mm, stop_length_mm: the stop pad above the foot.
        stop_screw_y_mm: its two screws, from the cell's line.
        shim_mm: shims on the pad, as drawn; the guide has them chosen by measuring.
        foot_diameter_mm, foot_height_mm: the levelling foot under the cell's free end.
        base_*: the plate underneath; cups hold the feet, retaining bolts with play keep the upper
            plate from tipping off, slots take straps, pads (a disc with thin rubber below) stand on
            the ground.
        ring_*: the spacer plate for round ground (dome crown, air disc).
        barrel_radius_mm: of the barrel's padded top as drawn: measure your own.
        saddle_*: the two blocks that sit on the barrel, across its axis.
        landings: whether anybody may land on it.
        standing_limit_kg, landing_limit_kg: the load limit, once the proof test is passed.
        drop_limit_mm: highest drop onto it.
    """

    name: str = "standard"
    plate_width_mm: float = 500.0
    plate_depth_mm: float = 400.0
    plate_thickness_mm: float = 21.0
    plate_corner_mm: float = 20.0
    edge_radius_mm: float = 5.0
    half_width_mm: float = 220.0
    half_depth_mm: float = 170.0
    heel_line_mm: float = -120.0
    stance_widths_mm: tuple[float, ...] = (120.0, 160.0, 200.0, 240.0)
    standing_half_width_mm: float = 200.0
    standing_half_depth_mm: float = 160.0
    spot_x_mm: float = 110.0
    spot_y_mm: float = 85.0
    cell: CellSpec = CellSpec()
    tube: TubeSpec = TubeSpec()
    cross_half_length_mm: float = 236.0
    long_half_length_mm: float = 140.0
    long_x_mm: float = 80.0
    cross_screws_x_mm: tuple[float, ...] = (0.0, 85.0)
    long_screws_y_mm: tuple[float, ...] = (0.0, 105.0)
    end_screw_x_mm: float = 205.0
    screw_mm: float = 6.0
    spacer_thickness_mm: float = 5.0
    spacer_length_mm: float = 55.0
    backing_thickness_mm: float = 8.0
    backing_length_mm: float = 60.0
    stop_thickness_mm: float = 4.0
    stop_length_mm: float = 30.0
    stop_screw_y_mm: float = 19.0
    shim_mm: float = 0.5
    foot_diameter_mm: float = 40.0
    foot_height_mm: float = 25.0
    base_width_mm: float = 540.0
    base_depth_mm: float = 440.0
    base_thickness_mm: float = 18.0
    base_corner_mm: float = 30.0
    base_cup_mm: float = 46.0
    base_cup_thickness_mm: float = 6.0
    base_cup_side_mm: float = 80.0
    base_bolt_mm: float = 8.0
    base_bolt_hole_mm: float = 14.0
    base_bolt_x_mm: float = 40.0
    base_play_mm: float = 2.0
    base_slot_length_mm: float = 55.0
    base_slot_width_mm: float = 8.0
    base_slot_x_mm: float = 130.0
    base_slot_y_mm: float = 205.0
    base_pad_mm: float = 50.0
    base_pad_height_mm: float = 15.0
    base_pad_rubber_mm: float = 3.0
    base_pad_x_mm: float = 235.0
    base_pad_y_mm: float = 185.0
    ring_outer_mm: float = 400.0
    ring_inner_mm: float = 260.0
    ring_thickness_mm: float = 18.0
    barrel_radius_mm: float = 350.0
    saddle_width_mm: float = 300.0
    saddle_thickness_mm: float = 42.0
    saddle_least_height_mm: float = 30.0
    saddle_y_mm: float = 120.0
    landings: bool = True
    standing_limit_kg: float = 120.0
    landing_limit_kg: float = 60.0
    drop_limit_mm: float = 400.0

    @property
    def stop_gap_mm(self) -> float:
        """Between the stop pad with its shims and the unloaded cell's free end."""
        return self.spacer_thickness_mm - self.stop_thickness_mm - self.shim_mm

    @property
    def cell_inner_mm(self) -> float:
        """|x| of the cell's inner end."""
        return self.half_width_mm + self.cell.end_hole_mm - self.cell.length_mm

    @property
    def cell_bolts_x_mm(self) -> tuple[float, float]:
        """|x| of the two bolts of the cell's fixed end, the inner one first."""
        inner = self.cell_inner_mm + self.cell.end_hole_mm
        return (inner, inner + self.cell.hole_pitch_mm)

    @property
    def arm_mm(self) -> float:
        """From the foot to the middle between the two bolts of the fixed end."""
        return self.half_width_mm - sum(self.cell_bolts_x_mm) / 2

    @property
    def corners(self) -> tuple[tuple[int, int], ...]:
        """Signs of x and y: front left, front right, rear left, rear right."""
        return ((-1, 1), (1, 1), (-1, -1), (1, -1))

    @property
    def height_mm(self) -> float:
        """From the ground to the surface that one stands on."""
        return (
            self.base_pad_height_mm
            + self.base_thickness_mm
            + self.foot_height_mm
            + self.cell.height_mm
            + self.spacer_thickness_mm
            + self.tube.height_mm
            + self.plate_thickness_mm
        )


STANDARD: Final = BoardDesign()

#: For light juniors who stand and never land on it: smaller cells, thinner plate and tubes.
JUNIOR: Final = replace(
    STANDARD,
    name="junior",
    plate_thickness_mm=18.0,
    cell=CellSpec(rated_kg=100.0),
    tube=TubeSpec(50.0, 25.0, 2.0),
    base_thickness_mm=15.0,
    landings=False,
    standing_limit_kg=60.0,
    landing_limit_kg=0.0,
    drop_limit_mm=0.0,
)
