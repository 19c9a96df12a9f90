"""The kept drawings are what the script draws, and say what the design says."""

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from swaytrainer.board.calibration import Calibration
from swaytrainer.board.guided import marked_spots
from swaytrainer.simulate.board import BoardMake
from tests.hardware.loading import HARDWARE, script

board_design, draw, drawing = script("board_design"), script("draw"), script("drawing")
DESIGN = board_design.STANDARD
KEPT = HARDWARE / "drawings"
SHEETS = [make(DESIGN) for make in draw.SHEETS]
SVG = "{http://www.w3.org/2000/svg}"
Point = tuple[float, float]


@dataclass
class Drawn:
    """What a file holds, read back: by layer circles (x, y, diameter) and outlines with arcs."""

    circles: dict[str, list[tuple[float, float, float]]] = field(default_factory=dict)
    corners: dict[str, list[list[Point]]] = field(default_factory=dict)
    radii: dict[str, list[float]] = field(default_factory=dict)
    texts: list[str] = field(default_factory=list)


def _pairs(text: str) -> Iterator[tuple[int, str]]:
    lines = text.splitlines()
    assert len(lines) % 2 == 0
    for code, value in zip(lines[::2], lines[1::2], strict=True):
        yield int(code), value


def read_dxf(path: Path) -> Drawn:
    """A reader of its own: group codes of release 12, bulges back to radii."""
    entities: list[tuple[str, dict[int, str]]] = []
    section = ""
    for code, value in _pairs(path.read_text(encoding="ascii")):
        if code == 2 and entities and entities[-1][0] == "SECTION":
            section = value
        if code == 0:
            entities.append((value, {}))
        elif section == "ENTITIES" or entities:
            entities[-1][1].setdefault(code, value)
    assert entities[-1][0] == "EOF"
    drawn = Drawn()
    vertices: list[tuple[float, float, float]] = []
    closed = False
    for kind, data in entities:
        layer = data.get(8, "")
        if kind == "CIRCLE":
            at = (float(data[10]), float(data[20]), 2 * float(data[40]))
            drawn.circles.setdefault(layer, []).append(at)
        elif kind == "TEXT":
            drawn.texts.append(data[1])
        elif kind == "POLYLINE":
            vertices, closed = [], data[70] == "1"
        elif kind == "VERTEX":
            vertices.append((float(data[10]), float(data[20]), float(data.get(42, "0"))))
        elif kind == "SEQEND":
            drawn.corners.setdefault(layer, []).append([(x, y) for x, y, _ in vertices])
            after = vertices[1:] + (vertices[:1] if closed else [])
            for (x0, y0, bulge), (x1, y1, _) in zip(vertices, after, strict=False):
                if bulge:
                    # The arc turns by 4·atan(bulge): chord = 2 r sin(half of that).
                    half = 2 * math.atan(abs(bulge))
                    radius = math.dist((x0, y0), (x1, y1)) / 2 / math.sin(half)
                    drawn.radii.setdefault(layer, []).append(radius)
    return drawn


def read_svg(path: Path) -> Drawn:
    """Circles, corners and arcs of the SVG, back in the design's frame."""
    root = ElementTree.parse(path).getroot()
    left, top = float(root.attrib["data-left"]), float(root.attrib["data-top"])
    assert root.attrib["width"] == f"{root.attrib['viewBox'].split()[2]}mm"  # drawn 1:1
    drawn = Drawn()
    for group in root.iter(f"{SVG}g"):
        layer = group.attrib["id"]
        for circle in group.iter(f"{SVG}circle"):
            x, y, r = (float(circle.attrib[key]) for key in ("cx", "cy", "r"))
            drawn.circles.setdefault(layer, []).append((left + x, top - y, 2 * r))
        for path_ in group.iter(f"{SVG}path"):
            corners = []
            for command, numbers in re.findall(r"([MLA])([^MLAZ]*)", path_.attrib["d"]):
                values = [float(v) for v in re.findall(r"-?[\d.]+", numbers)]
                if command == "A":
                    drawn.radii.setdefault(layer, []).append(values[0])
                corners.append((left + values[-2], top - values[-1]))
            drawn.corners.setdefault(layer, []).append(corners)
        drawn.texts += [text.text or "" for text in group.iter(f"{SVG}text")]
    return drawn


