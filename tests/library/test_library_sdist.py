"""The source archive builds to the same wheel, and what is installed from it runs, content and types included."""

from __future__ import annotations

import os
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


def built(kind: str, source: Path, target: Path) -> Path:
    """Build an sdist or a wheel of a folder."""
    command = [sys.executable, "-m", "hatchling", "build", "-t", kind, "-d", str(target)]
    subprocess.run(command, cwd=source, check=True, capture_output=True, timeout=300)
    [made] = target.iterdir()
    return made


def names(wheel: Path) -> set[str]:
    """The files of a wheel."""
    with zipfile.ZipFile(wheel) as archive:
        return set(archive.namelist())


def test_the_source_archive_builds_and_runs(tmp_path: Path) -> None:
    pytest.importorskip("hatchling")
    with tarfile.open(built("sdist", ROOT, tmp_path / "sdist")) as archive:
        archive.extractall(tmp_path / "source", filter="data")
    [source] = (tmp_path / "source").iterdir()
    wheel = built("wheel", source, tmp_path / "again")
    assert names(wheel) == names(built("wheel", ROOT, tmp_path / "first"))
    for needed in (
        "finishing/py.typed",
        "finishing/screens/finishing.tcss",
        "finishing/screens/web/templates/app_index.html",
    ):
        assert needed in names(wheel)
    site = tmp_path / "site"
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(site)
    environ = {**os.environ, "PYTHONPATH": str(site), "FINISHING_HOME": str(tmp_path / "home")}
    code = "import finishing, sys; from finishing.__main__ import main; print(finishing.__file__); main(['demo'])"
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=tmp_path,
        env=environ,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.startswith(str(site))
    assert "READY TO GO OUT" in done.stdout
