"""Draws the board from its dimensions: ``python hardware/draw.py`` writes ``hardware/drawings/``.

Every place and size comes from ``board_design.BoardDesign``; ``python hardware/draw.py DIR``
writes elsewhere. Seen from above unless a sheet says otherwise; x right, y forward.
"""

# ruff: noqa: PLR0912, PLR0915 - a drawing is a long list of strokes

from __future__ import annotations

import math
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Final

from board_design import STANDARD, BoardDesign
from drawing import QUARTER, Sheet

HERE: Final = Path(__file__).parent / "drawings"
_NOTE: Final = "All dimensions in mm, from hardware/board_design.py."


def _sole(sheet: Sheet, middle: float, heel: float, length: float, side: int) -> None:
    """A sole's outline (an orientation for the eye, no measure)."""
    points = []
    for i in range(48):
        turn = 2 * math.pi * i / 48
        along = (1 - math.cos(turn)) / 2
        half = (0.125 + 0.06 * along) * length * abs(math.sin(turn)) ** 0.65
        bend = side * 0.02 * length * math.sin(math.pi * along)
        points.append((middle + bend + math.copysign(half, math.sin(turn)), heel + along * length))
    sheet.polygon("SOLES", points)


def plate_screws(d: BoardDesign) -> list[tuple[float, float]]:
    """Places of the screws through the plate."""
    cross = {s * x for x in (*d.cross_screws_x_mm, d.end_screw_x_mm) for s in (-1, 1)}
    long = {s * y for y in d.long_screws_y_mm for s in (-1, 1)}
    at = [(x, s * d.half_depth_mm) for x in sorted(cross) for s in (-1, 1)]
    return at + [(s * d.long_x_mm, y) for y in sorted(long) for s in (-1, 1)]


def plate(d: BoardDesign) -> Sheet:
    """The plate from above, with its marks, and a section of its edge."""
    s = Sheet("plate", "Plate, seen from above", 8.5)
    a, b = d.plate_width_mm / 2, d.plate_depth_mm / 2
    u = s.unit
    s.rounded("OUTLINE", -a, -b, a, b, d.plate_corner_mm)
    w, h = d.standing_half_width_mm, d.standing_half_depth_mm
    s.box("AREA", -w, -h, w, h)
    s.line("CENTRE", (0, -b - 6), (0, b + 6))
    s.line("CENTRE", (-a - 6, 0), (a + 6, 0))
    # Marks of the feet.
    s.line("MARKS", (-w, d.heel_line_mm), (w, d.heel_line_mm))
    s.line("MARKS", (0, -h), (0, h))
    for width in d.stance_widths_mm:
        for side in (-1, 1):
            x = side * width / 2
            s.line("MARKS", (x, d.heel_line_mm - 9), (x, d.heel_line_mm + 9))
        s.text(width / 2, d.heel_line_mm - 18, f"{width:g}", size=0.75, anchor="middle")
    shown = d.stance_widths_mm[2] / 2
    for side in (-1, 1):
        _sole(s, side * shown, d.heel_line_mm, 240.0, side)
    s.text(-w + 4, d.heel_line_mm + 4, "heel line", size=0.85)
    s.text(-6, d.heel_line_mm - 18, "stance width", size=0.75, anchor="end")
    s.text(-5, 60, "centre line", size=0.85, anchor="end", turned=True)
    s.text(42, d.half_depth_mm - 3, "FRONT", size=1.1, anchor="middle")
    # Calibration marks.
    for x in (-d.spot_x_mm, 0.0, d.spot_x_mm):
        for y in (-d.spot_y_mm, 0.0, d.spot_y_mm):
            s.circle("SPOTS", x, y, 6)
            s.cross("SPOTS", x, y, 6)
    for x, y in plate_screws(d):
        s.circle("HOLES", x, y, d.screw_mm + 0.6)
    for sx, sy in d.corners:
        s.cross("FEET", sx * d.half_width_mm, sy * d.half_depth_mm, 7)
    # Dimensions below, above, left and right, from the middle.
    y1, y2, y3 = -b - 2.5 * u, -b - 4.5 * u, -b - 6.5 * u
    depth = -d.half_depth_mm
    s.across((0, depth), (d.cross_screws_x_mm[1], depth), y1)
    s.across((0, depth), (-d.long_x_mm, -d.long_screws_y_mm[1]), y1)
    s.across((0, depth), (d.half_width_mm, depth), y2, "foot below")
    s.across((0, depth), (-d.end_screw_x_mm, depth), y2, "screw")
    s.across((-a, -b + d.plate_corner_mm), (a, -b + d.plate_corner_mm), y3)
    s.across((0, d.spot_y_mm), (d.spot_x_mm, d.spot_y_mm), b + 2 * u, "mark")
    s.across((0, h), (-w, h), b + 2 * u, "non-slip area")
    x1, x2, x3 = -a - 2 * u, -a - 4 * u, -a - 6 * u
    s.up((-w, 0), (-w, d.heel_line_mm), x1, "heel line")
    s.up((-d.half_width_mm, 0), (-d.half_width_mm, d.half_depth_mm), x1, "feet, screws")
    s.up((-d.long_x_mm, 0), (-d.long_x_mm, -d.long_screws_y_mm[1]), x2, "screw")
    s.up((-w, 0), (-w, h), x2, "non-slip area")
    s.up((-a + d.plate_corner_mm, -b), (-a + d.plate_corner_mm, b), x3)
    s.up((d.spot_x_mm, 0), (d.spot_x_mm, d.spot_y_mm), a + 2.6 * u, "mark")
    corner = d.plate_corner_mm * (1 - math.sqrt(0.5))
    s.pointer((a - corner, b - corner), (a + 2 * u, b + 1.5 * u), text=f"R{d.plate_corner_mm:g}")
    screw = f"{len(plate_screws(d))} × Ø{d.screw_mm + 0.6:g}, countersunk flush"
    s.pointer(
        (d.cross_screws_x_mm[1] + 2.5, d.half_depth_mm + 3),
        (d.cross_screws_x_mm[1] + 40, b + 4.6 * u),
        text=screw,
        size=0.9,
    )
    # Section of the edge, beside the plate.
    left, bottom = a + 6 * u, -b + 20
    t, r = d.plate_thickness_mm, d.edge_radius_mm
    s.path(
        "EDGE",
        [
            (left, bottom, 0),
            (left + 60 - r, bottom, QUARTER),
            (left + 60, bottom + r, 0),
            (left + 60, bottom + t - r, QUARTER),
            (left + 60 - r, bottom + t, 0),
            (left, bottom + t, 0),
        ],
    )
    s.up((left, bottom), (left, bottom + t), left - 1.2 * u)
    inward = r * (1 - math.sqrt(0.5))
    s.pointer(
        (left + 60 - inward, bottom + t - inward),
        (left + 72, bottom + t + 2.2 * u),
        text=f"R{r:g}",
    )
    s.text(left, bottom - 1.8 * u, "edge, above and", size=0.85)
    s.text(left, bottom - 3.0 * u, "below, all round", size=0.85)
    s.finish(
        _NOTE + " Face grain along y. Red crosses: the feet underneath. Blue: painted marks;"
        " blue circles: places for calibration masses."
    )
    return s


