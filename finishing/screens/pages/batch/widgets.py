"""Headings of the page's parts, with the keys that work on them: shown, and to be clicked."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widgets import Static


class KeyLabel(Static):
    """A key and what it does; a click does it too."""

    def __init__(self, key: str, words: str, action: str) -> None:
        super().__init__(f"{key} {words}", markup=False)
        self._action = action

    async def on_click(self) -> None:
        """As the key."""
        await self.screen.run_action(self._action)


class Heading(Horizontal):
    """The name of a part and its keys. keys: key, words, action."""

    def __init__(self, name: str, *keys: tuple[str, str, str]) -> None:
        super().__init__()
        self._name_shown, self._keys = name, keys

    def compose(self) -> ComposeResult:
        """Name, then keys."""
        yield Static(self._name_shown, classes="name", markup=False)
        for key, words, action in self._keys:
            yield KeyLabel(key, words, action)
