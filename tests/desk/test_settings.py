"""Choices of the laptop: kept, checked when read, and never in the way."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QByteArray

from herdscore.desk.settings import (
    MOST_RECENT,
    RECENT,
    SCORER,
    TEXT_SCALE,
    THEME,
    WINDOW,
    Settings,
    shown_columns,
    sort_order,
)


def again(folder: Path, settings: Settings) -> Settings:
    """The settings as the next start finds them."""
    settings.save()
    return Settings(folder)


def test_that_choices_are_found_again_at_the_next_start(tmp_path: Path) -> None:
    settings = Settings(tmp_path)
    settings.set(THEME, "daylight")
    settings.set(TEXT_SCALE, 1.25)
    settings.set(SCORER, "Å. B.")
    settings.set(WINDOW, QByteArray(b"\x00\x01place"))
    settings.set(sort_order("flagged"), "-act_by")
    settings.set(shown_columns("flagged"), ("tag", "verdict"))
    later = again(tmp_path, settings)
    assert later.get(THEME) == "daylight"
    assert later.get(TEXT_SCALE) == 1.25
    assert later.get(SCORER) == "Å. B."
    assert later.get(WINDOW) == QByteArray(b"\x00\x01place")
    assert later.get(sort_order("flagged")) == "-act_by"
    assert later.get(shown_columns("flagged")) == ("tag", "verdict")


def test_that_nothing_chosen_gives_the_default(tmp_path: Path) -> None:
    settings = Settings(tmp_path)
    assert settings.get(THEME) == "light"
    assert settings.get(RECENT) == ()
    assert settings.get(shown_columns("flagged", ("tag",))) == ("tag",)


def test_that_nonsense_in_the_file_gives_the_default(tmp_path: Path) -> None:
    (tmp_path / "herdscore.ini").write_text(
        '[General]\ntheme=purple\ntext%20scale=large\nrecent%20herds="{\\"a\\": 1}"\nwindow=\n'
    )
    settings = Settings(tmp_path)
    assert settings.get(THEME) == "light"
    assert settings.get(TEXT_SCALE) == 1.0
    assert settings.get(RECENT) == ()


def test_that_a_text_scale_out_of_range_is_brought_into_it(tmp_path: Path) -> None:
    settings = Settings(tmp_path)
    settings.set(TEXT_SCALE, 9.0)
    assert settings.get(TEXT_SCALE) == 1.5


def test_that_the_herd_opened_last_stands_first_and_once(tmp_path: Path) -> None:
    settings = Settings(tmp_path)
    for name in ("a", "b", "a"):
        settings.add_recent(Path(f"/herds/{name}.herd"))
    assert settings.get(RECENT) == ("/herds/a.herd", "/herds/b.herd")


def test_that_only_a_handful_of_herds_is_remembered(tmp_path: Path) -> None:
    settings = Settings(tmp_path)
    for n in range(20):
        settings.add_recent(Path(f"/herds/{n}.herd"))
    assert len(settings.get(RECENT)) == MOST_RECENT