def tubes(d: BoardDesign) -> Sheet:
    """Cross tube (both walls), long tube and the small steel parts of one corner."""
    s = Sheet("steel", "Steel parts, flat", 6.5)
    u = s.unit
    c, w = d.cross_half_length_mm, d.tube.width_mm
    inner, outer = d.cell_bolts_x_mm
    screw = d.screw_mm + 0.6
    bolt = d.cell.thread_mm + 0.8
    bottom_y: float = 0.0
    top_y = w + 15 * u

    for base, title in (
        (top_y, "cross tube (2 pieces), upper wall, seen from above"),
        (bottom_y, "cross tube, lower wall, seen from above through the tube"),
    ):
        s.box("STEEL", -c, base - w / 2, c, base + w / 2)
        s.line("CENTRE", (-c - 5, base), (c + 5, base))
        s.line("CENTRE", (0, base - w / 2 - 5), (0, base + w / 2 + 5))
        s.text(-c, base + w / 2 + 1.2 * u, title)
        for x in {sign * x for x in d.cross_screws_x_mm for sign in (-1, 1)}:
            s.circle("HOLES", x, base, screw)
        for sign in (-1, 1):
            if base == top_y:
                s.circle("HOLES", sign * d.end_screw_x_mm, base, screw)
            for x in (d.base_bolt_x_mm, inner, outer):
                s.circle("HOLES", sign * x, base, 16.0 if base == top_y else bolt)
            if base == bottom_y:
                for side in (-1, 1):
                    s.circle("HOLES", sign * d.half_width_mm, base + side * d.stop_screw_y_mm, 4.5)
                s.cross("FEET", sign * d.half_width_mm, base, 6)

    def rows(base: float, right: tuple[float, ...], left: tuple[float, ...]) -> None:
        low = base - w / 2
        for i, x in enumerate(right):
            s.across((0, base), (x, base), low - (2 + 2 * i) * u)
        for i, x in enumerate(left):
            s.across((0, base), (-x, base), low - (2 + 2 * i) * u)

    rows(top_y, (d.base_bolt_x_mm, d.cross_screws_x_mm[1], d.end_screw_x_mm), (inner, outer))
    s.across((-c, top_y - w / 2), (c, top_y - w / 2), top_y - w / 2 - 8 * u)
    rows(bottom_y, (d.half_width_mm,), (inner, outer))
    s.up((c, bottom_y - w / 2), (c, bottom_y + w / 2), c + 5.5 * u)
    s.up(
        (d.half_width_mm, bottom_y),
        (d.half_width_mm, bottom_y + d.stop_screw_y_mm),
        c + 2.5 * u,
    )
    s.pointer(
        (d.base_bolt_x_mm + 4, top_y + 7),
        (d.base_bolt_x_mm + 20, top_y + w / 2 + 1.6 * u),
        text="6 × Ø16, ways for bolt and key; 5 × Ø6.6",
        size=0.9,
    )
    s.pointer(
        (d.base_bolt_x_mm + 2, bottom_y + bolt / 2),
        (d.base_bolt_x_mm + 20, bottom_y + w / 2 + 1.6 * u),
        text=f"6 × Ø{bolt:g}; 3 × Ø6.6; 4 × Ø4.5",
        size=0.9,
    )
    # Long tube.
    n = d.long_half_length_mm
    base = -w - 9 * u
    left = -c
    mid = left + n
    s.box("STEEL", left, base - w / 2, left + 2 * n, base + w / 2)
    for y in {sign * y for y in d.long_screws_y_mm for sign in (-1, 1)}:
        s.circle("HOLES", mid + y, base, screw)
    s.line("CENTRE", (mid, base - w / 2 - 5), (mid, base + w / 2 + 5))
    s.text(left, base + w / 2 + 1.2 * u, "long tube (2 pieces), both walls")
    s.across((mid, base), (mid + d.long_screws_y_mm[1], base), base - w / 2 - 2 * u)
    s.across((left, base - w / 2), (left + 2 * n, base - w / 2), base - w / 2 - 4 * u)
    # Section of the tube.
    x, t = left + 2 * n + 10 * u, d.tube
    s.box("STEEL", x, base - t.height_mm / 2, x + w, base + t.height_mm / 2)
    s.box(
        "HOLES",
        x + t.wall_mm,
        base - t.height_mm / 2 + t.wall_mm,
        x + w - t.wall_mm,
        base + t.height_mm / 2 - t.wall_mm,
    )
    s.across((x, base - t.height_mm / 2), (x + w, base - t.height_mm / 2), base - 30)
    s.up((x + w, base - t.height_mm / 2), (x + w, base + t.height_mm / 2), x + w + 2 * u)
    s.text(x, base + t.height_mm / 2 + 1.2 * u, f"section, wall {t.wall_mm:g}")
    # Small parts.
    base = -w - 9 * u - w / 2 - 18 * u
    first, pitch = d.cell.end_hole_mm, d.cell.hole_pitch_mm
    x = left
    parts: list[tuple[str, str, float, float, list[tuple[float, float]], float]] = [
        (
            "spacer (4)",
            f"{d.spacer_thickness_mm:g} thick",
            d.spacer_length_mm,
            w,
            [(first, 0), (first + pitch, 0)],
            bolt,
        ),
        (
            "backing plate (4)",
            f"{d.backing_thickness_mm:g} thick",
            d.backing_length_mm,
            w - 2 * t.wall_mm - 4,
            [(first, 0), (first + pitch, 0)],
            bolt,
        ),
        (
            "stop pad (4)",
            f"{d.stop_thickness_mm:g} thick",
            d.stop_length_mm,
            w,
            [(d.stop_length_mm / 2, v * d.stop_screw_y_mm) for v in (-1, 1)],
            4.5,
        ),
        (
            "shim (as needed)",
            "0.05 to 0.5 thick",
            d.stop_length_mm,
            w,
            [(d.stop_length_mm / 2, v * d.stop_screw_y_mm) for v in (-1, 1)],
            4.5,
        ),
    ]
    for name, thick, length, deep, holes, diameter in parts:
        s.box("STEEL", x, base - deep / 2, x + length, base + deep / 2)
        for hx, hy in holes:
            s.circle("HOLES", x + hx, base + hy, diameter)
        s.text(x, base + w / 2 + 2.6 * u, name)
        s.text(x, base + w / 2 + 1.2 * u, thick, size=0.9)
        s.across((x, base - deep / 2), (x + length, base - deep / 2), base - w / 2 - 2 * u)
        s.up((x + length, base - deep / 2), (x + length, base + deep / 2), x + length + 2 * u)
        if diameter != bolt:
            s.text(
                x, base + w / 2 - 12.2 * u, f"2 × Ø4.5, {2 * d.stop_screw_y_mm:g} apart", size=0.9
            )
        else:
            s.across((x, base), (x + first, base), base - w / 2 - 4 * u)
            s.across((x + first, base), (x + first + pitch, base), base - w / 2 - 6 * u)
        x += length + 11.5 * u
    s.finish(
        _NOTE + " Red crosses: the feet. Drill the holes of spacer, backing plate and lower wall"
        " to your own cells."
    )
    return s


