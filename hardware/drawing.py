"""A small drawing board: shapes in mm (y up), dimensions that read themselves, SVG and DXF.

SVG for the eye and the printer (drawn 1:1, in mm), DXF in the plain form of release 12 (AC1009)
for a workshop's program. A dimension's figure is always measured from the two points it spans.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Final
from xml.sax.saxutils import escape, quoteattr

Point = tuple[float, float]

#: Bulge of a quarter turn to the left: tan(90° / 4).
QUARTER: Final = math.tan(math.pi / 8)


@dataclass(frozen=True, slots=True)
class Style:
    """How a layer looks: stroke and fill colours, width and dashes in units of the sheet."""

    stroke: str = "#1a1a1a"
    width: float = 0.07
    dash: tuple[float, ...] = ()
    fill: str = "none"
    dxf_colour: int = 7


#: The layers, in the order in which they are painted.
LAYERS: Final[dict[str, Style]] = {
    "AREA": Style("#7a9e7e", 0.05, fill="#e9f2ea", dxf_colour=3),
    "GROUND": Style("#8a8a8a", 0.07, fill="#e6e6e6", dxf_colour=8),
    "HOLLOW": Style("#9aa5ab", 0.05, fill="#f4f6f7", dxf_colour=9),
    "WOOD": Style("#5b4426", 0.09, fill="#f3e3c3", dxf_colour=32),
    "STEEL": Style("#37474f", 0.08, fill="#cfd8dc", dxf_colour=9),
    "CELL": Style("#1f4e79", 0.08, fill="#d6e6f5", dxf_colour=5),
    "BOLT": Style("#333333", 0.05, fill="#9aa5ab", dxf_colour=8),
    "RUBBER": Style("#222222", 0.05, fill="#5c5c5c", dxf_colour=250),
    "PART": Style("#333333", 0.07, fill="#ffffff", dxf_colour=7),
    "OUTLINE": Style(width=0.12, dxf_colour=7),
    "EDGE": Style(width=0.09, dxf_colour=7),
    "HOLES": Style(width=0.07, fill="#ffffff", dxf_colour=1),
    "HIDDEN": Style("#777777", 0.05, (0.45, 0.3), dxf_colour=8),
    "CENTRE": Style("#777777", 0.04, (1.2, 0.25, 0.25, 0.25), dxf_colour=8),
    "MARKS": Style("#0b5fa5", 0.11, dxf_colour=5),
    "SOLES": Style("#0b5fa5", 0.05, (0.5, 0.35), dxf_colour=150),
    "SPOTS": Style("#0b5fa5", 0.07, dxf_colour=4),
    "FEET": Style("#b3261e", 0.08, dxf_colour=1),
    "DIMENSIONS": Style("#7a4b00", 0.045, dxf_colour=2),
    "RED": Style("#c62828", 0.16, dxf_colour=1),
    "BLACK": Style("#222222", 0.16, dxf_colour=7),
    "GREEN": Style("#2e7d32", 0.16, dxf_colour=3),
    "GREY": Style("#8d8d8d", 0.16, dxf_colour=8),
    "BLUE": Style("#1565c0", 0.16, dxf_colour=5),
    "ORANGE": Style("#e07b00", 0.16, dxf_colour=30),
    "TEXT": Style(dxf_colour=7),
}


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle."""

    layer: str
    x: float
    y: float
    radius: float


