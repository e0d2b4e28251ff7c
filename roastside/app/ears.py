"""Joins the Roast screen to what is heard of its roast."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from roastside.app.moment import Moment
from roastside.app.saying import status_words, tone_now
from roastside.core.errors import RoastsideError
from roastside.core.events import Alert
from roastside.live.hearing import Hearing, Scene
from roastside.live.outlets import Bell, MakeOutlets
from roastside.live.roast import LiveRoast
from roastside.live.settings import load_settings
from roastside.live.sound_settings import SoundSettings


def hearing_of(
    roast: LiveRoast, make_outlets: MakeOutlets, moment: Callable[[], Moment], bell: Bell
) -> Hearing:
    """What is heard of a roast, as the settings ask for it; troubles are lines of its log.

    A past roast that is shown again, or one for practice, sounds but sends no word to anyone.
    """

    def tell(words: str, topic: str = "") -> None:
        now_s = roast.source.now_s()
        if topic:
            roast.board.tell(topic, now_s, [words], "warn")
        else:
            roast.board.note(now_s, words, "warn")

    def words(alert: Alert) -> str:
        return roast.board.view().said.get(alert.alert, alert.message)

    try:
        choice = load_settings().sound
    except RoastsideError as error:
        tell(str(error))
        choice = SoundSettings()
    if roast.is_past or roast.is_practice:
        choice = replace(choice, command=(), notices=False)
    scene = Scene(words, lambda: status_words(moment()), lambda: tone_now(moment()))
    return Hearing(choice, make_outlets(choice, tell, bell), tell, scene)