def corner(d: BoardDesign) -> Sheet:
    """Section through a corner along its cell, and the stop enlarged."""
    s = Sheet("corner", "Corner, section along a cell (front right, seen from the front edge)", 4.2)
    u = s.unit
    z_base = d.base_pad_height_mm + d.base_thickness_mm
    z_cell = z_base + d.foot_height_mm
    z_top = z_cell + d.cell.height_mm
    z_tube = z_top + d.spacer_thickness_mm
    z_wood = z_tube + d.tube.height_mm
    z_up = z_wood + d.plate_thickness_mm
    left, edge = 25.0, d.plate_width_mm / 2
    base_edge = d.base_width_mm / 2
    foot = d.half_width_mm
    inner, outer = d.cell_bolts_x_mm
    cell_l, cell_r = d.cell_inner_mm, d.cell_inner_mm + d.cell.length_mm
    wall = d.tube.wall_mm

    s.line("GROUND", (left, 0), (base_edge + 12, 0))
    for i in range(int((base_edge + 12 - left) / 8)):
        s.line("GROUND", (left + 8 * i, -4), (left + 8 * i + 4, 0))
    pad_l, pad_r = d.base_pad_x_mm - d.base_pad_mm / 2, d.base_pad_x_mm + d.base_pad_mm / 2
    s.box("RUBBER", pad_l, 0, pad_r, d.base_pad_rubber_mm)
    s.box("WOOD", pad_l, d.base_pad_rubber_mm, pad_r, d.base_pad_height_mm)
    s.box("WOOD", left, d.base_pad_height_mm, base_edge, z_base)
    cup, side = d.base_cup_mm / 2, d.base_cup_side_mm / 2
    for sign in (-1, 1):
        ends = sorted((foot + sign * cup, foot + sign * side))
        s.box("WOOD", ends[0], z_base, ends[1], z_base + d.base_cup_thickness_mm)
    # Foot: rubber, disc, ball, stud, lock nut.
    r = d.foot_diameter_mm / 2
    s.box("RUBBER", foot - r, z_base, foot + r, z_base + 4)
    s.polygon(
        "STEEL",
        [
            (foot - r, z_base + 4),
            (foot + r, z_base + 4),
            (foot + r - 4, z_base + 9),
            (foot + 8, z_base + 13),
            (foot - 8, z_base + 13),
            (foot - r + 4, z_base + 9),
        ],
    )
    s.circle("BOLT", foot, z_base + 11, 12)
    s.box("BOLT", foot - 4, z_base + 14, foot + 4, z_top - 2)
    s.box("BOLT", foot - 6.5, z_cell - 5, foot + 6.5, z_cell)
    # Cell with its pierced middle.
    s.box("CELL", cell_l, z_cell, cell_r, z_top)
    s.slot("HOLES", (inner + foot + d.cell.hole_pitch_mm) / 2 - 4, z_cell + 11, 38, 12)
    s.box("BOLT", foot - 4, z_cell, foot + 4, z_top - 2)
    # Spacer, tube, backing plate, bolts.
    s.box("STEEL", cell_l, z_top, cell_l + d.spacer_length_mm, z_tube)
    c = d.cross_half_length_mm
    s.box("HOLLOW", left, z_tube, c, z_wood)
    s.box("STEEL", left, z_tube, c, z_tube + wall)
    s.box("STEEL", left, z_wood - wall, c, z_wood)
    back = cell_l
    s.box(
        "STEEL",
        back,
        z_tube + wall,
        back + d.backing_length_mm,
        z_tube + wall + d.backing_thickness_mm,
    )
    z_head = z_tube + wall + d.backing_thickness_mm
    for x in (inner, outer):
        s.box("BOLT", x - 4, z_cell + 4, x + 4, z_head)
        s.box("BOLT", x - 6.5, z_head, x + 6.5, z_head + 8)
        s.box("HOLES", x - 8, z_wood - wall, x + 8, z_wood)
    # Stop pad and shim.
    half = d.stop_length_mm / 2
    pad = d.stop_thickness_mm
    s.box("STEEL", foot - half, z_tube - d.shim_mm - pad, foot + half, z_tube - d.shim_mm)
    s.box("BOLT", foot - half, z_tube - d.shim_mm, foot + half, z_tube)
    # Plate and its non-slip top; end screw.
    er = d.edge_radius_mm
    s.path(
        "WOOD",
        [
            (left, z_wood, 0),
            (edge - er, z_wood, QUARTER),
            (edge, z_wood + er, 0),
            (edge, z_up - er, QUARTER),
            (edge - er, z_up, 0),
            (left, z_up, 0),
        ],
    )
    x = d.end_screw_x_mm
    s.box("BOLT", x - 3, z_wood - wall - 9, x + 3, z_up - 4)
    s.polygon("BOLT", [(x - 3, z_up - 4), (x + 3, z_up - 4), (x + 6, z_up), (x - 6, z_up)])
    s.box("BOLT", x - 5, z_wood - wall - 6, x + 5, z_wood - wall)
    # Retaining bolt with its play.
    x = d.base_bolt_x_mm
    s.box("HOLES", x - d.base_bolt_hole_mm / 2, d.base_pad_height_mm, x + 7, z_base)
    end = d.base_pad_height_mm - d.base_play_mm
    s.box("BOLT", x - 4, end - 10, x + 4, z_tube + wall)
    s.box("BOLT", x - 6.5, z_tube + wall, x + 6.5, z_tube + wall + 5.5)
    s.box("BOLT", x - 6.5, z_tube - 6.5, x + 6.5, z_tube)
    s.box("BOLT", x - 12, end - 2, x + 12, end)
    s.box("BOLT", x - 6.5, end - 10, x + 6.5, end - 2)
    s.line("CENTRE", (foot, -8), (foot, z_up + 6))
    # Dimensions: heights at the right, lengths above.
    x1 = base_edge + 4 * u
    s.up((base_edge, d.base_pad_height_mm), (base_edge, z_base), x1)
    s.up((foot + r, z_base), (cell_r, z_cell), x1)
    s.up((cell_r, z_cell), (cell_r, z_top), x1)
    s.up((c, z_tube), (c, z_wood), x1)
    s.up((edge, z_wood), (edge, z_up), x1)
    s.up((base_edge, 0), (edge - er, z_up), x1 + 3.5 * u)
    s.up((d.base_pad_x_mm + 25, 0), (base_edge, d.base_pad_height_mm), x1)
    y1 = z_up + 3.2 * u
    s.across((inner, z_up), (outer, z_up), y1 + 2.2 * u)
    s.across((outer, z_up), (foot, z_up), y1 + 2.2 * u)
    s.across((foot, z_up), (edge, z_up), y1 + 2.2 * u)
    s.across((cell_l, z_up), (cell_r, z_up), y1, "cell")
    # Names, at the left.
    names = [
        ((60.0, z_up - 6), 20, "plate, birch plywood"),
        ((60.0, z_wood - 1), 8, "cross tube"),
        ((inner - 8, z_tube + wall + 4), -4, "backing plate, slid in from the end"),
        ((cell_l, z_top + 2.5), -12, "spacer"),
        ((cell_l + 4, z_top - 8), -20, "load cell"),
        ((29.0, d.base_pad_height_mm + 9), -6, "base plate"),
        ((d.base_bolt_x_mm - 12, end - 1), -16, f"retaining bolt, play {d.base_play_mm:g}"),
    ]
    for (px, pz), dz, text in names:
        s.pointer((px, pz), (8, pz + dz * 0.35), text=text, size=0.9)
    # The stop, five times as large.
    k, ox, oz = 5.0, -20.0, -128.0

    def big(px: float, pz: float) -> tuple[float, float]:
        return (ox + k * (px - foot + 25), oz + k * (pz - z_top + 8))

    def big_box(layer: str, x0: float, z0: float, x1: float, z1: float) -> None:
        (l0, b0), (r0, t0) = big(x0, z0), big(x1, z1)
        s.box(layer, l0, b0, r0, t0)

    low = z_top - 7
    right = foot + d.cell.end_hole_mm
    big_box("CELL", foot - 22, low, right, z_top)
    big_box("BOLT", foot - 4, low, foot + 4, z_top - 2)
    big_box("STEEL", foot - half, z_tube - d.shim_mm - pad, foot + half, z_tube - d.shim_mm)
    big_box("BOLT", foot - half, z_tube - d.shim_mm, foot + half, z_tube)
    big_box("STEEL", foot - 22, z_tube, c, z_tube + wall)
    px, pz = big(right, z_top)
    label_x = big(c, 0)[0] + 12
    gx, gz = big(foot + half, z_tube - d.shim_mm - pad)
    s.pointer(
        (big(foot + 11, z_top + d.stop_gap_mm / 2)),
        (label_x, pz - 10),
        text=f"gap {d.stop_gap_mm:g}: set by measuring (guide, step 7)",
    )
    s.pointer((gx, gz + k * pad / 2), (label_x, gz + k * pad / 2), text=f"stop pad, {pad:g} thick")
    s.pointer(
        (gx, big(0, z_tube - d.shim_mm / 2)[1]),
        (label_x, big(0, z_tube)[1] + 3),
        text=f"shims, {d.shim_mm:g} as drawn",
    )
    s.pointer(
        (big(c, z_tube + wall / 2)),
        (label_x, big(0, z_tube + wall)[1] + 4),
        text="lower wall of the cross tube",
    )
    s.pointer((px, pz - 20), (label_x, pz - 24), text="free end of the cell")
    s.pointer(
        big(foot - 2, z_top - 5),
        (big(foot - 2, 0)[0], big(0, low)[1] - 9),
        (big(foot - 2, 0)[0] + 8, big(0, low)[1] - 9),
        text="foot's stud ends 2 below the top",
    )
    tx, tz = big(foot - 22, z_tube + wall)
    s.text(tx, tz + 1.5 * u, "The stop, 5 : 1", size=1.1)
    s.finish(_NOTE + " Section 1 : 1; the stop pad's screws are not drawn.")
    return s


