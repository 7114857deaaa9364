"""Two terminals and a browser work one shop on PostgreSQL at once, and a server that goes away costs nothing.

All of it is real: the program under tmux twice, `finishing serve` with Chromium, a private server that is killed and
started again. Nothing is looked at but what shows, and the database by the driver's own means.
"""

from __future__ import annotations

import os
from collections import Counter
from pathlib import Path
from typing import Any

import psycopg
import pytest

from finishing.clock import now_hour
from finishing.cure.outlook import UsualDay
from finishing.shop import places
from finishing.shop.settings import change_setting
from finishing.shop.shop import Shop
from finishing.store import Location
from tests.databases import Server, private_server
from tests.shop.built import begin
from tests.web.terminals import TMUX, Terminal, terminal
from tests.web.test_serve import BROWSER, FLAGS, as_text, plain, serving, until

pytestmark = [
    pytest.mark.pages,
    pytest.mark.skipif(BROWSER is None, reason="no Chromium on this machine"),
    pytest.mark.skipif(TMUX is None, reason="no tmux on this machine"),
]

SHOTS = os.environ.get("FINISHING_TEST_SHOTS")
"""A folder for pictures of the browser, to look at."""

LOST = "NO CONNECTION · as of"

BATCHES = {"ann": "A-1", "bo": "B-1", "cy": "C-1"}
"""Which batch each records on; the browser is cy's."""

ROWS = [f"{code}  trays ×4    " for code in BATCHES.values()]
"""What the bench's list says of each, and no other part of the screen."""


class Tablet:
    """The browser: keys go in, and what the program sent for the terminal in it comes out."""

    def __init__(self, page: Any) -> None:
        self.page = page
        self._sent: list[str] = []
        page.on("websocket", lambda socket: socket.on("framereceived", lambda p: self._sent.append(as_text(p))))

    @property
    def text(self) -> str:
        """What came since it was last cleared."""
        return plain(self._sent)

    def clear(self) -> None:
        """From here on."""
        self._sent.clear()

    async def keys(self, *keys: str) -> None:
        """Press keys, by the browser's names."""
        for key in keys:
            await self.page.keyboard.press(key)

    async def shows(self, *words: str) -> None:
        """Wait until all of these have come."""
        await until(self.page, lambda: all(word in self.text for word in words))

    async def picture(self, name: str) -> None:
        """Keep a picture, where somebody wants to look."""
        if SHOTS:
            await self.page.screenshot(path=f"{SHOTS}/{name}.png")


def filled(server: Server, home: Path) -> str:
    """A shop with three batches on the server; its URL."""
    url = server.url.render_as_string()
    now = now_hour()
    shop = Shop.open(now, Location(home, url))
    change_setting(shop, "zone", "Europe/Oslo", now)
    places.add_place(shop, "loft", UsualDay(21.0, 21.0, 50.0, 50.0), now)
    for code in BATCHES.values():
        begin(shop, code, at=now)
    shop.close()
    return url


def on_server(server: Server) -> list[tuple[str, str, str]]:
    """Batch, kind and maker of every entry, in order of their numbers."""
    with psycopg.connect(host="127.0.0.1", port=server.port, user="finishing", dbname="postgres") as plain_one:
        query = "SELECT b.code, e.kind, e.maker FROM entry e JOIN batch b ON b.id = e.batch_id ORDER BY e.id"
        return plain_one.execute(query).fetchall()


async def work(terminals: list[Terminal], tablet: Tablet, card: str, entry: str, after: str) -> None:
    """Each records the next step of its own batch, and all see all three."""
    tablet.clear()
    for one in terminals:
        one.keys("d")
        one.shows(f"{BATCHES[one.name]}: {card}", "Not now")
    await tablet.keys("d")
    await tablet.shows(f"{BATCHES['cy']}: {card}", "Not now")
    for one in terminals:  # all three cards are open at once
        one.keys("Enter")
    await tablet.keys("Enter")
    for one in terminals:
        one.shows(f"{BATCHES[one.name]}: {entry}, on record")
    await tablet.shows(f"{BATCHES['cy']}: {entry}, on record")
    for one in terminals:
        one.stands(dict.fromkeys(ROWS, after))
    await tablet.shows(after)


async def test_two_terminals_and_a_browser_on_one_shop(tmp_path: Path) -> None:
    from playwright.async_api import async_playwright

    server = private_server()
    try:
        url = filled(server, tmp_path / "first")
        environ = {"FINISHING_DATABASE": url, "TZ": "UTC"}
        with (
            serving(tmp_path / "cy", FINISHING_MAKER="cy", **environ) as (address, _),
            terminal(tmp_path, "ann", FINISHING_HOME=str(tmp_path / "ann"), FINISHING_MAKER="ann", **environ) as ann,
            terminal(tmp_path, "bo", FINISHING_HOME=str(tmp_path / "bo"), FINISHING_MAKER="bo", **environ) as bo,
        ):
            async with async_playwright() as playwright:
                browser = await playwright.chromium.launch(executable_path=BROWSER, args=FLAGS)
                tablet = Tablet(await browser.new_page(viewport={"width": 1280, "height": 800}))
                await tablet.page.goto(address)
                await tablet.shows("C-1", "Quit")
                await tablet.page.locator(".xterm-helper-textarea").focus()
                ann.shows("C-1", "Quit")
                bo.shows("C-1", "Quit")
                bo.keys("Down")
                await tablet.keys("ArrowDown", "ArrowDown")

                await work([ann, bo], tablet, "prepare P220", "prepare P220", "coat 1/4")
                await tablet.picture("together")

                ann.keys("c")  # a card is open when the server goes
                ann.shows("A-1: coat 1 of 4", "Not now")
                tablet.clear()
                server.stop()
                ann.keys("Enter")
                ann.shows("does not answer")
                for one in (ann, bo):
                    one.shows(LOST, within=5.0)
                    assert all("coat 1/4" in one.line(row) for row in ROWS), one.text()
                await tablet.shows(LOST)
                await tablet.picture("lost")
                for one in (ann, bo):
                    one.keys("d", "c", "n", "u")
                await tablet.keys("d", "c", "n", "u")
                await tablet.page.wait_for_timeout(500)
                assert all("Not now" not in text for text in (ann.text(), bo.text(), tablet.text))

                server.start()
                for one in (ann, bo):
                    one.shows("connection is back")
                    one.stands({"bench": "loft"})
                await tablet.shows("connection is back")
                assert len(on_server(server)) == 3  # nothing was put by to be written later

                await work([ann, bo], tablet, "coat 1 of 4", "coat 1 of 4", "wipe off")
                await tablet.picture("back")
                await browser.close()
        kept = on_server(server)
        assert Counter(kept) == {(code, kind, who): 1 for who, code in BATCHES.items() for kind in ("step", "coat")}
    finally:
        server.remove()
