"""A database that is out of reach: what was read stays in sight, nothing is recorded, and nobody's screen ends."""

from __future__ import annotations

from inspect import isawaitable

from textual.message import Message
from textual.message_pump import MessagePump
from textual.timer import Timer, TimerCallback

from finishing.clock import at_zone
from finishing.errors import StoreTrouble
from finishing.exchange.plain import plain
from finishing.shop.shop import Shop

STILL_HERE = frozenset({"help", "back", "quit", "zoom", "move", "go", "help_quit"})
"""What can be done without the database: read what shows, and leave."""


def lost_words(shop: Shop) -> str:
    """What the masthead says while the database is out of reach; "" while it is not."""
    if shop.lost is None:
        return ""
    return f"NO CONNECTION · as of {at_zone(shop.lost.as_of, shop.settings.zone).format('HH:mm')}"


def can_do(shop: Shop, action: str) -> bool:
    """Whether an action makes sense now."""
    return shop.lost is None or action.rpartition(".")[2] in STILL_HERE


class Steady(MessagePump):
    """Lets no key, click or timer end the program because the database went away just then: it says so instead.

    It stands in at a private method of Textual's, since there is no public place that both events and messages pass:
    `on_event` sees keys and no message, and whatever a handler raises ends the app. `test_steady` says so should
    Textual change it. Timers don't pass there, and are wrapped.
    """

    async def _dispatch_message(self, message: Message) -> None:
        try:
            await super()._dispatch_message(message)
        except StoreTrouble as trouble:
            self._not_done(trouble)

    def set_timer(
        self, delay: float, callback: TimerCallback | None = None, *, name: str | None = None, pause: bool = False
    ) -> Timer:
        """As Textual's."""
        return super().set_timer(delay, self._steadied(callback), name=name, pause=pause)

    def set_interval(
        self,
        interval: float,
        callback: TimerCallback | None = None,
        *,
        name: str | None = None,
        repeat: int = 0,
        pause: bool = False,
    ) -> Timer:
        """As Textual's."""
        return super().set_interval(interval, self._steadied(callback), name=name, repeat=repeat, pause=pause)

    def _steadied(self, callback: TimerCallback | None) -> TimerCallback | None:
        if callback is None:
            return None

        async def tick() -> None:
            try:
                done = callback()
                if isawaitable(done):
                    await done
            except StoreTrouble as trouble:
                self._not_done(trouble)

        return tick

    def _not_done(self, trouble: StoreTrouble) -> None:
        self.app.notify(plain(f"not done: {trouble}"), severity="error", timeout=8, markup=False)