def base(d: BoardDesign) -> Sheet:
    """The base plate from above."""
    s = Sheet("base", "Base plate, seen from above", 8.5)
    a, b, u = d.base_width_mm / 2, d.base_depth_mm / 2, 8.5
    s.rounded("OUTLINE", -a, -b, a, b, d.base_corner_mm)
    s.line("CENTRE", (0, -b - 6), (0, b + 6))
    s.line("CENTRE", (-a - 6, 0), (a + 6, 0))
    half = d.base_cup_side_mm / 2
    for sx, sy in d.corners:
        x, y = sx * d.half_width_mm, sy * d.half_depth_mm
        # The square of a cup is cut off where the base ends.
        box_x = sorted((x - sx * half, sx * min(abs(x) + half, a - 5)))
        box_y = sorted((y - sy * half, sy * min(abs(y) + half, b - 5)))
        s.box("PART", box_x[0], box_y[0], box_x[1], box_y[1])
        s.circle("HOLES", x, y, d.base_cup_mm)
        s.cross("FEET", x, y, 7)
        s.circle("HIDDEN", sx * d.base_pad_x_mm, sy * d.base_pad_y_mm, d.base_pad_mm)
        s.circle("HOLES", sx * d.base_bolt_x_mm, y, d.base_bolt_hole_mm)
        s.slot(
            "HOLES",
            sx * d.base_slot_x_mm,
            sy * d.base_slot_y_mm,
            d.base_slot_length_mm,
            d.base_slot_width_mm,
        )
    y1, y2, y3 = -b - 2.2 * u, -b - 4.2 * u, -b - 6.2 * u
    low = -d.half_depth_mm
    s.across((0, low), (d.base_bolt_x_mm, low), y1, "")
    s.across((0, low), (-d.base_slot_x_mm, -d.base_slot_y_mm), y1, "slot")
    s.across((0, low), (d.half_width_mm, low), y2, "cup")
    s.across((0, low), (-d.base_pad_x_mm, -d.base_pad_y_mm), y2, "pad")
    s.across((-a, -b + d.base_corner_mm), (a, -b + d.base_corner_mm), y3)
    x1, x2, x3 = -a - 2 * u, -a - 4 * u, -a - 6 * u
    s.up((-d.half_width_mm, 0), (-d.half_width_mm, d.half_depth_mm), x1, "cup, bolt")
    s.up((-d.base_slot_x_mm, 0), (-d.base_slot_x_mm, -d.base_slot_y_mm), x1, "slot")
    s.up((-d.base_pad_x_mm, 0), (-d.base_pad_x_mm, d.base_pad_y_mm), x2, "pad")
    s.up((-a + d.base_corner_mm, -b), (-a + d.base_corner_mm, b), x3)
    s.pointer(
        (d.base_bolt_x_mm + 5, low + 5),
        (d.base_bolt_x_mm + 25, low + 45),
        text=f"4 × Ø{d.base_bolt_hole_mm:g}",
    )
    s.pointer(
        (d.half_width_mm - 18, d.half_depth_mm - 14),
        (d.half_width_mm - 60, d.half_depth_mm - 60),
        text=f"cup Ø{d.base_cup_mm:g}, {d.base_cup_thickness_mm:g} mm plywood",
    )
    s.pointer(
        (d.base_slot_x_mm, d.base_slot_y_mm + 4),
        (d.base_slot_x_mm + 20, b + 2.5 * u),
        text=f"4 slots {d.base_slot_length_mm:g} × {d.base_slot_width_mm:g} for straps",
    )
    corner_at = d.base_corner_mm * (1 - math.sqrt(0.5))
    s.pointer((-a + corner_at, b - corner_at), (-a - 8, b + 14), text=f"R{d.base_corner_mm:g}")
    s.text(0, b + 1.4 * u, "FRONT", size=1.1, anchor="middle")
    s.finish(_NOTE + " Dashed: pads underneath. Red crosses: the feet of the upper plate.")
    return s