def both(name: str) -> list[Drawn]:
    return [read_svg(KEPT / f"{name}.svg"), read_dxf(KEPT / f"{name}.dxf")]


def has(places: Sequence[tuple[float, ...]], *wanted: float) -> bool:
    return any(math.dist(place, wanted) < 0.01 for place in places)


def spread(corners: list[Point]) -> tuple[float, float]:
    xs, ys = zip(*corners, strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def test_the_script_draws_the_kept_drawings(tmp_path: Path) -> None:
    made = draw.write(tmp_path)
    assert {p.name for p in made} == {p.name for p in KEPT.iterdir()}
    for path in made:
        assert path.read_bytes() == (KEPT / path.name).read_bytes(), path.name


def test_the_design_is_the_frame_that_the_program_expects() -> None:
    assert (DESIGN.half_width_mm, DESIGN.half_depth_mm) == (220.0, 170.0)
    make = BoardMake()
    assert (DESIGN.half_width_mm, DESIGN.half_depth_mm) == (
        make.half_width_mm,
        make.half_depth_mm,
    )
    fields = Calibration.__dataclass_fields__
    assert fields["heel_line_mm"].default == DESIGN.heel_line_mm == -120.0
    assert fields["load_limit_kg"].default == DESIGN.standing_limit_kg


@pytest.mark.parametrize("kind", [0, 1], ids=["svg", "dxf"])
class TestPlate:
    def test_outline_and_corner_radius(self, kind: int) -> None:
        plate = both("plate")[kind]
        [outline] = plate.corners["OUTLINE"]
        assert spread(outline) == pytest.approx((DESIGN.plate_width_mm, DESIGN.plate_depth_mm))
        assert plate.radii["OUTLINE"] == pytest.approx([DESIGN.plate_corner_mm] * 4, abs=2e-3)

    def test_edge_radius(self, kind: int) -> None:
        plate = both("plate")[kind]
        assert plate.radii["EDGE"] == pytest.approx([DESIGN.edge_radius_mm] * 2, abs=2e-3)
        [edge] = plate.corners["EDGE"]
        assert spread(edge)[1] == pytest.approx(DESIGN.plate_thickness_mm, abs=2e-3)

    def test_foot_marks(self, kind: int) -> None:
        lines = both("plate")[kind].corners["MARKS"]
        level = [a[1] for a, b in lines if abs(a[1] - b[1]) < 1e-3]
        assert level == pytest.approx([-120.0], abs=2e-3)
        upright = sorted(a[0] for a, b in lines if abs(a[0] - b[0]) < 1e-3)
        stance = [sign * width / 2 for width in DESIGN.stance_widths_mm for sign in (-1, 1)]
        assert upright == pytest.approx(sorted([0.0, *stance]), abs=2e-3)

    def test_standing_area(self, kind: int) -> None:
        [area] = both("plate")[kind].corners["AREA"]
        want = (2 * DESIGN.standing_half_width_mm, 2 * DESIGN.standing_half_depth_mm)
        assert spread(area) == pytest.approx(want, abs=2e-3)
        # Whoever stands inside stands inside the feet: the plate can't be levered up.
        assert DESIGN.standing_half_width_mm < DESIGN.half_width_mm
        assert DESIGN.standing_half_depth_mm < DESIGN.half_depth_mm

    def test_screws(self, kind: int) -> None:
        holes = both("plate")[kind].circles["HOLES"]
        assert len(holes) == 16
        for x in (0.0, 85.0, -85.0, 205.0, -205.0):
            for y in (170.0, -170.0):
                assert has(holes, x, y, DESIGN.screw_mm + 0.6), (x, y)
        for x in (80.0, -80.0):
            for y in (0.0, 105.0, -105.0):
                assert has(holes, x, y, DESIGN.screw_mm + 0.6), (x, y)

    def test_calibration_marks(self, kind: int) -> None:
        spots = both("plate")[kind].circles["SPOTS"]
        assert len(spots) == 9
        for spot in marked_spots(DESIGN.half_width_mm, DESIGN.half_depth_mm):
            assert has(spots, spot.x_mm, spot.y_mm, 6.0), spot.name


@pytest.mark.parametrize("kind", [0, 1], ids=["svg", "dxf"])
def test_cell_holes_of_the_cross_tube(kind: int) -> None:
    """Both walls: bolts and stop where the cells need them, the feet at ± half_width."""
    steel = both("steel")[kind]
    [upper_y] = {round(y, 2) for _, y, size in steel.circles["HOLES"] if abs(size - 16) < 0.01}
    assert len([1 for *_, size in steel.circles["HOLES"] if abs(size - 16) < 0.01]) == 6
    bolt = DESIGN.cell.thread_mm + 0.8
    inner = DESIGN.half_width_mm + DESIGN.cell.end_hole_mm - DESIGN.cell.length_mm + 15
    for x in (40.0, inner, inner + 25):
        for sign in (-1, 1):
            assert has(steel.circles["HOLES"], sign * x, upper_y, 16.0)
            assert has(steel.circles["HOLES"], sign * x, 0.0, bolt)
    for sign in (-1, 1):
        for side in (-1, 1):
            assert has(steel.circles["HOLES"], sign * 220.0, side * DESIGN.stop_screw_y_mm, 4.5)
    feet = [line for line in steel.corners["FEET"] if abs(line[0][0] - line[1][0]) < 1e-3]
    assert sorted(line[0][0] for line in feet) == pytest.approx([-220.0, 220.0], abs=2e-3)


@pytest.mark.parametrize("kind", [0, 1], ids=["svg", "dxf"])
def test_base_cups_stand_under_the_feet(kind: int) -> None:
    base = both("base")[kind]
    for sx in (-1, 1):
        for sy in (-1, 1):
            assert has(base.circles["HOLES"], sx * 220.0, sy * 170.0, DESIGN.base_cup_mm)
            assert has(base.circles["HOLES"], sx * 40.0, sy * 170.0, DESIGN.base_bolt_hole_mm)
    [outline] = base.corners["OUTLINE"]
    assert spread(outline) == pytest.approx((DESIGN.base_width_mm, DESIGN.base_depth_mm))


@pytest.mark.parametrize("kind", [0, 1], ids=["svg", "dxf"])
def test_saddle_and_ring(kind: int) -> None:
    drawn = both("mountings")[kind]
    assert drawn.radii["WOOD"] == pytest.approx([DESIGN.barrel_radius_mm], abs=0.02)
    assert [size for *_, size in drawn.circles["WOOD"]] == pytest.approx([DESIGN.ring_outer_mm])


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda s: s.name)
def test_each_dimension_says_the_length_of_its_line(sheet: Any) -> None:
    """In the SVG a dimension carries what it measures; its figure is that, to 0.1 mm."""
    root = ElementTree.parse(KEPT / f"{sheet.name}.svg").getroot()
    measured = [t for t in root.iter(f"{SVG}text") if "data-mm" in t.attrib]
    for text in measured:
        figure = float((text.text or "").split()[0])
        assert figure == pytest.approx(float(text.attrib["data-mm"]), abs=0.051)
    if sheet.dxf:
        assert len(measured) >= 5
        told = read_dxf(KEPT / f"{sheet.name}.dxf").texts
        assert {t.text for t in measured} <= set(told)


