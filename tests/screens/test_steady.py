"""That nothing which meets a lost database ends the program: it leans on a private method of Textual's."""

from __future__ import annotations

from inspect import iscoroutinefunction

from textual.app import App, ComposeResult
from textual.binding import Binding
from textual.message import Message
from textual.message_pump import MessagePump
from textual.screen import Screen
from textual.widgets import Button

from finishing.errors import StoreTrouble
from finishing.screens.connection import Steady


class Came(Message):
    """Something a widget might tell its page."""


def lose(where: str) -> None:
    raise StoreTrouble(f"the database went away in {where}", "wait")


class Front(Steady, Screen[None]):
    """Whatever it is asked, the database is gone."""

    BINDINGS = [Binding("x", "ask", "Ask")]  # noqa: RUF012 (as Screen declares it)

    def compose(self) -> ComposeResult:
        yield Button("ask")

    def action_ask(self) -> None:
        lose("a key")

    def on_button_pressed(self) -> None:
        lose("a click")

    def on_came(self) -> None:
        lose("a message")


class Whole(Steady, App[None]):
    """An app as the program's own."""

    def on_mount(self) -> None:
        self.push_screen(Front())


async def test_a_lost_database_ends_no_screen() -> None:
    assert iscoroutinefunction(getattr(MessagePump, "_dispatch_message", None)), (
        "Textual has changed how a pump dispatches a message: finishing.screens.connection.Steady stands in there"
    )
    app = Whole()
    said: list[str] = []
    app.notify = lambda message, **_: said.append(message)  # type: ignore[method-assign,assignment]
    async with app.run_test() as pilot:
        await pilot.press("x")
        await pilot.click(Button)
        app.screen.post_message(Came())
        app.screen.call_later(lose, "something put off")
        app.screen.set_timer(0.001, lambda: lose("a timer"))
        app.call_later(lose, "the app")
        for _ in range(100):
            await pilot.pause(0.01)
            if len(said) == 6:
                break
        assert app.is_running
    assert {text.partition(" in ")[2].partition(";")[0] for text in said} == {
        "a key", "a click", "a message", "something put off", "a timer", "the app",
    }  # fmt: skip
