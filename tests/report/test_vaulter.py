"""The page about a vaulter and the squad's: whole in itself, on one sheet, safe from any name."""

import io
import re
from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from pypdf import PdfReader

from swaytrainer.report.pages import squad_page, vaulter_page
from swaytrainer.report.paper import as_pdf
from swaytrainer.report.pictures import _numbers, curve_svg
from swaytrainer.report.sheets import (
    LONGEST_SENTENCE,
    Curve,
    NextStep,
    Rung,
    Soles,
    SquadLine,
    SquadSheet,
    VaulterSheet,
)
from swaytrainer.sway.feet import Feet
from swaytrainer.words import say, use_language
from tests.report.test_results import NAMES, Read, pdf_text

RNG = np.random.default_rng(1)
DAYS = tuple((date(2026, 9, 1 + n), 10.0 - 0.2 * n) for n in range(20))
CAUTIONS = ("A mat on the floor, two metres clear.", "Stop at once on pain or dizziness.") * 3


def sheet(name: str = "Wren", sentence: str = "Softer knees!") -> VaulterSheet:
    feet = Feet.from_length(240.0, 200.0, heel_line_y_mm=-120.0)
    soles = Soles(
        feet, RNG.normal(0.0, 4.0, 2400), RNG.normal(-20.0, 6.0, 2400), (35.0, 55.0), 46.0, 51.0,
        "Millpond: open water, 2026-09-20",
    )  # fmt: skip
    curve = Curve("mark (Millpond: firm, eyes open)", "", DAYS, (5.5, 9.0), "Really better.")
    return VaulterSheet(
        name, "Otters", date(2026, 9, 21), "8 training days", soles,
        tuple((f"Finding {n} of some length, as they are.", f"{n} of 10") for n in range(3)),
        (curve, curve), tuple(Rung(f"Level {n}", "Passed 2 of the last 5.") for n in range(4)),
        NextStep("Millpond: the reeds", "On foam.", True, CAUTIONS),
        "Left ankle taped", sentence,
    )  # fmt: skip


def test_all_of_it_stands_on_one_sheet() -> None:
    page = vaulter_page(sheet())
    pages, text = pdf_text(page)
    assert pages == 1
    for told in (Read(page).text, text):
        for word in ("Wren", "Otters", "2026-09-21", "Finding 2", "Level 3", "Millpond: the reeds",
                     "Only with a spotter.", "Stop at once", "Left ankle taped", "Softer knees!",
                     "no medical device"):  # fmt: skip
            assert word in told, word


@pytest.mark.parametrize("name", NAMES)
def test_no_name_breaks_the_page_nor_its_sheet(name: str) -> None:
    page = vaulter_page(sheet(name, sentence=name[:LONGEST_SENTENCE]))
    read = Read(page)
    assert name[:20] in read.text
    assert not {"b", "script"} & {tag for tag, _ in read.tags}
    assert len(PdfReader(io.BytesIO(as_pdf(page))).pages) == 1


def test_nothing_is_fetched_from_anywhere() -> None:
    for page in (vaulter_page(sheet()), squad_page(SQUAD)):
        for tag, attributes in Read(page).tags:
            assert tag not in ("link", "script", "iframe", "object")
            for key in ("src", "href"):
                source = attributes.get(key)
                assert source is None or source.startswith("data:"), (tag, source)
        assert not re.search(r"url\(|@import", page)


def test_nothing_is_said_by_colour_alone() -> None:
    """All the page's colours are greys and the near-black ink: red, green and blue close by."""
    page = vaulter_page(sheet())
    for colour in re.findall(r"#([0-9a-f]{6}|[0-9a-f]{3})\b", page.lower()):
        full = colour if len(colour) == 6 else "".join(2 * c for c in colour)
        parts = [int(full[n : n + 2], 16) for n in (0, 2, 4)]
        assert max(parts) - min(parts) <= 32, colour


def test_the_same_sheet_is_the_same_page() -> None:
    made = sheet()
    assert vaulter_page(made) == vaulter_page(made)


def test_a_newcomers_page_says_so() -> None:
    empty = VaulterSheet("Pim", "", date(2026, 9, 21), "0 days", None, (), (), (), None)
    text = Read(vaulter_page(empty)).text
    assert "No counted trial yet" in text
    assert "a first training will tell" in text


def test_grey_is_explained_only_where_it_is_drawn() -> None:
    made = sheet()
    assert "Grey: where" in Read(vaulter_page(made)).text
    bare = replace(made, curves=tuple(replace(curve, ordinary=None) for curve in made.curves))
    assert "Grey: where" not in Read(vaulter_page(bare)).text


def test_an_axis_has_the_languages_decimal_sign() -> None:
    curve = Curve("mark", "", ((DAYS[0][0], 7.0), (DAYS[1][0], 8.0)), None, "")
    says = _numbers()
    says.create_dummy_axis()
    says.set_locs([7.0, 7.5])
    assert says(7.5) == "7.5"
    english = curve_svg(curve)
    use_language("de")
    try:
        assert says(7.5) == "7,5"
        assert curve_svg(curve) != english
        text = Read(squad_page(SQUAD)).text
    finally:
        use_language("en")
    assert "The squad" not in text


def test_a_path_with_holes_and_one_without_any_way_are_drawn() -> None:
    holes = sheet()
    assert holes.soles is not None
    holes.soles.x_mm[100:200] = np.nan
    holes.soles.y_mm[100:200] = np.nan
    assert "data:image/svg+xml" in vaulter_page(holes)
    holes.soles.x_mm[:] = 1.0
    holes.soles.y_mm[:] = 2.0
    assert "data:image/svg+xml" in vaulter_page(holes)


SQUAD = SquadSheet(
    say("The squad"),
    date(2026, 9, 21),
    tuple(
        SquadLine(name, say("moves"), "mark from 5.0 to 7.0", say("today"), "2 d, 6 min", "")
        for name in (*NAMES, *(f"Vaulter {n}" for n in range(15)))
    ),
    ("moves: a real change.",),
)


def test_the_squads_sheet_holds_every_line() -> None:
    page = squad_page(SQUAD)
    pages, text = pdf_text(page)
    assert pages == 1
    assert "moves: a real change." in text
    assert text.count("mark from 5.0 to 7.0") == len(SQUAD.lines)
    told = Read(page).text
    assert all(f"Vaulter {n}" in told for n in range(15))


def test_it_speaks_german() -> None:
    use_language("de")
    try:
        text = Read(vaulter_page(sheet())).text + Read(squad_page(SQUAD)).text
    finally:
        use_language("en")
    for word in ("Was auffällt", "Nächster Schritt", "Nur mit Hilfestellung.", "21.09.2026",
                 "Die Gruppe", "geht voran", "kein Medizinprodukt"):  # fmt: skip
        assert word in text, word
