"""A small whole case, and changes of it by a line."""

from __future__ import annotations

from pathlib import Path

from genplan.casefile import Loaded, load

# Line numbers matter: the tests name them.
SMALL = """\
format: 1
timezone: Europe/Dublin
learners:
  wren:
    name: Wren
    free: {mon-fri: "15:30-18:30"}
    allergens: [egg]
adults:
  mum:
    free: {daily: "08:00-20:00"}
    locations: [home]
locations:
  home: {open: {daily: "07:00-21:00"}}
  park: {capacity: 2}
travel_minutes:
  otherwise: 20
  routes:
    - {between: [home, park], minutes: 10}
material_sets:
  jackets:
    small_parts: false
targets:
  zips:
    learner: wren
    correct_when: Closes the zip
    trials: 5
    pass_mark: 4/5
    also_vary: {wording: [Zip it up, Do up your coat]}
    never: [{adult: mum, location: park}]
"""


def write(folder: Path, **files: str) -> Path:
    """Writes `case="…"` as case.yaml and so on."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in files.items():
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    return folder


def changed(old: str, new: str) -> str:
    """The small case with one text replaced, which must occur exactly once."""
    assert SMALL.count(old) == 1, f"{old!r} occurs {SMALL.count(old)} times"
    return SMALL.replace(old, new)


def loaded(folder: Path, text: str) -> Loaded:
    return load(write(folder, case=text))
