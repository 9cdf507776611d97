"""Plans a week of generalisation probes from a case folder.

For programs: `read_case`, `plan_week`, `check_plan`, `explain_week`, `look_ahead`,
`plan_term`, `choose_exemplars` and `count_coverage`; `genplan.api` says more.
See the README for the job, `genplan/help` for the reference, DEVELOPERS.md for the rooms.

Nothing is imported at the top, not even `typing`, which takes as long as all else until a command begins: an interrupt
in there can be told in no sentence.
"""

from __future__ import annotations

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

__version__ = "0.1.0"

__all__ = [
    "check_plan",
    "choose_exemplars",
    "count_coverage",
    "explain_week",
    "look_ahead",
    "plan_term",
    "plan_week",
    "read_case",
]


def __getattr__(name: str) -> Any:
    # late, so that `genplan --help` does not load what only programs need
    if name in {*__all__, "api"}:
        import genplan.api

        return genplan.api if name == "api" else getattr(genplan.api, name)
    raise AttributeError(f"module '{__name__}' has no attribute '{name}'")


def __dir__() -> list[str]:
    return sorted([*globals(), *__all__, "api"])
