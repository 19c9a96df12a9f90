"""A text is changed table by table: what is not meant stays, letter for letter."""

from __future__ import annotations

import tomllib

from hypothesis import assume, given
from hypothesis import strategies as st

from swaytrainer.store.toml_tables import tables_of, with_beginning, with_tables, with_values

TEXT = '''# ours
title = "Cup"   # of the club
note = """
[[class]]
"""

# the small ones
[[class]]
name = "A"
vaulters = [
  "Wren", # came late
  "Tarn",
]
# all of them young

# Between the two: of nobody.

[[team]]
name = "T"

[[class]]
name = "B"
odd = [
  ["x"],
]
'''


def test_what_looks_like_a_table_and_is_none_parts_nothing() -> None:
    first, second = tables_of(TEXT, "class")
    assert first.startswith("[[class]]\nname")
    assert first.endswith("# all of them young\n")
    assert second.endswith('  ["x"],\n]\n')


def test_a_table_takes_its_comments_along_and_a_gap_stays() -> None:
    first, second = tables_of(TEXT, "class")
    new = with_tables(TEXT, "class", [(1, second), (0, first)])
    order = ['name = "B"', "# Between", "[[team]]", "# the small ones", 'name = "A"', "# all of"]
    assert sorted(order, key=new.index) == order
    alone = with_tables(TEXT, "class", [(1, second)])
    assert "# the small ones" not in alone
    assert "# came late" not in alone
    assert "# Between the two: of nobody." in alone
    assert with_tables(TEXT, "class", []).count("[[team]]") == 1


def test_a_list_over_several_lines_keeps_the_comments_in_it() -> None:
    own = tables_of(TEXT, "class")[0]
    new = with_values(own, "class", {"vaulters": ["Wren", "Mika"]})
    assert '  "Wren", # came late\n  "Mika",\n]\n# all of them young\n' in new
    assert tomllib.loads(new)["class"][0]["vaulters"] == ["Wren", "Mika"]


def test_the_beginning_is_changed_above_the_tables() -> None:
    new = with_beginning(TEXT, {"title": "Autumn", "trials": 2})
    assert 'title = "Autumn"   # of the club' in new
    assert tomllib.loads(new) == tomllib.loads(TEXT) | {"title": "Autumn", "trials": 2}
    assert with_beginning(new, {"title": "Cup", "trials": None}) == TEXT


LINES = st.sampled_from(
    ["", "# a", "  # [[class]]", "[[class]]", "[[ team ]]", "[x]", 'name = "n"', "odd = [",
     '["x"],', "]", 'text = """', '"""', "k = 1\u2028", "\u2028[[class]]", "no toml"]
)  # fmt: skip


@given(st.lists(LINES, max_size=14).map("\n".join))
def test_whatever_the_text_is_nothing_changed_is_no_letter_changed(text: str) -> None:
    for key in ("class", "team"):
        assert with_tables(text, key, list(enumerate(tables_of(text, key)))) == text


@st.composite
def texts(draw: st.DrawFn) -> tuple[str, int]:
    """A text of numbered tables and comments, and how many ``[[class]]`` are in it."""
    gap = st.sampled_from(["", "\n", "\n\n"])
    out, tables = "title = 1\n", 0
    for n, key in enumerate(draw(st.lists(st.sampled_from(["class", "team"]), max_size=5))):
        if draw(st.booleans()):
            out += f"\n# gap {n}.\n\n"
        out += draw(gap) + draw(st.sampled_from(["", f"# above {n}.\n"]))
        out += f'[[{key}]]\nname = "{n}"   # beside {n}.\n'
        tables += key == "class"
    return out + draw(gap) + draw(st.sampled_from(["", "\n# end"])), tables


@given(texts(), st.data())
def test_any_tables_in_any_order_and_the_others_stay(
    made: tuple[str, int], data: st.DataObject
) -> None:
    text, known = made
    tables = tables_of(text, "class")
    assert len(tables) == known
    places = data.draw(st.lists(st.sampled_from([*range(known), None]), max_size=known + 2))
    olds = [n for n in places if n is not None]
    assume(len(set(olds)) == len(olds))
    wanted = [
        (n, with_values("", "class", {"name": "new"}) if n is None else tables[n]) for n in places
    ]
    new = with_tables(text, "class", wanted)
    before, after = tomllib.loads(text), tomllib.loads(new)
    names = [each["name"] for each in before.get("class", [])]
    assert [each["name"] for each in after.get("class", [])] == [
        "new" if n is None else names[n] for n in places
    ]
    assert after.get("team") == before.get("team")
    gone = [names[n] for n in range(known) if n not in olds]
    for line in filter(None, text.splitlines()):
        of_one = any(f" {name}." in line or f'"{name}"' in line for name in gone)
        if not of_one and line != "[[class]]":
            assert new.count(line) == text.count(line), line
    assert new.count("[[class]]") == len(places)
