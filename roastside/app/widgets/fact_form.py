"""What can be filled in about a roast, as rows; the roast loss is told as the weights are typed."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.suggester import SuggestFromList
from textual.widget import Widget
from textual.widgets import Input, Label, Select, Static

from roastside.app.widgets.field import Field
from roastside.app.widgets.tick_box import TickBox
from roastside.live.filling_in import FACTS, SETTLED, VERDICTS, Fact, loss_words


class FactForm(Vertical):
    """One row a fact. Everything may be left empty.

    texts: what stands there at first, by key (`live.filling_in.texts_of`). coffees: names that are
    proposed. lots_of: the names of the lots of a coffee.
    """

    DEFAULT_CSS = """
    FactForm { height: auto; }
    FactForm Horizontal { height: 1; }
    FactForm Label { width: 16; }
    FactForm Input, FactForm Select { width: 1fr; }
    FactForm TickBox { height: 1; margin-left: 16; }
    FactForm #fact-loss { height: 1; margin-left: 16; color: $foreground 80%; }
    """

    def __init__(
        self,
        texts: Mapping[str, str],
        coffees: Sequence[str] = (),
        lots_of: Callable[[str], Sequence[str]] = lambda coffee: (),
    ) -> None:
        super().__init__()
        self._before = dict(texts)
        self._coffees = coffees
        self._lots_of = lots_of

    def compose(self) -> ComposeResult:
        for fact in FACTS:
            with Horizontal():
                yield Label(fact.words)
                yield self._field(fact)
            if fact.key == "roasted_weight_g":
                yield Static(id="fact-loss", markup=False)
        yield TickBox(
            "nothing more to fill in",
            value=bool(self._before.get(SETTLED)),
            compact=True,
            id=_id(SETTLED),
        )

    def on_mount(self) -> None:
        self._tell_loss()

    @property
    def before(self) -> Mapping[str, str]:
        """What stood there at first."""
        return self._before

    def texts(self) -> dict[str, str]:
        """What stands there now, by key."""
        found = {fact.key: self._text(fact.key) for fact in FACTS}
        found[SETTLED] = "yes" if self.query_one(f"#{_id(SETTLED)}", TickBox).value else ""
        return found

    def focus_first_empty(self) -> None:
        """Go to the first row that is empty, or else to the first."""
        empty = [fact.key for fact in FACTS if not self._text(fact.key)]
        self.query_one(f"#{_id(empty[0] if empty else FACTS[0].key)}").focus()

    def on_input_changed(self, event: Input.Changed) -> None:
        event.stop()
        if event.input.id == _id("coffee"):
            lots = self._lots_of(event.value.strip())
            self.query_one(f"#{_id('lot')}", Input).suggester = _names(lots)
        elif event.input.id in (_id("charge_weight_g"), _id("roasted_weight_g")):
            self._tell_loss()

    def _tell_loss(self) -> None:
        words = loss_words(self._text("charge_weight_g"), self._text("roasted_weight_g"))
        self.query_one("#fact-loss", Static).update(words)

    def _text(self, key: str) -> str:
        field = self.query_one(f"#{_id(key)}")
        if isinstance(field, Select):
            return str(field.value) if isinstance(field.value, str) else ""
        return field.value.strip() if isinstance(field, Input) else ""

    def _field(self, fact: Fact) -> Widget:
        text = self._before.get(fact.key, "")
        if fact.key == "verdict":
            options = [("not yet", ""), *((verdict, verdict) for verdict in VERDICTS)]
            return Select(options, value=text, allow_blank=False, compact=True, id=_id(fact.key))
        names: Sequence[str] = ()
        if fact.key == "coffee":
            names = self._coffees
        elif fact.key == "lot":
            names = self._lots_of(self._before.get("coffee", ""))
        return Field(
            text,
            placeholder=fact.hint,
            suggester=_names(names),
            max_length=400,
            compact=True,
            id=_id(fact.key),
        )


def _names(names: Sequence[str]) -> SuggestFromList | None:
    return SuggestFromList(names, case_sensitive=False) if names else None


def _id(key: str) -> str:
    return "fact-" + key.replace("_", "-")