def mountings(d: BoardDesign) -> Sheet:
    """Spacer ring for round ground, and saddle for a barrel."""
    s = Sheet("mountings", "Spacer ring (dome crown, air disc) and barrel saddle", 8.0)
    u, r = 8.0, d.ring_outer_mm / 2
    s.circle("WOOD", 0, 0, d.ring_outer_mm)
    s.circle("HOLES", 0, 0, d.ring_inner_mm)
    screws_x, screws_y = d.base_slot_x_mm, 90.0
    for sx, sy in d.corners:
        s.circle("HOLES", sx * screws_x, sy * screws_y, 6.6)
        s.circle("HOLES", sx * d.base_bolt_x_mm, sy * d.half_depth_mm, 30)
    s.line("CENTRE", (-r - 8, 0), (r + 8, 0))
    s.line("CENTRE", (0, -r - 8), (0, r + 8))
    bolt_y = d.half_depth_mm
    s.up((-d.base_bolt_x_mm, 0), (-d.base_bolt_x_mm, -bolt_y), -r - 2 * u, "nuts")
    s.across((0, bolt_y), (-d.base_bolt_x_mm, bolt_y), r + 2 * u, "nuts")
    s.pointer(
        (-d.base_bolt_x_mm - 11, bolt_y + 11),
        (-d.base_bolt_x_mm - 70, r + 4),
        text="4 × Ø30, room for nuts",
    )
    s.across((-r, 0), (r, 0), -r - 4.5 * u)
    s.across((-d.ring_inner_mm / 2, 0), (d.ring_inner_mm / 2, 0), -r - 2.3 * u)
    s.across((0, screws_y), (screws_x, screws_y), r + 2 * u, "screw")
    s.up((-screws_x, 0), (-screws_x, screws_y), -r - 2 * u, "screw")
    s.text(0, r + 4.5 * u, f"spacer ring, plywood {d.ring_thickness_mm:g}", anchor="middle")
    # Saddle, seen along the barrel.
    half, radius = d.saddle_width_mm / 2, d.barrel_radius_mm
    sag = radius - math.sqrt(radius**2 - half**2)
    x, y = r + 40 + half, -40.0
    least = d.saddle_least_height_mm
    turn = math.asin(half / radius) * 2
    s.path(
        "WOOD",
        [
            (x - half, y, -math.tan(turn / 4)),
            (x + half, y, 0),
            (x + half, y + sag + least, 0),
            (x - half, y + sag + least, 0),
        ],
    )
    s.across((x - half, y), (x + half, y), y - 2.5 * u)
    s.up((x + half, y), (x + half, y + sag + least), x + half + 2 * u)
    s.line("CENTRE", (x, y - 12), (x, y + sag + least + 12))
    s.up((x, y + sag), (x, y + sag + least), x - half - 2 * u)
    s.pointer(
        (x + 60, y + radius * (math.cos(math.asin(60 / radius)) - 1) + sag),
        (x + 75, y - 6 * u),
        text=f"R{radius:g}: your barrel's, padding pressed",
    )
    s.text(x, y + sag + least + 5 * u, "barrel saddle (2), seen along the barrel", anchor="middle")
    s.text(
        x,
        y + sag + least + 3.4 * u,
        f"{d.saddle_thickness_mm:g} thick, {2 * d.saddle_y_mm:g} apart, middle to middle",
        size=0.9,
        anchor="middle",
    )
    s.finish(_NOTE + " Both are screwed to the underside of the base plate, from above.")
    return s


