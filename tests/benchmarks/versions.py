"""`genplan plan` of another version on the very same written case, in the same run, with the same packages.

A version is a commit of this repository or a wheel. Its files go into a temporary folder that comes first where Python
looks for modules; everything else it imports is what this version imports, too.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tarfile
import zipfile
from collections.abc import Mapping
from compileall import compile_dir
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from shutil import copytree, ignore_patterns

from tests.benchmarks.meter import Cost, measured
from tests.fixtures.places import ROOT
from tests.fixtures.random_cases import NOW, WEEK

BEFORE = "8580c04"
"""The version of 2026-11-27, before the search was made one loop."""
PARTS = ("genplan", "configs")
"""The folders that a run needs."""


class NotThere(Exception):
    """The version cannot be had here; the message says why, and what to do."""


@dataclass(frozen=True)
class PlanOf:
    """What a version wrote into plan.json, and what it cost."""

    values: Mapping[str, float]
    proven: tuple[str, ...]
    cost: Cost


def unpacked(version: str, into: Path) -> Path:
    """The folder with the files of a commit or of a wheel. Raises NotThere."""
    into.mkdir()
    if version.endswith(".whl"):
        if not Path(version).is_file():
            raise NotThere(f"There is no wheel {version}.")
        with zipfile.ZipFile(version) as wheel:
            wheel.extractall(into)
    else:
        with tarfile.open(fileobj=BytesIO(_archive(version))) as files:
            files.extractall(into, filter="data")
    return _compiled(into)


def this_version(into: Path) -> Path:
    """The same folder of the files as they are here."""
    for name in PARTS:
        copytree(ROOT / name, into / name, ignore=ignore_patterns("__pycache__"))
    return _compiled(into)


def _compiled(version: Path) -> Path:
    """As it is where it was installed: else each process of each run would compile the sources anew, at one learner
    for as long as the search takes, and the longer the more there is of them."""
    compile_dir(version, quiet=1)
    return version


def _archive(commit: str) -> bytes:
    known = _git("cat-file", "-e", f"{commit}^{{commit}}")
    if known.returncode:
        raise NotThere(
            f"The commit {commit} is not here: this is a shallow clone, or no clone at all. `git fetch --unshallow`"
            " brings it; or name a wheel that was built from it."
        )
    made = _git("archive", "--format=tar", commit, *PARTS)
    if made.returncode:
        raise NotThere(f"git gives no files of {commit}: {made.stderr.decode().strip()}")
    return made.stdout


def _git(*words: str) -> subprocess.CompletedProcess[bytes]:
    return subprocess.run(["git", "-C", str(ROOT), *words], capture_output=True, check=False)


def plan_of(version: Path, case: Path, out: Path) -> PlanOf:
    """The week of the case, planned by the version in the folder. `out` is made anew; nothing else is written."""
    out.mkdir()
    # no version is to find what another has found before
    surroundings = {**os.environ, "PYTHONPATH": str(version), "XDG_CACHE_HOME": str(out / "cache")}
    _is_of(version, surroundings, out)
    command = [sys.executable, "-m", "genplan", "plan", str(case), "--week", str(WEEK)]
    command += ["--now", f"{NOW:%Y-%m-%dT%H:%M}", "--out", str(out / "plan")]
    _, cost = measured(command, surroundings, out)
    told = json.loads((out / "plan" / "plan.json").read_text("utf-8"))["objectives"]
    values = {o["name"]: o["value"] for o in told if o["value"] is not None}
    return PlanOf(values, tuple(o["name"] for o in told if o["status"] == "optimal"), cost)


def _is_of(version: Path, surroundings: Mapping[str, str], there: Path) -> None:
    """That it is this version which would run, and not one that is installed."""
    command = [sys.executable, "-c", "import genplan; print(genplan.__file__)"]
    where = subprocess.run(
        command, env=surroundings, cwd=there, capture_output=True, text=True, check=True
    ).stdout.strip()
    if not Path(where).is_relative_to(version):
        raise NotThere(f"Python takes genplan from {where}, not from {version}.")
