"""The list of vaulters as text: ``vaulters.toml``, which the club may edit by hand.

::

    [[vaulter]]
    name = "Wren"               # a pseudonym suffices; it must differ from all others
    foot_length_mm = 205
    stance_width_mm = 150
    height_mm = 1320            # from here on all may be missing
    born = 2014                 # year of birth, for classes by age
    group = "Juniors"           # the class or group, as the club calls it
    caution = "Old ankle sprain: a spotter on the left."
"""

from __future__ import annotations

from dataclasses import asdict
from typing import Final

from swaytrainer.errors import SwaytrainerError
from swaytrainer.toml_text import finite_number, parse_toml
from swaytrainer.training.vaulter import Vaulter, called, plain_name
from swaytrainer.words import Name, say

#: Years of birth: whoever was born before is past vaulting, whoever later isn't born yet. How far
#: "later" goes is passed in by whoever knows the date.
BORN: Final = (1900, 2100)
#: Field, least, most, and what it is where nothing is told.
LENGTHS: Final = (
    ("foot_length_mm", 120.0, 330.0, 240.0),
    ("stance_width_mm", 60.0, 500.0, 200.0),
    ("height_mm", 700.0, 2300.0, None),
)
#: Characters: a group stands in a table's column, a caution on a screen that is read in passing.
NOTES: Final = {"group": 60, "caution": 200}
_FIELDS: Final = frozenset({"name", "born", *NOTES, *(field for field, *_ in LENGTHS)})
_REMEDY: Final = say(
    "A vaulter needs a name; foot_length_mm is from 120 to 330, stance_width_mm from 60 to 500,"
    " height_mm from 700 to 2300."
)
_OTHER_NAME: Final = say("Give another name, for example with the first letter of the family name.")


def read_vaulters(text: str, where: str) -> list[Vaulter]:
    """All vaulters, in the file's order.

    Args:
        text: of the file.
        where: how to call the file in an error.

    Raises:
        SwaytrainerError: it is wrong somewhere, or two bear one name: their trials would be mixed.

    >>> [v.born for v in read_vaulters('[[vaulter]]\\nname = "Wren"\\nborn = 2014', "a")]
    [2014]
    """
    entries = parse_toml(text, where, say("Mend that place in the file.")).get("vaulter", [])
    if not isinstance(entries, list):
        raise SwaytrainerError(
            say("{file}: 'vaulter' must be a list.", file=Name(where)),
            say("Write [[vaulter]] above each vaulter."),
        )
    found = [checked_vaulter(e, f"{where}, vaulter {i}") for i, e in enumerate(entries, 1)]
    seen: dict[str, str] = {}
    for i, vaulter in enumerate(found, 1):
        other = seen.setdefault(plain_name(vaulter.name), vaulter.name)
        if other is not vaulter.name:
            raise SwaytrainerError(
                say(
                    "{file}, vaulter {n}: there is already one called {name}.",
                    file=Name(where),
                    n=i,
                    name=Name(repr(other)),
                ),
                _OTHER_NAME,
            )
    return found


def added(text: str, where: str, vaulter: Vaulter, year: int = BORN[1]) -> str:
    """The text with a vaulter behind the others; what is there stays letter for letter.

    Args:
        text: of the file as it is.
        where: how to call the file in an error.
        vaulter: whose name nobody bears yet.
        year: this one; nobody is born later.

    Raises:
        SwaytrainerError: there is one of that name, or the values can't be.
    """
    import tomlkit

    checked = checked_vaulter(_filled(vaulter), f"Vaulter {vaulter.name!r}", year)
    before = read_vaulters(text, where)
    if called(checked.name, (v.name for v in before)) is not None:
        raise SwaytrainerError(
            say("There is already a vaulter called {name}.", name=Name(repr(checked.name))),
            _OTHER_NAME,
        )
    entry = tomlkit.table()
    for field, value in _filled(checked).items():
        entry.add(field, value)
    addition = tomlkit.document()
    addition.add("vaulter", tomlkit.aot())
    addition["vaulter"].append(entry)
    new = text + ("\n" if text and not text.endswith("\n") else "") + addition.as_string()
    try:
        ok = read_vaulters(new, where) == [*before, checked]
    except SwaytrainerError:
        ok = False
    if not ok:
        raise SwaytrainerError(
            say(
                "{file} does not write its vaulters as [[vaulter]] tables, so none can be added.",
                file=Name(where),
            ),
            say("Change the list in it to [[vaulter]] tables, or add the vaulter by hand."),
        )
    return new


