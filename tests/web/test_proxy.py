"""`finishing serve` behind a reverse proxy that stands on a path and has a name of its own for the server."""

from __future__ import annotations

import asyncio
import re
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import aiohttp
from aiohttp import WSMsgType, web

from tests.databases import free_port
from tests.web.test_serve import plain, serving

PATH = "/bench"

HOPS = frozenset({"connection", "upgrade", "keep-alive", "transfer-encoding", "host", "content-length"})
"""What a proxy does not hand on: RFC 9110, section 7.6.1; and the length, which is counted anew."""


@asynccontextmanager
async def proxy(port: int, upstream: str) -> AsyncIterator[None]:
    """A proxy as they come: another Host, the path taken off, websockets handed on."""
    async with aiohttp.ClientSession(auto_decompress=False, cookie_jar=aiohttp.DummyCookieJar()) as there:

        async def hand_on(request: web.Request) -> web.StreamResponse:
            url = upstream + request.path_qs.removeprefix(PATH)
            headers = {k: v for k, v in request.headers.items() if k.lower() not in HOPS and not k.startswith("Sec-")}
            headers |= {"X-Forwarded-Host": request.host, "X-Forwarded-Proto": "http"}
            if request.headers.get("Upgrade") == "websocket":
                return await both_ways(request, url, headers)
            body = await request.read()
            async with there.request(request.method, url, headers=headers, data=body, allow_redirects=False) as answer:
                kept = {k: v for k, v in answer.headers.items() if k.lower() not in HOPS}
                return web.Response(status=answer.status, headers=kept, body=await answer.read())

        async def both_ways(request: web.Request, url: str, headers: dict[str, str]) -> web.StreamResponse:
            async with there.ws_connect(url, headers=headers) as far:
                near = web.WebSocketResponse()
                await near.prepare(request)

                async def up() -> None:
                    async for message in near:
                        await far.send_str(message.data)
                    await far.close()

                going = asyncio.create_task(up())
                async for message in far:
                    await (near.send_bytes if message.type is WSMsgType.BINARY else near.send_str)(message.data)
                await near.close()
                await going
                return near

        app = web.Application()
        app.router.add_route("*", f"{PATH}/{{rest:.*}}", hand_on)
        runner = web.AppRunner(app, shutdown_timeout=0.1)
        await runner.setup()
        await web.TCPSite(runner, "127.0.0.1", port).start()
        try:
            yield
        finally:
            await runner.cleanup()


async def test_the_screens_through_a_reverse_proxy(tmp_path: Path) -> None:
    port = free_port()
    public = f"http://127.0.0.1:{port}{PATH}"
    own = {"Origin": f"http://127.0.0.1:{port}"}
    with serving(tmp_path / "shop", "--public-url", f"{public}/", FINISHING_PASSPHRASE="oak") as (address, _):
        jar = aiohttp.CookieJar(unsafe=True)  # "unsafe": also of an address that is no name
        async with proxy(port, address), aiohttp.ClientSession(cookie_jar=jar) as browser:
            async with browser.get(f"{public}/") as asked:
                assert asked.status == 401
                form = re.search(r'action="([^"]+)"', await asked.text())
            assert form is not None
            assert form[1] == f"{PATH}/enter"
            there = f"http://127.0.0.1:{port}{form[1]}"
            async with browser.post(there, data={"words": "oak"}, headers=own) as entered:
                page = await entered.text()
                assert (entered.status, str(entered.url)) == (200, f"{public}/")
            for found in re.findall(r'(?:src|href)="([^"]+)"', page):
                async with browser.get(found) as part:
                    assert found.startswith(f"{public}/static/")
                    assert part.status == 200
            socket = re.search(r'data-session-websocket-url="([^"]+)"', page)
            assert socket is not None
            assert socket[1].startswith(f"ws://127.0.0.1:{port}{PATH}/ws")
            async with browser.get(f"{public}/", headers={"Origin": "http://elsewhere.example"}) as foreign:
                assert foreign.status == 403
            sent: list[str] = []
            async with browser.ws_connect(f"{socket[1]}?width=80&height=24", headers=own) as screens:
                while "the rack is yours" not in plain(sent):
                    message = await asyncio.wait_for(screens.receive(), 60)
                    assert message.type in (WSMsgType.BINARY, WSMsgType.TEXT), message
                    sent.append(message.data.decode() if message.type is WSMsgType.BINARY else str(message.data))
