"""The documented Python API: its examples run, its names are there, and its types are shipped."""

from __future__ import annotations

import doctest
import subprocess
import sys
from importlib import import_module
from importlib.resources import files

import pytest

import finishing.cure

EXAMPLES = ("finishing.cure", "finishing.exchange.message")


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_examples_run(name: str) -> None:
    done = doctest.testmod(import_module(name))
    assert done.attempted > 0
    assert done.failed == 0


def test_every_public_name_is_there_and_no_other() -> None:
    for name in finishing.cure.__all__:
        assert getattr(finishing.cure, name).__name__ == name
    with pytest.raises(AttributeError):
        _ = finishing.cure.no_such_name


def test_the_package_says_that_it_has_types() -> None:
    assert files("finishing").joinpath("py.typed").is_file()  # PEP 561


def test_what_is_not_asked_for_is_not_imported() -> None:
    code = "import sys, finishing.cure; print([m for m in sys.modules if m.startswith('finishing.cure.')])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
