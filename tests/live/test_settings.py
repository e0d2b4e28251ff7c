"""Settings: kept whole, read strictly, a person's own lines left in place."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from roastside.core.errors import StoreError, UsageError
from roastside.live.settings import ProbeSettings, Settings, load_settings, save_settings


def test_without_a_file_all_is_at_its_default(tmp_path: Path) -> None:
    assert load_settings(tmp_path / "settings.toml") == Settings()


def test_what_was_saved_is_read_again(tmp_path: Path) -> None:
    path = tmp_path / "new" / "settings.toml"
    chosen = Settings(probe=ProbeSettings(port='/dev/tty "odd"', baud=115200, wire="lines:bean=2"))
    save_settings(chosen, path)
    assert load_settings(path) == chosen
    assert [file.name for file in path.parent.iterdir()] == ["settings.toml"]


def test_comments_and_keys_of_others_stay_when_saving(tmp_path: Path) -> None:
    path = tmp_path / "settings.toml"
    path.write_text('# by Ines\n[probe]\nport = "COM3" # left socket\n\n[later]\nkey = 1\n')
    before = load_settings(path)
    save_settings(replace(before, probe=replace(before.probe, baud=19200)), path)
    text = path.read_text()
    assert "# by Ines" in text
    assert "# left socket" in text
    assert "[later]" in text
    assert load_settings(path).probe == ProbeSettings(port="COM3", baud=19200)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            'port = "COM3"\n[probe]\nbaud = 9600\n',
            "port stands above the sections; move it below [probe]",
        ),
        ("[probe", "mend it"),
        ("probe = 3", "[probe]"),
        ("[probe]\nbaud = 'fast'", "probe.baud is 'fast'; it takes a whole number"),
        ("[probe]\nbaud = true", "a whole number"),
        ("[probe]\nport = 3", "a text in quotes"),
        ("\udcff", "mend it"),
    ],
)
def test_a_file_that_cannot_be_used_is_refused_in_a_sentence(
    tmp_path: Path, text: str, says: str
) -> None:
    path = tmp_path / "settings.toml"
    path.write_bytes(text.encode("utf-8", "surrogateescape"))
    with pytest.raises(UsageError) as refusal:
        load_settings(path)
    assert says in str(refusal.value)
    assert str(path) in str(refusal.value)


def test_settings_that_cannot_be_kept_are_told_and_the_old_ones_stay(tmp_path: Path) -> None:
    in_the_way = tmp_path / "file"
    in_the_way.write_text("")
    with pytest.raises(StoreError, match="cannot be kept"):
        save_settings(Settings(), in_the_way / "settings.toml")
