"""Whether the stated lower bounds are what a resolver takes when it is asked for the lowest: a bound that has to give
way to another package's is none. `python tests/lower_bounds.py pyproject.toml PINS`, where PINS has lines such as
`icalendar==7.0.3`."""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from packaging.version import Version


def stated(project: str) -> list[Requirement]:
    """What the program and its extras ask for, by the text of pyproject.toml."""
    table = tomllib.loads(project)["project"]
    extras = table["optional-dependencies"].values()
    return [Requirement(r) for r in (*table["dependencies"], *(r for extra in extras for r in extra))]


def lower_bound(asked: Requirement) -> Version | None:
    return next((Version(s.version) for s in asked.specifier if s.operator == ">="), None)


def gave_way(project: str, pins: str) -> list[str]:
    """A sentence for each bound that was not taken as it stands."""
    lines = (Requirement(line) for line in pins.splitlines() if line and line.lstrip()[:1] not in ("#", "-"))
    found = {canonicalize_name(p.name): Version(next(iter(p.specifier)).version) for p in lines}
    told = {}
    for asked in stated(project):
        name, bound = canonicalize_name(asked.name), lower_bound(asked)
        if bound is None:
            told[name] = f"{name}: no lower bound"
        elif found[name] != bound:
            told[name] = f"{name}: {bound} is stated, and {found[name]} is the lowest that can be installed"
    return sorted(told.values())


if __name__ == "__main__":
    wrong = gave_way(*(Path(name).read_text("utf-8") for name in sys.argv[1:3]))
    print("\n".join(wrong) or "every lower bound can be installed beside the others")
    sys.exit(bool(wrong))
