"""Every key of every page and card: it does something, one thing only, leaves the terminal's own keys, and is said."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from collections.abc import Iterator

import pytest
from textual.actions import parse
from textual.app import App
from textual.binding import Binding
from textual.dom import DOMNode
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import Button

import finishing.screens
from finishing.screens.app import FinishingApp
from finishing.screens.pages.page import Page
from tests.screens.conftest import Seen

TERMINAL = {"ctrl+z", "ctrl+s", "ctrl+q"}
"""What a terminal keeps for itself: stop the program, hold the output, let it go on (POSIX termios: SUSP, STOP,
START). Control and c is the toolkit's: it copies, and says how to leave."""

NAMES = {"plus": "+", "minus": "-", "slash": "/", "comma": "comma", "full_stop": ".", "question_mark": "?"}
"""How the help names keys that Textual names otherwise."""

COMMON = {"question_mark", "escape"}
"""Keys of every page, which stand in its foot: no page's help says them again."""


def nodes() -> list[type[DOMNode]]:
    """The app, and every screen, card and widget of ours."""
    for module in pkgutil.walk_packages(finishing.screens.__path__, "finishing.screens."):
        importlib.import_module(module.name)
    found: list[type[DOMNode]] = []

    def walk(base: type[DOMNode]) -> None:
        for kind in base.__subclasses__():
            if kind.__module__.startswith("finishing.") and kind not in found:
                found.append(kind)
            walk(kind)

    walk(DOMNode)
    return sorted(found, key=lambda kind: kind.__qualname__)


NODES = nodes()
PAGES = [kind for kind in NODES if issubclass(kind, Page) and kind is not Page]


def declared(kind: type[DOMNode]) -> Iterator[tuple[str, Binding]]:
    """Keys that a class itself binds, one by one."""
    for binding in Binding.make_bindings(kind.__dict__.get("BINDINGS", ())):
        yield binding.key, binding


def bound(kind: type[DOMNode]) -> dict[str, list[Binding]]:
    """Keys of a class, with those of its bases of ours."""
    found: dict[str, list[Binding]] = {}
    for base in kind.__mro__:
        if base.__module__.startswith("finishing."):
            for key, binding in declared(base):
                found.setdefault(key, []).append(binding)
    return found


def acts(kind: type[DOMNode], action: str) -> str:
    """What is wrong with an action of a class, or nothing."""
    namespace, name, arguments = parse(action)
    owner: type[object] = FinishingApp if namespace == "app" else kind
    method = getattr(owner, f"action_{name}", None) or getattr(owner, f"_action_{name}", None)
    if method is None:
        return f"{owner.__name__} has no action {name}"
    try:
        inspect.signature(method).bind(None, *arguments)
    except TypeError as problem:
        return f"{owner.__name__}.{name}{arguments}: {problem}"
    return ""


def test_every_page_and_card_is_walked() -> None:
    assert len(PAGES) >= 8
    assert len([kind for kind in NODES if issubclass(kind, Screen)]) >= 25
    assert FinishingApp in NODES


@pytest.mark.parametrize("kind", NODES, ids=lambda kind: kind.__qualname__)
def test_every_key_does_something_and_one_thing_only(kind: type[DOMNode]) -> None:
    problems = []
    for key, bindings in bound(kind).items():
        problems += [f"{key}: {problem}" for binding in bindings if (problem := acts(kind, binding.action))]
        if len({binding.action for binding in bindings}) > 1:
            problems.append(f"{key} is bound twice: {[binding.action for binding in bindings]}")
        if key in TERMINAL:
            problems.append(f"{key} is the terminal's")
        problems += [f"{key} has no words" for binding in bindings if not binding.description.strip()]
    own = [key for key, _ in declared(kind)]
    problems += [f"{key} is bound twice by {kind.__name__}" for key in own if own.count(key) > 1]
    if issubclass(kind, Page):
        problems += [f"{key} is a key of the whole app" for key in bound(kind) if key in bound(FinishingApp)]
    assert problems == []


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.__name__)
def test_no_two_keys_shown_on_a_page_have_the_same_words(page: type[Page]) -> None:
    shown = {(b[0].action, b[0].description) for b in bound(page).values() if b[0].show}
    assert len({words for _, words in shown}) == len(shown)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.__name__)
def test_the_help_of_a_page_names_its_keys(page: type[Page]) -> None:
    known = {NAMES.get(key, key) for kind in NODES for key in bound(kind)} | {"up", "down", "left", "right"}
    said: set[str] = set()
    for line in page.HELP.partition("Keys\n")[2].splitlines():
        for part in re.split(r"  +", line.strip()):
            words = set(re.split(r"[ ,]+", part)) - {"and", "or", ""}
            said |= {*words, "."} if words - {"."} <= known else set()
    grouped = [{key for key, b in bound(page).items() if b[0].action == action} for action in actions(page)]
    unsaid = [keys for keys in grouped if not keys & COMMON and not {NAMES.get(key, key) for key in keys} & said]
    assert unsaid == []


def actions(kind: type[DOMNode]) -> set[str]:
    """What the keys of a class do."""
    return {bindings[0].action for bindings in bound(kind).values()}


def shadowed(seen: Seen) -> list[str]:
    """Keys that two of what has the focus, its parents, the screen and the app bind to different things."""
    taken: dict[str, tuple[DOMNode, str]] = {}
    problems = []
    for node, bindings in seen.app.screen._binding_chain:
        for key, found in bindings.key_to_bindings.items():
            if key in TERMINAL:
                problems.append(f"{key} is the terminal's, of {node!r}")
            action = found[-1].action
            before = taken.setdefault(key, (node, action))
            ours = key in bound(type(node)) or key in bound(type(before[0]))
            if isinstance(node, App) or before[0] is node or steps_aside(*before):
                continue
            if ours and before[1] != action:
                problems.append(f"{key}: {before[1]} of {before[0]!r} hides {action} of {node!r}")
    return problems


def steps_aside(node: DOMNode, action: str) -> bool:
    """Enter on a button presses that button, whatever the card's own enter is; what can't scroll lets the key pass;
    tab goes on from a path when there is nothing to complete."""
    scrolls = isinstance(node, Widget) and node.allow_vertical_scroll
    skips = action.startswith(("scroll_", "page_")) and not scrolls
    return isinstance(node, Button) or skips or action == "complete"
