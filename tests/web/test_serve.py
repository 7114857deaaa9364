"""The bench in a real browser: it loads, a coat is recorded by tapping alone, and the bench changes.

Chromium is looked for on this machine (Debian's package `chromium`); without it the tests that need it skip.
"""

from __future__ import annotations

import os
import re
import shutil
import sqlite3
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import pytest
from textual.geometry import Region

from finishing.cli.serve import is_loopback
from finishing.clock import now_hour
from finishing.cure.outlook import UsualDay
from finishing.screens.app import FinishingApp
from finishing.shop import places
from finishing.shop.settings import change_setting
from finishing.shop.shop import Shop
from finishing.store import at_file
from tests.databases import free_port
from tests.shop.built import FILE, begin

BROWSER = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")

FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip

SHOTS = os.environ.get("FINISHING_TEST_SHOTS")
"""A folder for a picture of the card in the browser, to look at."""

needs_browser = pytest.mark.skipif(BROWSER is None, reason="no Chromium on this machine")


@contextmanager
def serving(home: Path, *words: str, **environ: str) -> Iterator[tuple[str, subprocess.Popen[str]]]:
    """`finishing serve` as a process, ready; its address and itself."""
    port = free_port()
    process = subprocess.Popen(
        [sys.executable, "-m", "finishing", "serve", "--port", str(port), *words],
        env={**os.environ, "FINISHING_HOME": str(home), "TZ": "UTC", **environ},
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    address = f"http://127.0.0.1:{port}"
    try:
        for _ in range(300):
            assert process.poll() is None, process.communicate()
            try:
                status(address)
                break
            except urllib.error.URLError:
                time.sleep(0.1)
        yield address, process
    finally:
        process.terminate()
        process.communicate(timeout=30)


def status(address: str, **headers: str) -> tuple[int, str]:
    """What a request without a browser is answered."""
    try:
        with urllib.request.urlopen(urllib.request.Request(address, headers=headers), timeout=20) as answer:
            return answer.status, answer.read().decode()
    except urllib.error.HTTPError as refused:
        with refused:
            return refused.code, refused.read().decode()


def entries_in(home: Path) -> list[tuple[int, str]]:
    """Number and kind of every entry, by the driver's own means."""
    with closing(sqlite3.connect(home / "finishing.db")) as plain:
        return plain.execute("SELECT id, kind FROM entry ORDER BY id").fetchall()


async def places_to_tap(home: Path, size: tuple[int, int]) -> list[Region]:
    """Where, in cells, the key that records a coat and the button that agrees are, by the same screens elsewhere."""
    shop = Shop.open(now_hour(), at_file(home / FILE))
    app = FinishingApp(shop)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        key = next(k for k in app.screen.query("FooterKey") if getattr(k, "key", "") == "c").region
        await pilot.press("c")
        button = Region()
        for _ in range(200):  # until the card is laid out
            await pilot.pause(0.05)
            for found in app.screen.query("#done"):
                button = found.region
            if button.height:
                break
    shop.close()
    return [key, button]


@needs_browser
async def test_a_coat_is_recorded_by_tapping(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from playwright.async_api import async_playwright

    home = tmp_path / "shop"
    now = now_hour()
    shop = Shop.open(now, at_file(home / FILE))
    change_setting(shop, "zone", "UTC", now)
    places.add_place(shop, "loft", UsualDay(21.0, 21.0, 50.0, 50.0), now)
    begin(shop, at=now)
    shop.close()
    shutil.copytree(home, tmp_path / "copy")
    before = entries_in(home)
    sent: list[str] = []
    sockets: list[Any] = []

    def listen(socket: Any) -> None:
        sockets.append(socket)
        socket.on("framereceived", lambda payload: sent.append(as_text(payload)))

    with serving(home) as (address, _):
        async with async_playwright() as playwright:
            browser = await playwright.chromium.launch(executable_path=BROWSER, args=FLAGS)
            page = await browser.new_page(viewport={"width": 1280, "height": 800}, has_touch=True)
            asked: list[str] = []
            page.on("request", lambda request: asked.append(request.url))
            page.on("websocket", listen)
            await page.goto(address)
            await until(page, lambda: "B-1" in plain(sent) and "Quit" in plain(sent))
            found = re.search(r"width=(\d+)&height=(\d+)", sockets[0].url)
            assert found is not None
            size = int(found[1]), int(found[2])
            monkeypatch.setenv("TEXTUAL_DRIVER", "")
            key, button = await places_to_tap(tmp_path / "copy", size)
            box = await page.locator(".xterm-screen").bounding_box()
            assert box is not None
            cell = box["width"] / size[0], box["height"] / size[1]
            # 44 CSS px: WCAG 2.2, success criterion 2.5.5 (target size, enhanced)
            assert min(region.height * cell[1] for region in (key, button)) >= 44
            assert min(region.width * cell[0] for region in (key, button)) >= 44

            async def tap(region: Region) -> None:
                x, y = region.center
                await page.touchscreen.tap(box["x"] + x * cell[0], box["y"] + y * cell[1])

            shown = await page.screenshot()
            await tap(key)
            await until(page, lambda: "Not now" in plain(sent))
            sent.clear()
            await page.wait_for_timeout(500)
            if SHOTS:
                await page.screenshot(path=f"{SHOTS}/card.png")
            await tap(button)
            await until(page, lambda: "on record" in plain(sent))
            await until(page, lambda: entries_in(home) != before)
            assert entries_in(home)[: len(before)] == before
            assert "coat" in [kind for _, kind in entries_in(home)[len(before) :]]
            assert await page.screenshot() != shown
            assert all(url.startswith(address) for url in asked), asked  # nothing from anywhere else
            await browser.close()


def as_text(payload: str | bytes) -> str:
    return payload if isinstance(payload, str) else payload.decode("utf-8", "replace")


def plain(sent: list[str]) -> str:
    """What came for the terminal, without its control sequences."""
    return re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", "".join(sent))


async def until(page: Any, holds: Any) -> None:
    """Let the page go on until something holds."""
    for _ in range(600):
        if holds():
            return
        await page.wait_for_timeout(100)
    raise AssertionError("it never came")


def test_only_pages_of_its_own_by_its_own_name(tmp_path: Path) -> None:
    with serving(tmp_path / "shop") as (address, _):
        assert status(address)[0] == 200
        assert "https://" not in status(address)[1]
        # a page elsewhere that had its name lead here, or opened the socket from there
        assert status(address, Host="elsewhere.example")[0] == 403
        assert status(f"{address}/ws", Origin="http://elsewhere.example")[0] == 403


def test_a_pass_phrase_at_the_door(tmp_path: Path) -> None:
    with serving(tmp_path / "shop", FINISHING_PASSPHRASE="oak & ash") as (address, _):
        code, said = status(address)
        assert code == 401
        assert "pass-phrase" in said
        assert status(f"{address}/ws")[0] == 403
        assert status(f"{address}/static/js/textual.js")[0] == 403
        jar = urllib.request.HTTPCookieProcessor()
        opener = urllib.request.build_opener(jar)
        with pytest.raises(urllib.error.HTTPError) as refused:
            opener.open(f"{address}/enter", b"words=oak", timeout=20)
        assert refused.value.code == 403
        refused.value.close()
        with opener.open(f"{address}/enter", b"words=oak+%26+ash", timeout=20) as answer:
            assert "data-session-websocket-url" in answer.read().decode()
        [cookie] = jar.cookiejar
        assert cookie.has_nonstandard_attr("HttpOnly")


def test_a_network_needs_a_pass_phrase_or_a_word_and_is_warned_of(tmp_path: Path) -> None:
    environ = {**os.environ, "FINISHING_HOME": str(tmp_path)}
    command = [sys.executable, "-m", "finishing", "serve", "--host", "0.0.0.0"]
    done = subprocess.run(command, env=environ, capture_output=True, text=True)
    assert done.returncode == 2
    assert "FINISHING_PASSPHRASE" in done.stderr
    assert done.stderr.count("\n") == 1
    with serving(tmp_path, "--host", "0.0.0.0", "--anybody") as (_, process):
        assert process.stderr is not None
        assert "WARNING: 0.0.0.0 is open to the network: ANYBODY" in process.stderr.readline()


@pytest.mark.parametrize(
    ("host", "alone"),
    [("localhost", True), ("127.0.0.9", True), ("::1", True), ("0.0.0.0", False), ("::", False), ("rack", False)],
)
def test_what_only_this_machine_can_reach(host: str, alone: bool) -> None:
    # RFC 6890: 127.0.0.0/8 and ::1 are loopback; RFC 1122: 0.0.0.0 stands for this host on every network
    assert is_loopback(host) is alone
