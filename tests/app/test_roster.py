"""The list of vaulters while the gym's screen is open."""

from pathlib import Path

from swaytrainer.app.roster import Roster
from swaytrainer.store.home import Home
from swaytrainer.training.vaulter import GUEST, Vaulter


def test_it_follows_the_file_and_keeps_the_last_good_one(tmp_path: Path) -> None:
    home = Home(tmp_path)
    roster = Roster(home, otherwise=(GUEST,))
    assert (roster.vaulters, roster.names) == ((GUEST,), ())
    home.add_vaulter(Vaulter("Wren"))
    roster.refresh()
    assert roster.names == ("Wren",)
    (tmp_path / "vaulters.toml").write_text("[[vaulter]]\nname = 3\n", encoding="utf-8")
    roster.refresh()
    assert roster.names == ("Wren",)
    assert roster.trouble is not None
    assert "vaulters.toml" in roster.trouble
    (tmp_path / "vaulters.toml").unlink()
    roster.refresh()
    assert (roster.vaulters, roster.trouble) == ((GUEST,), None)


def test_only_who_is_entered_takes_part(tmp_path: Path) -> None:
    home = Home(tmp_path)
    for name in ("Wren", "Tarn"):
        home.add_vaulter(Vaulter(name))
    entered = ["Tarn"]
    roster = Roster(home, lambda: entered)
    assert [v.name for v in roster.vaulters] == ["Tarn"]
    entered.append("Wren")
    assert [v.name for v in roster.vaulters] == ["Wren", "Tarn"]
    assert roster.names == ("Wren", "Tarn")
