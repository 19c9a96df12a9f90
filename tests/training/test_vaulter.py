"""Names as they are typed, and what is offered instead of one that there isn't."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.training.nearest import instead, nearest
from swaytrainer.training.vaulter import called

NAMES = ["Nele", "Wren", "Ämy Örtel", "Straße"]


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("Nele", "Nele"),
        ("nele", "Nele"),
        (" WREN ", "Wren"),
        (unicodedata.normalize("NFD", "ämy örtel"), "Ämy Örtel"),
        ("STRASSE", "Straße"),
        ("Nel", None),
        ("", None),
    ],
)
def test_a_name_is_found_however_it_is_typed(typed: str, meant: str | None) -> None:
    assert called(typed, NAMES) == meant


def test_between_two_that_differ_in_capitals_alone_nobody_is_guessed() -> None:
    assert called("wren", ["Wren", "WREN"]) is None
    assert called("WREN", ["Wren", "WREN"]) == "WREN"
    # The same one twice is one.
    assert called("wren", ["Wren", "Wren"]) == "Wren"


@given(st.lists(st.text(max_size=8)), st.text(max_size=8))
def test_whoever_is_found_is_there(names: list[str], typed: str) -> None:
    found = called(typed, names)
    assert found is None or found in names
    assert typed not in names or found == typed


def test_few_are_all_told_of_many_the_nearest() -> None:
    assert instead("x", []) == "there is none at all"
    assert instead("x", NAMES) == "there are Nele, Wren, Ämy Örtel, Straße"
    many = [f"vaulter {n:02}" for n in range(40)] + ["Nele"]
    assert instead("NELLE", many) == "most like it: Nele"
    assert instead("xyz", many) == "there are 41 others"
    assert len(nearest("vaulter 1", many)) == 3
