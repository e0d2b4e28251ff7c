"""Lets a person hear and see what the settings make of an alert, before one comes."""

from __future__ import annotations

from roastside.core.events import Alert, AlertState, Family, Priority
from roastside.live.outlets import Outlets
from roastside.live.sound_settings import SoundSettings
from roastside.sound.motifs import motif_for
from roastside.sound.outside import LIMIT_S

TRIAL = Alert(
    time_s=0.0,
    elapsed_s=None,
    alert="trial",
    family=Family.TIMING,
    priority=Priority.MEDIUM,
    state=AlertState.RAISED,
    message="only a trial: this is how an alert sounds",
)


def try_out(choice: SoundSettings, outlets: Outlets) -> list[str]:
    """One sound, one sentence, one run of the command, one notification, of those that are on.

    Waits for the end of each, and names them. The outlets are started here, and to be stopped by
    the caller, from any thread; that ends the wait as well. Their troubles they tell themselves.
    """
    tried = []
    if choice.on:
        outlets.sounds.start()
        outlets.sounds.play(motif_for(TRIAL))
        outlets.sounds.wait(LIMIT_S)
        tried.append("a sound")
    if outlets.voice is not None:
        outlets.voice.say(TRIAL.message)
        outlets.voice.wait(LIMIT_S)
        tried.append("a sentence")
    if outlets.outside is not None:
        outlets.outside.take(TRIAL)
        outlets.outside.wait(LIMIT_S + 1.0)
        tried.append("the command")
    if outlets.notices is not None:
        outlets.notices.show("roast: trial", TRIAL.message)
        outlets.notices.wait(LIMIT_S)
        tried.append("a notification")
    return tried
