"""Settings: one place, unknown keys refused, the nearest word wins."""

from __future__ import annotations

from pathlib import Path

import pytest

from journal.config import load_settings
from journal.errors import SettingsUnusable


@pytest.fixture(autouse=True)
def _clean(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    for name in ("JOURNAL_STORE", "JOURNAL_SETTINGS"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))


def write(path: Path, text: str) -> Path:
    path.write_text(text, encoding="utf-8")
    return path


def test_defaults_need_no_file() -> None:
    settings = load_settings()
    assert settings.store.name == "visit-journal"
    assert settings.source is None


def test_option_beats_environment_beats_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = write(tmp_path / "s.toml", 'store = "/from/file"\ntechnician = "A. Mbeki"\n')
    assert load_settings(file).store == Path("/from/file")
    monkeypatch.setenv("JOURNAL_STORE", "/from/environment")
    assert load_settings(file).store == Path("/from/environment")
    assert load_settings(file, store=Path("/from/option")).store == Path("/from/option")
    assert load_settings(file).technician == "A. Mbeki"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('stoer = "x"', "does not know the key 'stoer'"),
        ("store = 3", "wrong kind of value"),
        ("altitude_m = true", "wrong kind of value"),
        ("altitude_m = 1500\nbarometer_kpa = 84", "both"),
        ("store = ", "not valid TOML"),
    ],
)
def test_what_is_wrong_is_named(tmp_path: Path, text: str, message: str) -> None:
    with pytest.raises(SettingsUnusable, match=message):
        load_settings(write(tmp_path / "s.toml", text))


def test_a_named_file_must_be_there(tmp_path: Path) -> None:
    with pytest.raises(SettingsUnusable, match="is not there"):
        load_settings(tmp_path / "none.toml")