def test_the_plate_shows_its_main_dimensions() -> None:
    for drawn in both("plate"):
        for told in ("500", "400", "220 foot below", "170 feet, screws", "120 heel line"):
            assert told in drawn.texts
        assert {"R5", "R20", "21", "200 non-slip area", "160 non-slip area"} <= set(drawn.texts)


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda s: s.name)
def test_no_text_lies_on_another(sheet: Any) -> None:
    texts = [shape for shape in sheet.shapes if isinstance(shape, drawing.Text)]
    for i, one in enumerate(texts):
        left, bottom, right, top = one.box()
        for other in texts[i + 1 :]:
            l2, b2, r2, t2 = other.box()
            apart = right <= l2 or r2 <= left or top <= b2 or t2 <= bottom
            assert apart, (one.text, other.text)


def test_parts_fit_together() -> None:
    d = DESIGN
    assert 0.3 <= d.stop_gap_mm <= 0.7
    assert d.height_mm == pytest.approx(15 + 18 + 25 + 22 + 5 + 30 + 21)
    # Cell and stop pad stay under the cross tube, the tube under the plate's round corner.
    assert d.half_width_mm + d.stop_length_mm / 2 <= d.cross_half_length_mm
    assert d.stop_screw_y_mm > d.cell.width_mm / 2 + 2
    corner_x = d.cross_half_length_mm - (d.plate_width_mm / 2 - d.plate_corner_mm)
    corner_y = d.half_depth_mm + d.tube.width_mm / 2 - (d.plate_depth_mm / 2 - d.plate_corner_mm)
    assert math.hypot(max(corner_x, 0), max(corner_y, 0)) < d.plate_corner_mm
    # Long tubes end before the cross tubes; screws miss the cells and each other.
    assert d.long_half_length_mm < d.half_depth_mm - d.tube.width_mm / 2
    assert all(x + 8 < d.cell_inner_mm for x in d.cross_screws_x_mm)
    # Nuts of the retaining bolts have room above the ground, and the ring leaves them free.
    # (washer 2, self-locking nut 8), also with the base plate on the ring.
    assert d.base_play_mm + 10 <= d.base_pad_height_mm - 3
    assert d.base_pad_height_mm < d.ring_thickness_mm
    nut = math.hypot(d.base_bolt_x_mm, d.half_depth_mm)
    assert d.ring_inner_mm / 2 + 15 < nut < d.ring_outer_mm / 2 - 15
    # The feet stand in their cups with play, and the base holds the pads.
    assert d.base_cup_mm > d.foot_diameter_mm + 4
    assert d.base_pad_x_mm + d.base_pad_mm / 2 < d.base_width_mm / 2


