"""Who may come in by the browser: pages of this server only, and where a pass-phrase is set, who knows it."""

from __future__ import annotations

import asyncio
import hmac
import secrets
from collections.abc import Awaitable, Callable
from html import escape
from urllib.parse import urlsplit

from aiohttp import web

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]

COOKIE = "finishing-bench"
SLOW_SECONDS = 1.0
"""How long a wrong pass-phrase waits for its answer."""

_ASK = """<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>finishing</title>
<style>body{{font:20px monospace;margin:2em}}input,button{{font:inherit;padding:.6em}}</style></head>
<body><form method="post" action="{path}/enter"><p>{said}</p><label>pass-phrase
<input type="password" name="words" autofocus autocomplete="current-password"></label>
<button>open the bench</button></form></body></html>
"""


class Door:
    """Lets in requests for the hosts it is known by, from its own pages, with the pass-phrase if there is one."""

    def __init__(self, hosts: frozenset[str], words: str = "", public_url: str = "") -> None:
        # hosts: without ports. A page elsewhere that talks to this machine by another name is kept out by them.
        # public_url: where browsers are, if a reverse proxy stands between; it may have another name for this server.
        self._hosts = hosts
        self._words = words
        public = urlsplit(public_url)
        self._public = public.netloc
        self._path = public.path.rstrip("/")
        self._encrypted = public.scheme == "https"
        self._token = secrets.token_urlsafe(32)
        self._wrong = asyncio.Lock()

    @web.middleware
    async def middleware(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        """For every request, the one that drives the screens among them."""
        if self._hosts and (urlsplit(f"//{request.host}").hostname or "") not in self._hosts:
            raise web.HTTPForbidden(text="not known by this name\n")
        origin = request.headers.get("Origin")
        if origin is not None and urlsplit(origin).netloc not in {request.host, self._public}:
            raise web.HTTPForbidden(text="not from a page of this server\n")
        if not self._words or self._known(request):
            return await handler(request)
        if request.path == "/enter" and request.method == "POST":
            return await self._enter(request)
        if request.path != "/":
            raise web.HTTPForbidden(text="the pass-phrase first\n")
        return self._asked("this bench asks for its pass-phrase", 401)

    def _known(self, request: web.Request) -> bool:
        return hmac.compare_digest(request.cookies.get(COOKIE, "").encode(), self._token.encode())

    async def _enter(self, request: web.Request) -> web.StreamResponse:
        given = str((await request.post()).get("words", ""))
        if not hmac.compare_digest(given.encode(), self._words.encode()):
            async with self._wrong:  # one at a time, so that many at once guess no faster
                await asyncio.sleep(SLOW_SECONDS)
            return self._asked("that is not it", 403)
        answer = web.HTTPSeeOther(f"{self._path}/")
        secure = request.secure or self._encrypted
        answer.set_cookie(COOKIE, self._token, httponly=True, samesite="Strict", secure=secure)
        return answer

    def _asked(self, said: str, status: int) -> web.Response:
        text = _ASK.format(said=said, path=escape(self._path))
        return web.Response(text=text, content_type="text/html", status=status)