@dataclass(frozen=True, slots=True)
class Path:
    """Corners joined by lines and arcs: each (x, y, bulge to the next), as DXF has it."""

    layer: str
    corners: tuple[tuple[float, float, float], ...]
    closed: bool = True


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text; ``anchor`` start, middle or end; ``turned`` reads from below."""

    layer: str
    x: float
    y: float
    size: float
    text: str
    anchor: str = "start"
    turned: bool = False
    measured: float | None = None

    def box(self) -> tuple[float, float, float, float]:
        """About what it covers: left, bottom, right, top."""
        # A sans serif's letters are about 0.55 of their size wide.
        length = 0.55 * self.size * len(self.text)
        back = {"start": 0.0, "middle": length / 2, "end": length}[self.anchor]
        if self.turned:
            return (self.x - 0.75 * self.size, self.y - back, self.x, self.y - back + length)
        return (self.x - back, self.y, self.x - back + length, self.y + 0.75 * self.size)


Shape = Circle | Path | Text


def _figure(value: float) -> str:
    return f"{round(value, 1):g}"


@dataclass
class Sheet:
    """A drawing under way.

    Args:
        name: of the files.
        title: written below.
        unit: height of the text, mm; widths of lines go with it.
        dxf: whether a workshop needs it.
    """

    name: str
    title: str
    unit: float
    dxf: bool = True
    shapes: list[Shape] = field(default_factory=list)

    # --- shapes -----------------------------------------------------------------------------------

    def line(self, layer: str, *points: Point) -> None:
        """An open line through points."""
        self.shapes.append(Path(layer, tuple((x, y, 0.0) for x, y in points), closed=False))

    def polygon(self, layer: str, points: Iterable[Point]) -> None:
        """A closed line through points."""
        self.shapes.append(Path(layer, tuple((x, y, 0.0) for x, y in points)))

    def path(self, layer: str, corners: Sequence[tuple[float, float, float]]) -> None:
        """A closed line of straight pieces and arcs."""
        self.shapes.append(Path(layer, tuple(corners)))

    def box(self, layer: str, left: float, bottom: float, right: float, top: float) -> None:
        """A rectangle."""
        self.polygon(layer, [(left, bottom), (right, bottom), (right, top), (left, top)])

    def rounded(
        self, layer: str, left: float, bottom: float, right: float, top: float, radius: float
    ) -> None:
        """A rectangle with round corners."""
        r = radius
        self.path(
            layer,
            [
                (left + r, bottom, 0),
                (right - r, bottom, QUARTER),
                (right, bottom + r, 0),
                (right, top - r, QUARTER),
                (right - r, top, 0),
                (left + r, top, QUARTER),
                (left, top - r, 0),
                (left, bottom + r, QUARTER),
            ],
        )

    def slot(self, layer: str, x: float, y: float, length: float, width: float) -> None:
        """A slot along x, round at both ends; ``length`` over all."""
        r, half = width / 2, length / 2
        self.path(
            layer,
            [
                (x - half + r, y - r, 0),
                (x + half - r, y - r, 1.0),
                (x + half - r, y + r, 0),
                (x - half + r, y + r, 1.0),
            ],
        )

    def circle(self, layer: str, x: float, y: float, diameter: float) -> None:
        """A circle by its diameter."""
        self.shapes.append(Circle(layer, x, y, diameter / 2))

    def cross(self, layer: str, x: float, y: float, arm: float) -> None:
        """A small upright cross."""
        self.line(layer, (x - arm, y), (x + arm, y))
        self.line(layer, (x, y - arm), (x, y + arm))

    def text(
        self,
        x: float,
        y: float,
        text: str,
        *,
        size: float = 1.0,
        anchor: str = "start",
        layer: str = "TEXT",
        turned: bool = False,
    ) -> None:
        """Text; its size in units of the sheet."""
        self.shapes.append(Text(layer, x, y, size * self.unit, text, anchor, turned))

    # --- dimensions -------------------------------------------------------------------------------

    def _arrow(self, at: Point, towards: Point) -> None:
        length = math.dist(at, towards) or 1.0
        dx, dy = (towards[0] - at[0]) / length, (towards[1] - at[1]) / length
        long, wide = 0.8 * self.unit, 0.16 * self.unit
        foot = (at[0] + long * dx, at[1] + long * dy)
        self.line(
            "DIMENSIONS",
            (foot[0] - wide * dy, foot[1] + wide * dx),
            at,
            (foot[0] + wide * dy, foot[1] - wide * dx),
        )

    def _measure(
        self, a: Point, b: Point, start: Point, end: Point, note: str, *, upright: bool
    ) -> None:
        u = self.unit
        length = math.dist(start, end)
        text = _figure(length) + (f" {note}" if note else "")
        tight = length < 2.2 * u
        for point, foot, other in ((a, start, end), (b, end, start)):
            away = math.dist(point, foot)
            if away > 0.5 * u:
                gap, over = 0.3 * u / away, 0.4 * u / away
                tx, ty = foot[0] - point[0], foot[1] - point[1]
                self.line(
                    "DIMENSIONS",
                    (point[0] + gap * tx, point[1] + gap * ty),
                    (foot[0] + over * tx, foot[1] + over * ty),
                )
            outward = (2 * foot[0] - other[0], 2 * foot[1] - other[1])
            self._arrow(foot, outward if tight else other)
        more = 1.6 * u / length if tight else 0.0
        dx, dy = more * (end[0] - start[0]), more * (end[1] - start[1])
        self.line("DIMENSIONS", (start[0] - dx, start[1] - dy), (end[0] + dx, end[1] + dy))
        x, y = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
        anchor = "middle"
        if len(text) * 0.55 * u > length - 0.5 * u:
            # No room between the arrows: beyond the second one.
            x, y = end[0] + 1.2 * dx, end[1] + 1.2 * dy
            beyond = 0.3 * u
            if upright:
                y += math.copysign(beyond, end[1] - start[1])
                anchor = "start" if end[1] > start[1] else "end"
            else:
                x += math.copysign(beyond, end[0] - start[0])
                anchor = "start" if end[0] > start[0] else "end"
        x, y = (x - 0.3 * u, y) if upright else (x, y + 0.3 * u)
        self.shapes.append(Text("DIMENSIONS", x, y, u, text, anchor, upright, length))

    def across(self, a: Point, b: Point, at_y: float, note: str = "") -> None:
        """A dimension along x between two points, its line at a height."""
        self._measure(a, b, (a[0], at_y), (b[0], at_y), note, upright=False)

    def up(self, a: Point, b: Point, at_x: float, note: str = "") -> None:
        """A dimension along y between two points, its line at an x."""
        self._measure(a, b, (at_x, a[1]), (at_x, b[1]), note, upright=True)

    def pointer(self, to: Point, *way: Point, text: str, size: float = 1.0) -> None:
        """A thin line with an arrow at a point, and text at its other end."""
        points = (to, *way)
        self._arrow(to, points[1])
        self.line("DIMENSIONS", *points)
        (x0, _), (x1, y1) = points[-2], points[-1]
        right = x1 >= x0
        shift = 0.3 * self.unit if right else -0.3 * self.unit
        self.text(
            x1 + shift,
            y1 - 0.35 * self.unit * size,
            text,
            size=size,
            anchor="start" if right else "end",
        )

    # --- paper ------------------------------------------------------------------------------------

    def bounds(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top of everything."""
        boxes = []
        for shape in self.shapes:
            if isinstance(shape, Circle):
                r = shape.radius
                boxes.append((shape.x - r, shape.y - r, shape.x + r, shape.y + r))
            elif isinstance(shape, Text):
                boxes.append(shape.box())
            else:
                xs, ys = [c[0] for c in shape.corners], [c[1] for c in shape.corners]
                boxes.append((min(xs), min(ys), max(xs), max(ys)))
        left, bottom, right, top = zip(*boxes, strict=True)
        return min(left), min(bottom), max(right), max(top)

    def finish(self, subtitle: str, *, scale_bar: bool = True) -> None:
        """The title below the drawing, and a bar to check a print with."""
        left, bottom, right, _ = self.bounds()
        u = self.unit
        y = bottom - 2.6 * u
        self.text(left, y, self.title, size=1.35)
        self.text(left, y - 1.7 * u, subtitle, size=0.9)
        if scale_bar:
            length = 100.0 if right - left > 250 else 50.0
            y -= 3.6 * u
            for end in (left, left + length):
                self.line("DIMENSIONS", (end, y - 0.4 * u), (end, y + 0.4 * u))
            self.line("DIMENSIONS", (left, y), (left + length, y))
            note = f"{length:g} mm: measure this bar on a print before you use it as a template"
            self.text(left + length + 0.6 * u, y - 0.35 * u, note, size=0.9)

    def svg(self) -> str:
        """The drawing as SVG, 1:1 in millimetres."""
        left, bottom, right, top = self.bounds()
        margin = 1.5 * self.unit
        left, bottom, right, top = left - margin, bottom - margin, right + margin, top + margin
        width, height = right - left, top - bottom

        def at(x: float, y: float) -> str:
            return f"{x - left:.3f},{top - y:.3f}"

        lines = [
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.3f}mm"'
            f' height="{height:.3f}mm" viewBox="0 0 {width:.3f} {height:.3f}"'
            f' data-left="{left:.3f}" data-top="{top:.3f}">',
            f"<title>{escape(self.title)}</title>",
            f'<rect width="{width:.3f}" height="{height:.3f}" fill="#ffffff"/>',
        ]
        for name, style in LAYERS.items():
            shapes = [s for s in self.shapes if s.layer == name]
            if not shapes:
                continue
            dash = " ".join(f"{d * self.unit:.3f}" for d in style.dash)
            lines.append(
                f'<g id="{name}" stroke="{style.stroke}" fill="{style.fill}"'
                f' stroke-width="{style.width * self.unit:.3f}" stroke-linejoin="round"'
                + (f' stroke-dasharray="{dash}"' if dash else "")
                + ">"
            )
            for shape in shapes:
                if isinstance(shape, Circle):
                    x, y = at(shape.x, shape.y).split(",")
                    lines.append(f'<circle cx="{x}" cy="{y}" r="{shape.radius:.3f}"/>')
                elif isinstance(shape, Path):
                    fill = "" if shape.closed else ' fill="none"'
                    lines.append(f'<path d="{_svg_path(shape, at)}"{fill}/>')
                else:
                    lines.append(_svg_text(shape, at, style))
            lines.append("</g>")
        lines.append("</svg>")
        return "\n".join(lines) + "\n"

    def dxf_text(self) -> str:
        """The drawing as DXF, release 12."""
        out: list[str] = []

        def put(*pairs: tuple[int, str | float]) -> None:
            for code, value in pairs:
                out.append(str(code))
                out.append(value if isinstance(value, str) else f"{value:.6f}")

        put((0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, "AC1009"), (0, "ENDSEC"))
        used = [name for name in LAYERS if any(s.layer == name for s in self.shapes)]
        put((0, "SECTION"), (2, "TABLES"), (0, "TABLE"), (2, "LAYER"), (70, str(len(used))))
        for name in used:
            colour = str(LAYERS[name].dxf_colour)
            put((0, "LAYER"), (2, name), (70, "0"), (62, colour), (6, "CONTINUOUS"))
        put((0, "ENDTAB"), (0, "ENDSEC"), (0, "SECTION"), (2, "ENTITIES"))
        for shape in self.shapes:
            if isinstance(shape, Circle):
                put((0, "CIRCLE"), (8, shape.layer), (10, shape.x), (20, shape.y), (30, 0.0))
                put((40, shape.radius))
            elif isinstance(shape, Path):
                put((0, "POLYLINE"), (8, shape.layer), (66, "1"), (10, 0.0), (20, 0.0), (30, 0.0))
                put((70, "1" if shape.closed else "0"))
                for x, y, bulge in shape.corners:
                    put((0, "VERTEX"), (8, shape.layer), (10, x), (20, y), (30, 0.0), (42, bulge))
                put((0, "SEQEND"), (8, shape.layer))
            else:
                put((0, "TEXT"), (8, shape.layer), (10, shape.x), (20, shape.y), (30, 0.0))
                put((40, 0.72 * shape.size), (1, _ascii(shape.text)))
                put((50, 90.0 if shape.turned else 0.0))
                aligned = {"start": "0", "middle": "1", "end": "2"}[shape.anchor]
                put((72, aligned), (11, shape.x), (21, shape.y), (31, 0.0))
        put((0, "ENDSEC"), (0, "EOF"))
        return "\n".join(out) + "\n"