def test_a_changed_design_changes_the_drawing(tmp_path: Path) -> None:
    """Nothing is drawn from a number of its own."""
    other = replace(
        DESIGN,
        heel_line_mm=-130.0,
        half_width_mm=210.0,
        edge_radius_mm=7.0,
        plate_width_mm=480.0,
    )
    draw.write(tmp_path, other)
    for plate in (read_svg(tmp_path / "plate.svg"), read_dxf(tmp_path / "plate.dxf")):
        lines = plate.corners["MARKS"]
        level = [a[1] for a, b in lines if abs(a[1] - b[1]) < 1e-3]
        assert level == pytest.approx([-130.0], abs=2e-3)
        assert plate.radii["EDGE"] == pytest.approx([7.0] * 2, abs=2e-3)
        assert spread(plate.corners["OUTLINE"][0])[0] == pytest.approx(480.0)
        assert "210 foot below" in plate.texts
    steel = read_dxf(tmp_path / "steel.dxf")
    assert has(steel.circles["HOLES"], 110.0, 0.0, 8.8)


def test_the_wiring_names_the_chips_pins() -> None:
    told = " ".join(read_svg(KEPT / "wiring.svg").texts)
    for pin in ("PC0", "PC1", "PC2", "PC3", "PB1", "PD0", "PD1", "PC4 SDA", "PC5 SCL"):
        assert pin in told
    for corner in ("front left", "front right", "rear left", "rear right"):
        assert corner in told
