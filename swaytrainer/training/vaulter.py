"""Who stands on the board: a pseudonym and the two lengths that the measures need."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Vaulter:
    """A vaulter, as far as a measure must know one.

    Attributes:
        name: a pseudonym suffices; it is all that is ever stored of who it is.
        foot_length_mm: heel to longest toe.
        stance_width_mm: from the middle of one foot to the middle of the other, on the board's
            marks.
        height_mm: optional, to compare vaulters of different height; None if not given.
    """

    name: str
    foot_length_mm: float = 240.0
    stance_width_mm: float = 200.0
    height_mm: float | None = None


GUEST = Vaulter("Guest")
