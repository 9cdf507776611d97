"""What holds a stand-in for the workflow to the real one: its verbs, what they may be asked, what they can answer."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from dataclasses import fields
from functools import wraps
from types import SimpleNamespace
from typing import Any, TypeVar

from genplan import workflow as real

StandIn = TypeVar("StandIn", bound=type)


def held_to_the_workflow(stand_in: StandIn) -> StandIn:
    """Each public function of the class has to be one of the workflow, and a call of it one that the real one takes."""
    for name, function in list(vars(stand_in).items()):
        if inspect.isfunction(function) and not name.startswith("_"):
            setattr(stand_in, name, _held(function, inspect.signature(getattr(real, name))))
    return stand_in


def _held(function: Callable[..., Any], signature: inspect.Signature) -> Callable[..., Any]:
    @wraps(function)
    def call(self: Any, *asked: Any, **named: Any) -> Any:
        signature.bind(*asked, **named)
        return function(self, *asked, **named)

    return call


def answer(kind: str, **values: Any) -> Any:
    """An answer with some of the fields that the real one of this kind has."""
    strange = values.keys() - {f.name for f in fields(getattr(real, kind))}
    if strange:
        raise AttributeError(f"no {kind} has {', '.join(sorted(strange))}")
    return SimpleNamespace(**values)
