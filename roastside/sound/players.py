"""Everything on this machine that can play a sound."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from dataclasses import dataclass

from roastside.sound.device_player import DevicePlayer, library_there
from roastside.sound.player import Player
from roastside.sound.system_player import find_system_players
from roastside.sound.unheard import BY_SSH, by_ssh
from roastside.sound.windows_player import WindowsPlayer

NO_PLAYER = (
    "no sounds: there is no program here that plays them, so the terminal bell rings instead; "
    "install one: pip install 'roastside[sound]'"
)


@dataclass(frozen=True, slots=True)
class Found:
    """The players, the one to try first first. why_none: a sentence, where there are none."""

    players: tuple[Player, ...]
    why_none: str = ""


def find_players(
    platform: str = sys.platform, environment: Mapping[str, str] = os.environ
) -> Found:
    """The sound library first, where it is installed, then what the system brings along."""
    if by_ssh(environment):
        return Found((), BY_SSH)
    players: list[Player] = [DevicePlayer()] if library_there() else []
    if platform == "win32":
        players.append(WindowsPlayer())
    players.extend(find_system_players(platform))
    return Found(tuple(players), "" if players else NO_PLAYER)