def changed(text: str, where: str, vaulter: Vaulter, year: int = BORN[1]) -> str:
    """The text with other values for the vaulter of that name; all else stays as it is.

    What is None or empty now is taken out.

    Raises:
        SwaytrainerError: there is none of that name, or the values can't be.
    """
    import tomlkit

    checked = checked_vaulter(_filled(vaulter), f"Vaulter {vaulter.name!r}", year)
    before = read_vaulters(text, where)
    names = [v.name for v in before]
    if checked.name not in names:
        raise SwaytrainerError(
            say("There is no vaulter called {name}.", name=Name(repr(checked.name))),
            say("Add it first, or look at the list."),
        )
    index = names.index(checked.name)
    document = tomlkit.parse(text)
    entry = document["vaulter"][index]
    for field, value in asdict(checked).items():
        if value is None or value == "":
            entry.pop(field, None)
        elif field != "name":
            entry[field] = value
    new = tomlkit.dumps(document)
    if read_vaulters(new, where) != [*before[:index], checked, *before[index + 1 :]]:
        raise SwaytrainerError(
            say("{file} can't be changed safely.", file=Name(where)), say("Change it by hand.")
        )
    return new


def checked_vaulter(entry: object, name: str, year: int = BORN[1]) -> Vaulter:
    """A vaulter from a table's fields.

    Args:
        entry: of a file, or of a command's options.
        name: how to call it in an error.
        year: this one; nobody is born later.

    Raises:
        SwaytrainerError: what is wrong with it.
    """
    if not isinstance(entry, dict):
        raise SwaytrainerError(say("{whose} is not a table.", whose=Name(name)), _REMEDY)
    unknown = set(entry) - _FIELDS
    if unknown:
        odd = Name(repr(sorted(unknown)[0]))
        raise SwaytrainerError(
            say("{whose}: unknown field {field}.", whose=Name(name), field=odd), _REMEDY
        )
    label = entry.get("name")
    if not isinstance(label, str) or not label.strip() or not label.isprintable():
        raise SwaytrainerError(
            say("{whose}: the name is missing or not printable.", whose=Name(name)), _REMEDY
        )
    numbers: dict[str, float | None] = {}
    for field, low, high, default in LENGTHS:
        value = entry.get(field, default)
        if value is not None:
            value = finite_number(value)
            if value is None:
                raise SwaytrainerError(
                    say("{whose}: {field} must be a number.", whose=Name(name), field=Name(field)),
                    _REMEDY,
                )
            if not low <= value <= high:
                raise SwaytrainerError(
                    say(
                        "{whose}: {field} is {value:g}, but must lie between {low:g} and {high:g}"
                        " mm.",
                        whose=Name(name),
                        field=Name(field),
                        value=value,
                        low=low,
                        high=high,
                    ),
                    _REMEDY,
                )
        numbers[field] = value
    foot, stance = numbers["foot_length_mm"], numbers["stance_width_mm"]
    assert foot is not None
    assert stance is not None
    born = _born(entry.get("born"), name, year)
    notes = {field: _note(entry.get(field, ""), f"{name}: {field}", NOTES[field])
             for field in NOTES}  # fmt: skip
    return Vaulter(label.strip(), foot, stance, numbers["height_mm"], born, **notes)


def _born(value: object, name: str, year: int) -> int | None:
    if value is None:
        return None
    if not isinstance(value, int) or isinstance(value, bool) or not BORN[0] <= value <= year:
        raise SwaytrainerError(
            say(
                "{whose}: born is {value}, but must be a year from {first} to {last}.",
                whose=Name(name),
                value=Name(repr(value)),
                first=BORN[0],
                last=year,
            ),
            say("Write the year of birth alone, for example 2014, or leave it out."),
        )
    return value


def _note(value: object, what: str, longest: int) -> str:
    text = value.strip() if isinstance(value, str) else None
    if text is None or (text and not text.isprintable()) or len(text) > longest:
        raise SwaytrainerError(
            say(
                "{what} must be a text of one line, {n} letters at most.",
                what=Name(what),
                n=longest,
            ),
            say("Shorten it, or leave it out."),
        )
    return text


def _filled(vaulter: Vaulter) -> dict[str, object]:
    return {k: v for k, v in asdict(vaulter).items() if v is not None and v != ""} | {
        "name": vaulter.name
    }
