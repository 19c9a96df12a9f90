"""A vaulter through the desk's form and back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from swaytrainer.errors import SwaytrainerError
from swaytrainer.office.form import COLUMNS, texts_of, vaulter_of
from swaytrainer.training.vaulter import Vaulter

WORDS = st.text(st.characters(categories=("L", "N", "P", "S")), max_size=20)


@given(
    st.builds(
        Vaulter,
        WORDS.filter(bool),
        st.integers(1200, 3300).map(lambda n: n / 10),
        st.integers(60, 500).map(float),
        st.none() | st.integers(700, 2300).map(float),
        st.none() | st.integers(1900, 2100),
        WORDS,
        WORDS,
    )
)
def test_it_comes_back_as_it_was(vaulter: Vaulter) -> None:
    assert vaulter_of(texts_of(vaulter)) == vaulter


def test_empty_fields_are_as_usual_and_a_comma_is_a_point() -> None:
    texts = ["Wren", "", "", "", "221,5", "", ""]
    assert vaulter_of(tuple(texts)) == Vaulter("Wren", 221.5)


@pytest.mark.parametrize("number", [n for n, column in enumerate(COLUMNS) if column.number])
def test_what_is_no_number_is_told_by_its_field(number: int) -> None:
    texts = ["Wren", *[""] * (len(COLUMNS) - 1)]
    texts[number] = "tall"
    with pytest.raises(SwaytrainerError, match=COLUMNS[number].title):
        vaulter_of(tuple(texts))


def test_nobody_without_a_name() -> None:
    with pytest.raises(SwaytrainerError, match="name"):
        vaulter_of((" ",) + ("",) * (len(COLUMNS) - 1))


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("born", "1066"),
        ("born", "2031"),
        ("born", "2014.5"),
        ("height_mm", "142"),
        ("foot_length_mm", "22.1"),
        ("stance_width_mm", "1000"),
        ("group", "G" * 61),
        ("caution", "c" * 201),
    ],
)
def test_what_cannot_be_is_told_in_the_forms_words(field: str, text: str) -> None:
    at = next(n for n, column in enumerate(COLUMNS) if column.field == field)
    texts = ["Wren", *[""] * (len(COLUMNS) - 1)]
    texts[at] = text
    with pytest.raises(SwaytrainerError) as told:
        vaulter_of(tuple(texts), 2030)
    assert told.value.what.startswith(f"{COLUMNS[at].title}: ")
    assert field not in str(told.value)
