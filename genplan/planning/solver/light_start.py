"""The solver loaded by a process that does nothing else, without what it never uses.

OR-tools reads in pandas for tables of variables, which no model here has. That is half of what it takes to load: a
third of a second of a processor in each solver process of each command.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from types import ModuleType

PANDAS = "pandas"


def load_or_tools() -> None:
    """Only for a process without other threads: while this runs pandas cannot be had."""
    if PANDAS in sys.modules:
        return
    with _named_alone():
        import ortools.sat.python.cp_model  # noqa: F401


@contextmanager
def _named_alone() -> Iterator[None]:
    """Within the block pandas is a module of names; whoever imports it afterwards gets the real one."""
    sys.modules[PANDAS] = _Names(PANDAS)
    try:
        yield
    finally:
        del sys.modules[PANDAS]


class _Names(ModuleType):
    """Each name is a type without a value: enough for hints, and for the question whether something is one."""

    def __getattr__(self, name: str) -> type:
        if name.startswith("__"):
            raise AttributeError(name)
        made = type(name, (), {})
        setattr(self, name, made)
        return made
