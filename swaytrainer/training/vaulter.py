"""Who stands on the board: a pseudonym, the lengths that the measures need, the coach's notes."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Vaulter:
    """A vaulter, as far as a measure or a coach must know one.

    Recordings hold the name and the lengths alone: what a trial was measured with. Year of birth,
    group and caution stay in the data folder's list of vaulters, and go to no recording, index,
    hall or table: who is handed a trial need not know them.

    Attributes:
        name: a pseudonym suffices.
        foot_length_mm: heel to longest toe.
        stance_width_mm: from the middle of one foot to the middle of the other, on the board's
            marks.
        height_mm: optional, to compare vaulters of different height; None if not given.
        born: year of birth, for classes by age; None if not given.
        group: the class or group, as the club calls it; empty if none.
        caution: what the coach wants to be thought of before this vaulter steps on; empty if
            nothing. It is shown on the gym's screen, where all can read it.
    """

    name: str
    foot_length_mm: float = 240.0
    stance_width_mm: float = 200.0
    height_mm: float | None = None
    born: int | None = None
    group: str = ""
    caution: str = ""


GUEST = Vaulter("Guest")


def plain_name(name: str) -> str:
    """A name as it is compared: whatever its case, its spaces around, its way to write an umlaut.

    >>> plain_name(" \u00c4dla ") == plain_name("A\u0308DLA")
    True
    """
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).strip().casefold())


def called(name: str, names: Iterable[str]) -> str | None:
    """The one of these names that is meant, however it was typed.

    Returns:
        It, as it stands there; None if none is meant, or more than one could be.

    >>> called("nele", ["Wren", "Nele"]), called("nele", ["NELE", "Nele"]), called("Nel", ["Nele"])
    ('Nele', None, None)
    >>> called("Nele", ["NELE", "Nele"])
    'Nele'
    """
    alike = [each for each in dict.fromkeys(names) if plain_name(each) == plain_name(name)]
    if name in alike:
        return name
    return alike[0] if len(alike) == 1 else None
