"""A notification on the desktop, where the system has a program for it."""

from __future__ import annotations

import shutil
import subprocess
import sys
from html import escape

from finishing.exchange.plain import plain

SECONDS = 5.0
"""How long such a program may take."""


def command(title: str, words: str) -> list[str] | None:
    """What to run on this system; None where it has nothing. Text is handed over as arguments, never as a program."""
    title, words = plain(title), plain(words)
    if sys.platform == "darwin" and shutil.which("osascript"):
        script = "on run argv\ndisplay notification (item 2 of argv) with title (item 1 of argv)\nend run"
        return ["osascript", "-e", script, title, words]
    if shutil.which("notify-send"):
        # The body, unlike the title, may hold markup, links among it: Desktop Notifications Specification, "Markup".
        return ["notify-send", "--app-name=finishing", "--", title, escape(words, quote=False)]
    return None


def notify(title: str, words: str) -> bool:
    """Show it; whether it was shown."""
    found = command(title, words)
    if found is None:
        return False
    try:
        return subprocess.run(found, capture_output=True, timeout=SECONDS, check=False).returncode == 0
    except (OSError, subprocess.TimeoutExpired):
        return False