def _svg_path(path: Path, at: Callable[[float, float], str]) -> str:
    x, y, _ = path.corners[0]
    parts = [f"M{at(x, y)}"]
    following = (*path.corners[1:], path.corners[0]) if path.closed else path.corners[1:]
    for (x0, y0, bulge), (x1, y1, _) in zip(path.corners, following, strict=False):
        if bulge:
            radius = math.dist((x0, y0), (x1, y1)) / 2 * (1 + bulge**2) / (2 * abs(bulge))
            large, sweep = int(abs(bulge) > 1), int(bulge < 0)
            parts.append(f"A{radius:.3f},{radius:.3f} 0 {large} {sweep} {at(x1, y1)}")
        else:
            parts.append(f"L{at(x1, y1)}")
    return " ".join(parts) + ("Z" if path.closed else "")


def _svg_text(text: Text, at: Callable[[float, float], str], style: Style) -> str:
    x, y = at(text.x, text.y).split(",")
    turn = f' transform="rotate(-90 {x} {y})"' if text.turned else ""
    measured = f' data-mm="{text.measured:.3f}"' if text.measured is not None else ""
    return (
        f'<text x="{x}" y="{y}" font-size="{text.size:.3f}" text-anchor={quoteattr(text.anchor)}'
        f' fill="{style.stroke}" stroke="none" font-family="DejaVu Sans, Arial, sans-serif"'
        f"{turn}{measured}>{escape(text.text)}</text>"
    )


#: Release 12 knows ASCII, and codes of its own for a few signs.
_CODES: Final = {
    "Ø": "%%c", "±": "%%p", "°": "%%d", "−": "-", "–": "-", "×": "x", "→": "->", "½": "1/2",
    "≥": ">=", "≤": "<=", "µ": "u", "Ω": "ohm",
}  # fmt: skip


def _ascii(text: str) -> str:
    for sign, code in _CODES.items():
        text = text.replace(sign, code)
    text.encode("ascii")  # a sign without a code must not get lost
    return text
