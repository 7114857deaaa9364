"""The content is found in an installed wheel as it is in a checkout."""

from __future__ import annotations

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from finishing.library import Library
from finishing.library.content import PACKAGE, shipped

ROOT = Path(__file__).resolve().parents[2]

ASK = """
import finishing
from finishing.library import Library
from finishing.library.content import shipped
library = Library()
assert library.problems == ()
print(finishing.__file__, shipped("data"), sep="\\n")
print(len(library.finishes()), len(library.schedules()), len(library.woods()), len(library.classes.rows))
"""


def test_a_checkout_has_its_content_beside_the_package() -> None:
    assert shipped("data") == PACKAGE.parent / "data"
    assert shipped("schedules") == PACKAGE.parent / "schedules"


def test_a_wheel_brings_its_content(tmp_path: Path) -> None:
    pytest.importorskip("hatchling")
    build = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path / "dist")]
    subprocess.run(build, cwd=ROOT, check=True, capture_output=True, timeout=300)
    (wheel,) = (tmp_path / "dist").glob("*.whl")
    site = tmp_path / "site"
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(site)
    env = os.environ | {"PYTHONPATH": str(site)}
    done = subprocess.run(
        [sys.executable, "-c", ASK], cwd=tmp_path, env=env, capture_output=True, text=True, check=True, timeout=300
    )
    package, data, counts = done.stdout.splitlines()
    assert Path(package).parent == site / "finishing"
    assert Path(data) == site / "finishing" / "_shipped" / "data"
    ours = Library()
    sizes = (len(x) for x in (ours.finishes(), ours.schedules(), ours.woods(), ours.classes.rows))
    assert counts == " ".join(map(str, sizes))
