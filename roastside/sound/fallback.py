"""Several players as one: the first that works plays, one that fails rests for a while."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from roastside.sound.player import Clip, Player, Turn
from roastside.sound.tone import Tone

REST_S = 30.0
"""How long a player that failed is left alone before it is tried again."""


@dataclass(slots=True)
class Played:
    """How it went. by: the player that did it, None if none did. troubles: by player."""

    by: str | None = None
    troubles: dict[str, str] = field(default_factory=dict)


class Fallback:
    """Players in the order to try them. clock: any steady seconds."""

    def __init__(self, players: Sequence[Player], clock: Callable[[], float]) -> None:
        self._players = tuple(players)
        self._clock = clock
        self._resting_until_s: dict[str, float] = {}

    @property
    def follows(self) -> bool:
        """Whether one of them can sound a tone that goes on."""
        return any(player.follows for player in self._players)

    @property
    def rested(self) -> bool:
        """Whether one that failed could be tried again, and none before it works."""
        now_s = self._clock()
        for player in self._players:
            until_s = self._resting_until_s.get(player.name)
            if until_s is None or until_s <= now_s:
                return until_s is not None
        return False

    def play(self, clip: Clip, begin: Callable[[Turn], bool]) -> Played:
        """Play this to its end. begin: told of each turn before it; whether to go on."""
        played = Played()
        for player in self._awake():
            turn = player.turn(clip)
            if not begin(turn):
                break
            trouble = turn.run()
            if not trouble:
                played.by = player.name
                break
            played.troubles[player.name] = trouble
            self._rest(player)
        return played

    def works(self, name: str) -> None:
        """This player has played to the end: it is not one that failed any more."""
        self._resting_until_s.pop(name, None)

    def follow(self, tone: Tone) -> Played:
        """Sound this tone from now on."""
        played = Played()
        for player in self._awake():
            if player.follows:
                trouble = player.follow(tone)
                if trouble:
                    played.troubles[player.name] = trouble
                    self._rest(player)
                else:
                    played.by = player.name
                break
        return played

    def troubles(self) -> dict[str, str]:
        """What went wrong by itself since last asked, by player."""
        found = ((player.name, player.trouble()) for player in self._players)
        return {name: trouble for name, trouble in found if trouble}

    def close(self) -> None:
        """Let all devices go."""
        for player in self._players:
            player.close()

    def _awake(self) -> list[Player]:
        now_s = self._clock()
        return [
            player
            for player in self._players
            if self._resting_until_s.get(player.name, now_s) <= now_s
        ]

    def _rest(self, player: Player) -> None:
        self._resting_until_s[player.name] = self._clock() + REST_S
