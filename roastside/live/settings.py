"""What a person has chosen, kept in settings.toml; every setting with its default and meaning."""

from __future__ import annotations

import os
import tempfile
import tomllib
from collections.abc import Mapping, MutableMapping
from contextlib import suppress
from dataclasses import dataclass, field, fields, is_dataclass, replace
from pathlib import Path
from typing import Any, TypeVar, get_type_hints

from roastside.core.errors import StoreError, UsageError
from roastside.core.plan import RoastPlan
from roastside.core.units import CELSIUS, FAHRENHEIT, Degrees
from roastside.live.advice_settings import AdviceSettings
from roastside.live.calibrations import calibration_table, calibrations_from
from roastside.live.home import home
from roastside.live.setting import fitting, setting
from roastside.live.sound_settings import SoundSettings
from roastside.probes.calibrate import Calibration

Section = TypeVar("Section")


@dataclass(frozen=True, slots=True)
class ProbeSettings:
    """The adapter that is listened to when a command names none."""

    port: str = setting("", "port of the adapter (/dev/ttyUSB0, COM3)")
    baud: int = setting(9600, "speed of the line")
    wire: str = setting("lines", "what the bytes mean, as for --wire")
    type: str = setting("", "thermocouple type of the bean probe", ("", "K", "J", "T", "E", "N"))


@dataclass(frozen=True, slots=True)
class DisplaySettings:
    """How things are shown."""

    unit: str = setting("C", "degrees on the screen", ("C", "F"))

    @property
    def degrees(self) -> Degrees:
        """The unit, as what draws and speaks takes it."""
        return FAHRENHEIT if self.unit == "F" else CELSIUS


@dataclass(frozen=True, slots=True)
class Settings:
    """All settings, one section a field."""

    probe: ProbeSettings = field(default_factory=ProbeSettings)
    display: DisplaySettings = field(default_factory=DisplaySettings)
    sound: SoundSettings = field(default_factory=SoundSettings)
    advice: AdviceSettings = field(default_factory=AdviceSettings)
    calibration: Mapping[str, Calibration] = field(default_factory=dict)
    """By channel, such as bean_c; `roastside calibrate` writes it."""

    @property
    def plan(self) -> RoastPlan:
        """The limits of a roast for which no others are named."""
        return self.advice.plan(self.display.degrees)


def settings_path() -> Path:
    """Where the settings are kept."""
    return home() / "settings.toml"


def load_settings(path: Path | None = None) -> Settings:
    """The settings kept, defaults where there are none; unknown keys are passed over.

    Raises UsageError, naming file, key and what would fit, if the file cannot be used.
    """
    path = path or settings_path()
    try:
        kept = tomllib.loads(path.read_text(encoding="utf-8"))
    except (FileNotFoundError, NotADirectoryError):
        return Settings()
    except UnicodeDecodeError as error:
        raise UsageError(f"{path} is no text; mend it or take it away") from error
    except (OSError, tomllib.TOMLDecodeError) as error:
        raise UsageError(f"{path} cannot be read ({error}); mend it or take it away") from error
    _refuse_misplaced(kept, path)
    defaults = {each.name: getattr(Settings(), each.name) for each in fields(Settings)}
    chosen: dict[str, Any] = {
        name: _section(default, kept.get(name, {}), path, name)
        for name, default in defaults.items()
        if is_dataclass(default)
    }
    return Settings(**chosen, calibration=calibrations_from(kept.get("calibration", {}), path))


def settings_or_usual() -> tuple[Settings, str]:
    """The settings kept; if they cannot be used, the usual ones, and a sentence why.

    For where a roast must be able to begin whatever became of a file.
    """
    try:
        return load_settings(), ""
    except UsageError as error:
        return Settings(), (
            f"{error}. Until then everything is as usual: your limits and calibration do not count."
        )


def save_settings(settings: Settings, path: Path | None = None, only: str = "") -> None:
    """Keep the settings, all at once or not at all; comments and unknown keys in the file stay.

    `only`: this section, and nothing of the others.

    Raises StoreError if they cannot be written.
    """
    import tomlkit

    path = path or settings_path()
    try:
        document = tomlkit.parse(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomlkit.exceptions.TOMLKitError):
        document = tomlkit.document()
        with suppress(OSError):  # a person may yet find what they had
            path.replace(path.with_name("settings damaged.toml"))
    if only:
        _write_into(_table_in(document, only), getattr(settings, only))
    else:
        _write_into(document, settings)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile(
            "w", encoding="utf-8", dir=path.parent, suffix=".toml", delete=False
        ) as draft:
            draft.write(tomlkit.dumps(document))
            draft.flush()
            os.fsync(draft.fileno())
        Path(draft.name).replace(path)
    except OSError as error:
        raise StoreError(
            f"the settings cannot be kept in {path} ({error.strerror or error}); "
            "check the disk, or set ROASTSIDE_HOME to a folder you can write to"
        ) from error


def _refuse_misplaced(kept: Mapping[str, Any], path: Path) -> None:
    """A known key above the sections would be passed over, and nobody would know why."""
    above = {key for key, value in kept.items() if not isinstance(value, Mapping)}
    for section in fields(Settings):
        default = getattr(Settings(), section.name)
        known = {each.name for each in fields(default)} if is_dataclass(default) else set()
        if stray := sorted(known & above):
            raise UsageError(
                f"{path}: {stray[0]} stands above the sections; move it below [{section.name}]"
            )


def _section(default: Section, kept: Any, path: Path, name: str) -> Section:
    if not isinstance(kept, Mapping):
        raise UsageError(f"{path}: {name} is not a table; write it as [{name}]")
    hints = get_type_hints(type(default))
    changes = {}
    for each in fields(default):  # type: ignore[arg-type]
        if each.name not in kept:
            continue
        value = kept[each.name]
        try:
            changes[each.name] = fitting(each, hints[each.name], value)
        except UsageError as error:
            raise UsageError(f"{path}: {name}.{each.name} is {value!r}; {error}") from error
    return replace(default, **changes)  # type: ignore[type-var]


def _write_into(table: MutableMapping[str, Any], settings: Any) -> None:
    """Set what the settings say; comments and the keys of others stay."""
    for each in fields(settings):
        value = getattr(settings, each.name)
        if isinstance(value, Mapping):
            for channel, calibration in value.items():
                _table_in(table, each.name)[channel] = calibration_table(calibration)
        elif is_dataclass(value):
            _write_into(_table_in(table, each.name), value)
        else:
            table[each.name] = list(value) if isinstance(value, tuple) else value


def _table_in(table: MutableMapping[str, Any], name: str) -> MutableMapping[str, Any]:
    """The table of that name, made if need be."""
    if not isinstance(table.get(name), MutableMapping):
        table[name] = {}
    found: MutableMapping[str, Any] = table[name]
    return found
