"""Whether two machines run the same program: only then do both find the same, and can one read the other's jobs."""

from __future__ import annotations

import sys
from functools import cache
from hashlib import blake2b
from importlib.metadata import version
from pathlib import Path
from platform import machine

import genplan


def lines_of_the_program() -> str | None:
    """A digest of every line of it; None where it cannot be read: then nobody knows which one it is."""
    digest, files = blake2b(digest_size=32), 0
    root = Path(genplan.__file__).parent
    try:
        for path in sorted(root.rglob("*.py")):
            data = path.read_bytes()
            digest.update(f"{path.relative_to(root).as_posix()} {len(data)}\n".encode() + data)
            files += 1
    except OSError:
        return None
    return digest.hexdigest() if files else None


@cache
def what_runs_here() -> tuple[str, str, str, str]:
    """The program, Python, the solver and the kind of machine, as two machines compare them and a person is told."""
    lines = (lines_of_the_program() or "unknown")[:8]
    return (
        f"{genplan.__version__} ({lines})",
        f"{sys.version_info.major}.{sys.version_info.minor}",
        version("ortools"),
        f"{sys.platform} {machine()}",
    )
