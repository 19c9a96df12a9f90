"""A contest's results on paper: what stands on it, and what names can't do to it."""

import io
import math
from dataclasses import replace
from datetime import date
from html.parser import HTMLParser

import pytest
from pypdf import PdfReader

from swaytrainer.report.pages import result_page
from swaytrainer.report.paper import as_pdf
from swaytrainer.report.sheets import ResultClass, ResultLine, ResultSheet, ResultTeam
from swaytrainer.words import say

NAMES = ("Wren <b>bold</b>", "=cmd()|'/C calc'!A0", "Mika 🐎", "Ü" * 300, "a/b\\c & d")


def line(place: int | None, name: str, *marks: float, note: str = "") -> ResultLine:
    if not marks:
        return ResultLine(place, name, (), math.nan, math.nan, math.nan, note=note)
    mean = sum(marks) / len(marks)
    return ResultLine(place, name, marks, mean, max(marks), max(marks) - min(marks), note=note)


SHEET = ResultSheet(
    "Harvest cup",
    "Millpond: the shore",
    date(2026, 9, 12),
    3,
    (
        ResultClass(
            "Small",
            (
                replace(line(1, "Wren", 8.1, 7.9, 8.3), close_to=("Tarn",), stood_off=9.1),
                replace(line(2, "Tarn", 8.0, 7.8, 8.1), close_to=("Wren",)),
                line(None, "Mika", 7.0, note=say("{n} to come", n=2)),
            ),
        ),
        ResultClass("Tall", (line(1, "Juno", 6.0, 6.5, 7.0),), "One entry alone."),
    ),
    (ResultTeam(1, "Owls", 8.05, ("Wren", "Tarn")),),
    2,
    ("The mean counts.",),
    ("Tarn: trial 2 taken back: a cable was pulled.",),
    whole=False,
)


class Read(HTMLParser):
    """The tags of a page, and the text that a reader sees."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_data(self, data: str) -> None:
        self.text += data


def pdf_text(page: str) -> tuple[int, str]:
    read = PdfReader(io.BytesIO(as_pdf(page)))
    return len(read.pages), " ".join(p.extract_text() for p in read.pages)


def test_the_results_stand_on_page_and_paper() -> None:
    page = result_page(SHEET)
    pages, text = pdf_text(page)
    assert pages == 1
    for told in (Read(page).text, text):
        for word in ("Harvest cup", "Wren", "8.10", "7.97", "Stand-off: 9.1", "2 to come", "Owls",
                     "a cable was pulled", "Not final", "One entry alone.", "8.05",
                     "2026-09-12"):  # fmt: skip
            assert word in told, word
    assert "Not final" not in result_page(replace(SHEET, whole=True))
    assert "Teams" not in result_page(replace(SHEET, teams=()))


@pytest.mark.parametrize("name", NAMES)
def test_a_name_is_text_wherever_it_stands(name: str) -> None:
    first = replace(line(1, name, 8.0, 8.0, 8.0), close_to=(name,))
    odd = replace(
        SHEET,
        title=name,
        classes=(ResultClass(name, (first,), name),),
        teams=(ResultTeam(1, name, 8.0, (name,)),),
        rules=(name,),
        rulings=(name,),
    )
    page = result_page(odd)
    read, plain = Read(page), Read(result_page(SHEET))
    assert {tag for tag, _ in read.tags} <= {tag for tag, _ in plain.tags}
    assert name[:20] in read.text
    pages, _ = pdf_text(page)
    assert pages == 1


def test_forty_vaulters_go_on_over_the_page() -> None:
    many = tuple(line(n, f"Vaulter {n}", 8.0, 7.0, 6.0) for n in range(1, 61))
    pages, text = pdf_text(result_page(replace(SHEET, classes=(ResultClass("All", many),))))
    assert pages >= 2
    assert "Vaulter 60" in text
