"""The one family of errors that a user is meant to read."""

from __future__ import annotations

from swaytrainer.words import say


class SwaytrainerError(Exception):
    """Something the user can mend: what is wrong, and what to do about it.

    Args:
        what: one sentence, what is wrong, naming the file, port or field.
        remedy: one sentence in the imperative, what to do next.
    """

    def __init__(self, what: str, remedy: str) -> None:
        super().__init__(what, remedy)
        self.what = what
        self.remedy = remedy

    @property
    def told(self) -> str:
        """Both sentences as one, which can be put into another language later."""
        return say("{what} {remedy}", what=self.what, remedy=self.remedy)

    def __str__(self) -> str:
        return f"{self.what} {self.remedy}".strip()
