"""Settings, read once from a TOML file and the environment, and handed down as arguments.

An unknown key is an error, so that a misspelt limit does not silently fall back to the default.

```toml
store = "~/journal"             # folder of the store; also --store and JOURNAL_STORE
model = "trade-english"         # a name below models/ or a path; also --model
second_listener = "auto"        # "auto": when it is installed; "off"; an added whisper model or a folder
technician = "A. Mbeki"         # stands on every visit unless another is given
altitude_m = 1500               # height of the shop's sites; or barometer_kpa
[limits]                        # company rules: see 'journal check --limits' for the names
```
"""

from __future__ import annotations

import os
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import platformdirs

from journal.errors import SettingsUnusable

APPLICATION = "visit-journal"
STORE_VARIABLE = "JOURNAL_STORE"
SETTINGS_VARIABLE = "JOURNAL_SETTINGS"


@dataclass(frozen=True, slots=True)
class Settings:
    """What a user may set; every field has a default that works."""

    store: Path
    model: str | None = None
    second_listener: str = "auto"
    technician: str | None = None
    altitude_m: float | None = None
    barometer_kpa: float | None = None
    limits: Mapping[str, Any] = field(default_factory=dict)
    source: Path | None = None


_KEYS: dict[str, type | tuple[type, ...]] = {
    "store": str,
    "model": str,
    "second_listener": str,
    "technician": str,
    "altitude_m": (int, float),
    "barometer_kpa": (int, float),
    "limits": dict,
}


def default_settings_path() -> Path:
    """Return where the settings are looked for when nothing else is said."""
    return platformdirs.user_config_path(APPLICATION) / "settings.toml"


def own_models() -> Path:
    """Return the folder of the models a user added."""
    return platformdirs.user_data_path(APPLICATION) / "models"


def load_settings(path: Path | None = None, *, store: Path | None = None) -> Settings:
    """Read the settings.

    ``path`` (or ``JOURNAL_SETTINGS``) must exist when given; the default place may be absent.  ``store`` wins over
    ``JOURNAL_STORE``, which wins over the file.  Raises ``SettingsUnusable`` naming the key that is wrong.
    """
    given = path or (Path(os.environ[SETTINGS_VARIABLE]) if os.environ.get(SETTINGS_VARIABLE) else None)
    file = given or default_settings_path()
    values: dict[str, Any] = {}
    if given or file.is_file():
        values = _read(file)
    for key, value in values.items():
        if key not in _KEYS:
            raise SettingsUnusable(file, f"does not know the key '{key}'", f"The keys are: {', '.join(_KEYS)}.")
        if not isinstance(value, _KEYS[key]) or isinstance(value, bool):
            raise SettingsUnusable(
                file, f"'{key}' has the wrong kind of value ({value!r})", "See the README's example."
            )
    if "altitude_m" in values and "barometer_kpa" in values:
        raise SettingsUnusable(file, "gives both altitude_m and barometer_kpa", "Keep the one you know better.")
    from_environment = os.environ.get(STORE_VARIABLE)
    folder = store or (Path(from_environment) if from_environment else None) or values.get("store")
    return Settings(
        store=Path(folder).expanduser() if folder else platformdirs.user_data_path(APPLICATION),
        model=values.get("model"),
        second_listener=values.get("second_listener", "auto"),
        technician=values.get("technician"),
        altitude_m=values.get("altitude_m"),
        barometer_kpa=values.get("barometer_kpa"),
        limits=values.get("limits", {}),
        source=file if values else None,
    )


def _read(file: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(file.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise SettingsUnusable(file, "is not there", "Check the path, or leave it out to use the defaults.") from None
    except (OSError, UnicodeDecodeError) as error:
        raise SettingsUnusable(file, f"cannot be read ({error})", "Check the file and its permissions.") from None
    except tomllib.TOMLDecodeError as error:
        raise SettingsUnusable(file, f"is not valid TOML ({error})", "Mend that line.") from None
