"""A vaulter as the desk's form has it: texts in, a vaulter or a sentence out. Pure."""

from __future__ import annotations

from typing import Final, NamedTuple

from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.vaulters_file import BORN, LENGTHS, NOTES
from swaytrainer.training.vaulter import Vaulter
from swaytrainer.words import say


class Column(NamedTuple):
    """One field.

    Attributes:
        field: of a vaulter.
        title: above it.
        hint: what belongs there.
        number: it is one; else a text.
    """

    field: str
    title: str
    hint: str
    number: bool = False


COLUMNS: Final = (
    Column("name", "Name", "A pseudonym suffices."),
    Column("group", "Group", "As the club calls it."),
    Column("born", "Born", "The year, for classes by age.", True),
    Column("height_mm", "Height, mm", "For classes by height.", True),
    Column("foot_length_mm", "Foot, mm", "From heel to longest toe: 240 if not known.", True),
    Column("stance_width_mm", "Stance, mm", "From the middle of one foot to the other: 200.", True),
    Column("caution", "Caution", "Such as: an old sprain, the spotter on the left."),
)  # fmt: skip


def texts_of(vaulter: Vaulter) -> tuple[str, ...]:
    """A vaulter's fields as texts, in the columns' order.

    >>> texts_of(Vaulter("Wren", 221.5, born=2014))
    ('Wren', '', '2014', '', '221.5', '200', '')
    """
    found = []
    for column in COLUMNS:
        value = getattr(vaulter, column.field)
        found.append("" if value is None else f"{value:g}" if column.number else str(value))
    return tuple(found)


def vaulter_of(texts: tuple[str, ...], year: int = BORN[1]) -> Vaulter:
    """The vaulter that the texts tell; empty fields are as usual.

    Args:
        texts: in the columns' order.
        year: this one; nobody is born later.

    Raises:
        SwaytrainerError: a value is none or can't be, in the form's words, or the name is missing.

    >>> vaulter_of(("Wren", "", "2014", "", "221,5", "", "")).foot_length_mm
    221.5
    """
    limits = {field: (low, high) for field, low, high, _ in LENGTHS} | {"born": (BORN[0], year)}
    given: dict[str, object] = {}
    for column, text in zip(COLUMNS, texts, strict=True):
        value = text.strip()
        if not value:
            continue
        given[column.field] = (
            _number(column, value, *limits[column.field])
            if (column.number)
            else _text(column, value)
        )
    if "name" not in given:
        raise SwaytrainerError("There is no name yet.", "Type one; a pseudonym suffices.")
    return Vaulter(**given)  # type: ignore[arg-type]


def _text(column: Column, text: str) -> str:
    most = NOTES.get(column.field)
    if most is not None and len(text) > most:
        raise SwaytrainerError(
            say("{title}: {n} letters at most.", title=column.title, n=most), "Shorten it."
        )
    return text


def _number(column: Column, text: str, low: float, high: float) -> float | int:
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        raise SwaytrainerError(
            say("{title}: “{text}” is no number.", title=column.title, text=text),
            "Type digits, or leave it empty.",
        ) from None
    if not low <= value <= high:
        raise SwaytrainerError(
            say("{title}: from {low} to {high}.", title=column.title, low=f"{low:g}",
                high=f"{high:g}"),
            "Measure once more, or leave it empty.",
        )  # fmt: skip
    if column.field == "born":
        if value != int(value):
            raise SwaytrainerError(
                say("{title}: “{text}” is no year.", title=column.title, text=text),
                "Write the year of birth alone, for example 2014.",
            )
        return int(value)
    return value