def underside(d: BoardDesign) -> Sheet:
    """The upper plate from below: where everything sits."""
    s = Sheet(
        "underside",
        "Upper plate, seen from BELOW (front at the top, so left and right are swapped)",
        8.5,
        dxf=False,
    )
    a, b = d.plate_width_mm / 2, d.plate_depth_mm / 2
    s.rounded("WOOD", -a, -b, a, b, d.plate_corner_mm)
    w, c, n = d.tube.width_mm / 2, d.cross_half_length_mm, d.long_half_length_mm
    for sign in (-1, 1):
        y = sign * d.half_depth_mm
        s.box("STEEL", -c, y - w, c, y + w)
        x = sign * d.long_x_mm
        s.box("STEEL", x - w, -n, x + w, n)
    names = {(-1, 1): "front right", (1, 1): "front left", (-1, -1): "rear right"}
    half = d.cell.width_mm / 2
    inner, outer = d.cell_bolts_x_mm
    for sx, sy in d.corners:
        y = sy * d.half_depth_mm
        ends = sorted((sx * d.cell_inner_mm, sx * (d.cell_inner_mm + d.cell.length_mm)))
        s.box("CELL", ends[0], y - half, ends[1], y + half)
        for bolt in (inner, outer):
            s.circle("BOLT", sx * bolt, y, 8)
        s.circle("RUBBER", sx * d.half_width_mm, y, d.foot_diameter_mm)
        s.circle("BOLT", sx * d.base_bolt_x_mm, y, 13)
        name = names.get((sx, sy), "rear left")
        s.text(sx * 172, y - sy * (w + 8) - 3, f"cell {name}", size=0.85, anchor="middle")
        # Its cable runs along the cross tube to the box.
        start = (sx * d.cell_inner_mm, y)
        s.line(
            "ORANGE",
            start,
            (sx * (d.cell_inner_mm - 12), y - sy * (w + 5)),
            (sx * 40, y - sy * (w + 5)),
            (sx * 40, -20 + sy * 25),
        )
    s.rounded("PART", -48, -52, 48, 12, 5)
    s.text(0, -12, "electronics", anchor="middle")
    s.text(0, -24, "box", anchor="middle")
    s.line("BLACK", (0, -52), (0, -b - 22))
    s.circle("BOLT", 0, -100, 9)
    s.text(-8, -104, "clamp", size=0.8, anchor="end")
    s.pointer((0, -b - 14), (30, -b - 14), text="USB cable (the clamp is its strain relief)")
    s.pointer((d.long_x_mm + w - 4, 60), (a + 16, 60), text="long tube")
    s.pointer((60, d.half_depth_mm + w - 4), (a + 16, b + 18), text="cross tube")
    s.pointer(
        (d.half_width_mm + 14, d.half_depth_mm - 14), (a + 16, d.half_depth_mm - 50), text="foot"
    )
    s.pointer((-d.base_bolt_x_mm - 2, d.half_depth_mm + 6), (-70, b + 14), text="retaining bolt")
    s.pointer((d.cell_inner_mm - 40, -d.half_depth_mm + w + 5), (a + 16, -110), text="cell's cable")
    s.text(0, b + 12, "FRONT", size=1.1, anchor="middle")
    s.finish("Picture for assembly; sizes stand on the other sheets.", scale_bar=False)
    return s


def steps(d: BoardDesign) -> Sheet:
    """One corner taken apart, in the order of assembly."""
    s = Sheet("steps", "One corner taken apart: numbers are the guide's steps", 6.0, dxf=False)
    foot, edge = d.half_width_mm, d.plate_width_mm / 2
    inner, outer = d.cell_bolts_x_mm
    left = 40.0
    z = 0.0

    def label(height: float, step: str, text: str) -> None:
        s.circle("PART", edge + 42, height, 15)
        s.text(edge + 42, height - 2, step, anchor="middle", size=0.9)
        s.text(edge + 54, height - 2.2, text)

    pad_l, pad_r = d.base_pad_x_mm - d.base_pad_mm / 2, d.base_pad_x_mm + d.base_pad_mm / 2
    s.box("RUBBER", pad_l, z, pad_r, z + d.base_pad_rubber_mm)
    s.box("WOOD", pad_l, z + d.base_pad_rubber_mm, pad_r, z + d.base_pad_height_mm)
    s.box("WOOD", left, z + 15, d.base_width_mm / 2, z + 33)
    for sign in (-1, 1):
        ends = sorted((foot + sign * 23, foot + sign * 40))
        s.box("WOOD", ends[0], z + 33, ends[1], z + 39)
    label(z + 24, "9", "base plate with cup and pad")
    z += 70
    s.box("RUBBER", foot - 20, z, foot + 20, z + 4)
    s.polygon(
        "STEEL",
        [
            (foot - 20, z + 4),
            (foot + 20, z + 4),
            (foot + 8, z + 13),
            (foot - 8, z + 13),
        ],
    )
    s.box("BOLT", foot - 4, z + 13, foot + 4, z + 44)
    s.box("BOLT", foot - 6.5, z + 22, foot + 6.5, z + 28)
    label(z + 14, "6", "levelling foot with lock nut")
    z += 66
    s.box("CELL", d.cell_inner_mm, z, d.cell_inner_mm + d.cell.length_mm, z + d.cell.height_mm)
    s.slot("HOLES", (inner + foot + d.cell.hole_pitch_mm) / 2 - 4, z + 11, 38, 12)
    for x in (inner, outer, foot):
        s.box("HOLES", x - 4, z, x + 4, z + d.cell.height_mm)
    label(z + 11, "4", "load cell, its arrow as its sheet says")
    z += 40
    s.box("STEEL", d.cell_inner_mm, z, d.cell_inner_mm + d.spacer_length_mm, z + 5)
    for x in (inner, outer):
        s.box("HOLES", x - 4.4, z, x + 4.4, z + 5)
    s.box("STEEL", foot - 15, z, foot + 15, z + 4)
    s.box("BOLT", foot - 15, z + 9, foot + 15, z + 10)
    label(z + 5, "4, 7", "spacer; stop pad and shims")
    z += 32
    s.box("STEEL", left, z, d.cross_half_length_mm, z + 3)
    s.box("STEEL", left, z + 27, d.cross_half_length_mm, z + 30)
    for x in (inner, outer):
        s.box("HOLES", x - 4.4, z, x + 4.4, z + 3)
        s.box("HOLES", x - 8, z + 27, x + 8, z + 30)
    s.box("STEEL", d.cell_inner_mm, z + 10, d.cell_inner_mm + 60, z + 18)
    for x in (inner, outer):
        s.box("HOLES", x - 4.4, z + 10, x + 4.4, z + 18)
    label(z + 14, "3, 4", "cross tube, backing plate inside")
    z += 56
    for x in (inner, outer):
        s.box("BOLT", x - 4, z, x + 4, z + 34)
        s.box("BOLT", x - 6.5, z + 34, x + 6.5, z + 42)
    label(z + 22, "4", "two bolts, through the holes in the upper wall")
    z += 66
    er = d.edge_radius_mm
    t = d.plate_thickness_mm
    s.path(
        "WOOD",
        [
            (left, z, 0),
            (edge - er, z, QUARTER),
            (edge, z + er, 0),
            (edge, z + t - er, QUARTER),
            (edge - er, z + t, 0),
            (left, z + t, 0),
        ],
    )
    x = d.end_screw_x_mm
    s.box("HOLES", x - 3.3, z, x + 3.3, z + t)
    label(z + t / 2, "2, 5", "plate with marks and non-slip top")
    z += 44
    s.box("BOLT", x - 3, z, x + 3, z + 40)
    s.polygon("BOLT", [(x - 3, z + 36), (x + 3, z + 36), (x + 6, z + 40), (x - 6, z + 40)])
    label(z + 22, "5", "countersunk screws, nuts below")
    s.line("CENTRE", (foot, -8), (foot, z - 8))
    for x in (inner, outer):
        s.line("CENTRE", (x, 130), (x, z - 90))
    s.finish("Picture for assembly, front right corner seen from the front edge.", scale_bar=False)
    return s


