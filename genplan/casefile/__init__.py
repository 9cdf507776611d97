"""What a user wrote -> the case: YAML text -> marked tree -> shapes -> Case, with all problems at once.

These names are looked up when somebody asks: a solver's process asks for a module of the room that reads nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from genplan.casefile.diagnostics import SourceLocation
    from genplan.casefile.loading import Loaded, load

__all__ = ["Loaded", "SourceLocation", "load"]


def __getattr__(name: str) -> Any:
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    import genplan.casefile.diagnostics
    import genplan.casefile.loading

    return getattr(
        genplan.casefile.diagnostics if name == "SourceLocation" else genplan.casefile.loading, name
    )
