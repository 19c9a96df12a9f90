"""Sheets to HTML: one file each, with nothing in it that is fetched from anywhere."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import date
from functools import cache
from typing import TYPE_CHECKING, Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.report.pictures import as_image, curve_svg, soles_svg
from swaytrainer.report.sheets import ResultSheet, SquadSheet, VaulterSheet
from swaytrainer.words import language, say, short, tr
from swaytrainer.words import number as written

if TYPE_CHECKING:
    from jinja2 import Environment

#: Letters of a name on paper: a longer one would push the rest off its page.
LONGEST_NAME: Final = 60


def result_page(sheet: ResultSheet) -> str:
    """A contest's results.

    Raises:
        SwaytrainerError: Jinja2 is missing.
    """
    return _page("results.html", {"sheet": sheet})


def vaulter_page(sheet: VaulterSheet) -> str:
    """One page about a vaulter.

    Raises:
        SwaytrainerError: Jinja2 or Matplotlib is missing.
    """
    pictures = {
        "soles": None if sheet.soles is None else as_image(soles_svg(sheet.soles)),
        "curves": [as_image(curve_svg(curve)) for curve in sheet.curves],
    }
    return _page("vaulter.html", {"sheet": sheet, **pictures})


def squad_page(sheet: SquadSheet) -> str:
    """The squad's table.

    Raises:
        SwaytrainerError: Jinja2 is missing.
    """
    return _page("squad.html", {"sheet": sheet})


def _page(template: str, values: Mapping[str, object]) -> str:
    return _environment().get_template(template).render(language=language(), **values)


@cache
def _environment() -> Environment:
    try:
        from jinja2 import Environment, PackageLoader, StrictUndefined
    except ImportError:
        raise SwaytrainerError(
            say("To write a sheet, Jinja2 is needed, which is not installed."),
            say('Install it: pip install "swaytrainer[report]".'),
        ) from None
    environment = Environment(
        loader=PackageLoader("swaytrainer.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters |= {"day": day_words, "number": number, "short": _short, "words": tr}
    environment.globals |= {"tr": tr, "say": lambda text, **values: tr(say(text, **values))}
    return environment


def day_words(day: date) -> str:
    """A day as it is written in the language in use.

    >>> day_words(date(2026, 9, 7))
    '2026-09-07'
    """
    return day.strftime(tr(say("%Y-%m-%d")))


def number(value: float, digits: int = 1) -> str:
    """A number with a true minus sign; a dash where there is none.

    >>> number(-1.25, 1), number(math.nan)
    ('−1.2', '–')
    """
    return "–" if math.isnan(value) else written(value, f".{digits}f").replace("-", "−")


def _short(name: str, most: int = LONGEST_NAME) -> str:
    return short(name, most)