def _board_picture(s: Sheet, x: float, y: float, *, base_plate: bool = True) -> float:
    """A small side view of the whole board, its lower face at y; its top."""
    if base_plate:
        s.box("WOOD", x - 54, y, x + 54, y + 3.6)
    for sign in (-1, 1):
        s.box("RUBBER", x + sign * 44 - 4, y + 3.6, x + sign * 44 + 4, y + 8.6)
        ends = sorted((x + sign * 21, x + sign * 47))
        s.box("CELL", ends[0], y + 8.6, ends[1], y + 13)
        ends = sorted((x + sign * 21, x + sign * 32))
        s.box("STEEL", ends[0], y + 13, ends[1], y + 14)
    s.box("STEEL", x - 48, y + 14, x + 48, y + 20)
    s.rounded("WOOD", x - 50, y + 20, x + 50, y + 24.2, 1)
    return y + 24.2


def grounds(d: BoardDesign) -> Sheet:
    """What the board can stand on."""
    s = Sheet("grounds", "What the board can stand on", 5.0, dxf=False)
    gap_x, gap_y = 190.0, 120.0
    titles = [
        "1  floor, or a firm thin mat",
        "2  dome, flat side up",
        "3  dome, round side up",
        "4  air disc",
        "5  barrel (saddles)",
    ]
    notes = [
        "base plate on its four pads",
        "spacer ring, strapped round the dome",
        "spacer ring round the crown, straps",
        "spacer ring, the disc's crown in its hole",
        "two saddles, two ratchet straps",
    ]
    for i, (title, note) in enumerate(zip(titles, notes, strict=True)):
        x, y = (i % 3) * gap_x, -(i // 3) * gap_y
        s.line("GROUND", (x - 80, y), (x + 80, y))
        s.text(x - 80, y - 8, title, size=1.1)
        s.text(x - 80, y - 15, note, size=0.95)
        if i == 0:
            for sign in (-1, 1):
                s.box("RUBBER", x + sign * 47 - 5, y, x + sign * 47 + 5, y + 3)
            _board_picture(s, x, y + 3)
        elif i == 1:
            s.path("GROUND", [(x - 60, y + 37.2, 0.62), (x + 60, y + 37.2, 0)])
            s.box("PART", x - 60, y + 37.2, x + 60, y + 42)
            s.box("WOOD", x - 40, y + 42, x + 40, y + 45.6)
            _board_picture(s, x, y + 45.6)
            for sign in (-1, 1):
                s.line(
                    "ORANGE",
                    (x + sign * 50, y + 49),
                    (x + sign * 62, y + 40),
                    (x + sign * 50, y + 24),
                )
        elif i == 2:
            s.path("GROUND", [(x + 60, y + 5, 0.62), (x - 60, y + 5, 0)])
            s.box("PART", x - 60, y, x + 60, y + 5)
            for sign in (-1, 1):
                ends = sorted((x + sign * 26, x + sign * 40))
                s.box("WOOD", ends[0], y + 38.6, ends[1], y + 42.2)
            _board_picture(s, x, y + 42.2)
            for sign in (-1, 1):
                s.line("ORANGE", (x + sign * 52, y + 43), (x + sign * 62, y + 4))
        elif i == 3:
            s.slot("GROUND", x, y + 6, 72, 12)
            s.path("GROUND", [(x + 24, y + 12, 0.12), (x - 24, y + 12, 0)])
            for sign in (-1, 1):
                ends = sorted((x + sign * 26, x + sign * 40))
                s.box("WOOD", ends[0], y + 12, ends[1], y + 15.6)
            _board_picture(s, x, y + 15.6)
        else:
            radius = 66 / math.sin(1.0)
            sag, low = radius * (1 - math.cos(1.0)), radius - math.sqrt(radius**2 - 30**2)
            s.path("GROUND", [(x + 66, y, math.tan(2.0 / 4)), (x - 66, y, 0)])
            bulge = math.tan(math.asin(30 / radius) / 2)
            s.path(
                "WOOD",
                [
                    (x - 30, y + sag - low, -bulge),
                    (x + 30, y + sag - low, 0),
                    (x + 30, y + sag + 6, 0),
                    (x - 30, y + sag + 6, 0),
                ],
            )
            _board_picture(s, x, y + sag + 6)
            for sign in (-1, 1):
                s.line("ORANGE", (x + sign * 50, y + sag + 6), (x + sign * 64, y + 2))
    x, y = 2 * gap_x - 80, -gap_y + 62
    cautions = [
        "Before anybody steps on:",
        "- mats round it, two metres clear all round",
        "- a spotter beside it for 2 to 5, for juniors,",
        "  for closed eyes; a hand-hold within reach",
        "- bare feet or vaulting shoes",
        f"- at most {d.standing_limit_kg:g} kg, one person",
        "- no landings on 2 to 5",
        "- stop on pain, dizziness or tiredness",
        "- coach, club's and federation's rules decide",
    ]
    for i, text in enumerate(cautions):
        s.text(x, y - 8 * i, text, size=1.05 if i == 0 else 0.95)
    s.finish("Pictures, not to scale. Orange: straps. See the guide, Mounting.", scale_bar=False)
    return s


def wiring(_: BoardDesign) -> Sheet:
    """The wiring as a picture."""
    s = Sheet("wiring", "Wiring: one serial clock line for all four converters", 4.0, dxf=False)
    corners = ("front left", "front right", "rear left", "rear right")
    row = 44.0
    for i, name in enumerate(corners):
        y = -row * i
        s.rounded("CELL", 0, y - 14, 44, y + 14, 3)
        s.text(22, y + 3, "load cell", anchor="middle")
        s.text(22, y - 5, name, anchor="middle", size=0.9)
        s.rounded("PART", 84, y - 16, 146, y + 16, 3)
        s.text(115, y + 1, f"converter {i + 1}", anchor="middle")
        s.text(115, y - 6, "24 bit, channel A", anchor="middle", size=0.8)
        wires = (("RED", "E+"), ("BLACK", "E−"), ("GREEN", "A+"), ("GREY", "A−"))
        for j, (colour, pin) in enumerate(wires):
            at = y + 10.5 - 7 * j
            s.line(colour, (44, at), (84, at))
            s.text(86, at - 1.4, pin, size=0.8)
        # Right-hand pins: supply, data, clock, ground.
        for j, pin in enumerate(("VCC", "DOUT", "CLK", "GND")):
            s.text(144, y + 9.1 - 7 * j, pin, size=0.8, anchor="end")
        s.line("RED", (146, y + 10.5), (166, y + 10.5))
        s.circle("RED", 166, y + 10.5, 1.6)
        s.line("ORANGE", (146, y - 3.5), (178, y - 3.5))
        s.circle("ORANGE", 178, y - 3.5, 1.6)
        s.line("BLACK", (146, y - 10.5), (172, y - 10.5))
        s.circle("BLACK", 172, y - 10.5, 1.6)
    last = -row * 3
    # One oscillator for all four, an option.
    for i in range(4):
        y = -row * i
        s.line("HIDDEN", (97, y - 16), (97, y - 28))
        s.text(99, y - 14.5, "XI", size=0.8)
    s.rounded("HIDDEN", 84, last - 40, 146, last - 28, 3)
    s.text(115, last - 35.4, "oscillator (option)", size=0.9, anchor="middle")
    # Buses.
    s.line("RED", (166, 26), (166, last + 10.5))
    s.line("BLACK", (172, last - 30), (172, -10.5))
    # The controller.
    left, right, top, low = 236.0, 306.0, 10.5, last - 3.5
    s.rounded("PART", left, low - 12, right, top + 12, 4)
    s.text(271, -94, "ATmega328P", anchor="middle", size=1.15)
    s.text(271, -101, "16 MHz, 5 V", anchor="middle", size=0.9)
    pins = ("PC0", "PC1", "PC2", "PC3")
    for i, pin in enumerate(pins):
        y_pin = 2.0 - 18 * i
        y = -row * i + 3.5
        turn = 200.0 - 6 * i
        s.line("BLUE", (146, y), (turn, y), (turn, y_pin), (left, y_pin))
        s.text(left + 2, y_pin - 1.4, f"{pin}  data {i + 1}", size=0.85)
    y_clock = -76.0
    s.line("ORANGE", (178, -3.5), (178, last - 3.5))
    s.line("ORANGE", (178, y_clock), (left, y_clock))
    s.circle("ORANGE", 178, y_clock, 1.6)
    s.text(left + 2, y_clock - 1.4, "PB1  serial clock", size=0.85)
    s.text(left + 2, -113.4, "VCC, AVCC", size=0.85)
    s.text(left + 2, -127.4, "GND", size=0.85)
    s.line("RED", (left, -112), (216, -112), (216, 26), (166, 26))
    s.line("BLACK", (left, -126), (222, -126), (222, last - 30), (172, last - 30))
    s.circle("RED", 166, 26, 1.6)
    s.circle("BLACK", 222, last - 30, 1.6)
    # Right side: serial, acceleration, power.
    s.rounded("PART", 350, -16, 420, 22, 3)
    s.text(385, 11, "USB serial adapter", anchor="middle", size=0.95)
    s.text(385, 3, "5 V logic", anchor="middle", size=0.85)
    s.line("BLUE", (right, -2), (350, -2))
    s.line("GREEN", (right, -10), (350, -10))
    s.text(right - 2, -3.4, "PD1 TX", size=0.85, anchor="end")
    s.text(right - 2, -11.4, "PD0 RX", size=0.85, anchor="end")
    s.text(352, -3.4, "RX", size=0.85)
    s.text(352, -11.4, "TX", size=0.85)
    s.line("BLACK", (420, 8), (462, 8))
    s.text(423, 11, "USB to the host", size=0.85)
    s.rounded("HIDDEN", 350, -84, 420, -50, 3)
    s.text(385, -62, "acceleration sensor", anchor="middle", size=0.9)
    s.text(385, -70, "optional, on the plate;", anchor="middle", size=0.85)
    s.text(385, -77, "5 V module, level shifters", anchor="middle", size=0.85)
    s.line("BLUE", (right, -66), (350, -66))
    s.line("GREEN", (right, -74), (350, -74))
    s.text(right - 2, -67.4, "PC4 SDA", size=0.85, anchor="end")
    s.text(right - 2, -75.4, "PC5 SCL", size=0.85, anchor="end")
    s.rounded("PART", 350, -136, 420, -100, 3)
    s.text(385, -113, "5 V of the same USB", anchor="middle", size=0.95)
    s.text(385, -121, "fuse 0.5 A, resetting", anchor="middle", size=0.85)
    s.line("RED", (350, -112), (336, -112), (336, 36), (166, 36), (166, 26))
    s.line("BLACK", (350, -126), (330, -126), (330, last - 30), (222, last - 30))
    s.text(338, -109, "+5 V", size=0.85)
    s.text(338, -123, "GND", size=0.85)
    # Notes.
    y = last - 52
    for line in (
        "Rate pin of each converter to its supply (80 samples a second): on many modules a link to"
        " ground must be cut first.",
        "At each converter: 100 nF and 10 µF from VCC to GND. At the controller: 100 nF at VCC and"
        " at AVCC, reset 10 kΩ to VCC, crystal with its two capacitors.",
        "Serial clock: twisted with a ground wire, under 0.5 m. Cells' screens to GND at the"
        " converter only. A cell's wire colours differ: follow its sheet.",
        "Option for landings: one oscillator of the frequency that the converter's sheet names for"
        " 80 samples a second, into the XI pin of all four (lifted from GND).",
        "Colours here: red +5 V or E+, black GND or E−, green and grey the cell's signal, blue"
        " data, orange the serial clock. Dots: joined; crossings without a dot: not joined.",
    ):
        s.text(0, y, line, size=0.95)
        y -= 6.5
    s.finish(
        "Low voltage only: USB or a battery of the same voltage, never a mains part on the board.",
        scale_bar=False,
    )
    return s


SHEETS: Final[tuple[Callable[[BoardDesign], Sheet], ...]] = (
    plate,
    tubes,
    corner,
    base,
    mountings,
    underside,
    steps,
    grounds,
    wiring,
)


def write(folder: Path, design: BoardDesign = STANDARD) -> list[Path]:
    """Write all drawings into a folder; returns their paths."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for make in SHEETS:
        sheet = make(design)
        files = {f"{sheet.name}.svg": sheet.svg()}
        if sheet.dxf:
            files[f"{sheet.name}.dxf"] = sheet.dxf_text()
        for name, text in files.items():
            path = folder / name
            path.write_text(text, encoding="utf-8", newline="\n")
            written.append(path)
    return written


def main() -> None:
    """Write the drawings and say where."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else HERE
    for path in write(folder):
        print(path)


if __name__ == "__main__":
    main()
