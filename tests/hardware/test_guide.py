"""The build guide: cautions before anybody is sent onto the board, links that lead somewhere."""

import re

import pytest

from tests.hardware.loading import HARDWARE, script

GUIDE = (HARDWARE / "BUILD.md").read_text(encoding="utf-8")
design = script("board_design").STANDARD
draw = script("draw")


def test_links_lead_somewhere() -> None:
    headings = re.findall(r"^#+ (.+)$", GUIDE, re.M)
    anchors = {re.sub(r"[^\w\- ]", "", h.lower()).replace(" ", "-") for h in headings}
    links = re.findall(r"\]\(([^)]+)\)", GUIDE)
    assert len(links) > 20
    for link in links:
        if link.startswith("#"):
            assert link[1:] in anchors, link
        else:
            assert (HARDWARE / link).is_file(), link


def test_every_drawing_is_shown_or_linked() -> None:
    for make in draw.SHEETS:
        assert f"drawings/{make(design).name}.svg" in GUIDE


@pytest.mark.parametrize(
    "caution",
    ["mats", "spotter", "two metres clear", "vaulting shoes", "pain, dizziness", "USB", "doctor"],
)
def test_cautions_come_before_the_parts(caution: str) -> None:
    assert caution in " ".join(GUIDE[: GUIDE.index("## What you build")].split())


def test_the_mounting_picture_shows_the_cautions_too() -> None:
    told = " ".join(s.text for s in draw.grounds(design).shapes if hasattr(s, "text"))
    for caution in ("mats", "spotter", "clear", "shoes", "120 kg", "no landings", "pain", "coach"):
        assert caution in told


def test_the_guide_says_the_designs_limits_and_places() -> None:
    said = " ".join(GUIDE.split())
    for told in (
        f"Load limit: {design.standing_limit_kg:g} kg, one person. Landing: up to"
        f" {design.landing_limit_kg:g} kg of body weight, from at most {design.drop_limit_mm:g} mm",
        f"at x = ±{design.half_width_mm:g} and y = ±{design.half_depth_mm:g}",
        f"Heel line at y = −{-design.heel_line_mm:g}",
        f"{design.plate_width_mm:g} × {design.plate_depth_mm:g} × {design.plate_thickness_mm:g}",
        f"{2 * design.cross_half_length_mm:g} and {2 * design.long_half_length_mm:g} long",
        f"lies {design.height_mm:g} mm high",
    ):
        assert told in said, told
