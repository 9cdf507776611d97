"""A first case: commented, loads without a finding, and has something to plan in any week."""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path

from genplan.errors import FileError

CASE_FILE = "case.yaml"
RESULTS = "results.csv"

CASE = """\
# A first case. All people in it are invented: put your own in their place, a line at a time, and run
#   genplan check .
# after each change. Text after a # is a remark and counts for nothing. Indent with spaces, never with tabs.

format: 1                     # the version of this format
timezone: Europe/Dublin       # the IANA name of your time zone; every time below is of this zone
policy: family                # or school-transfer, or caseload, or the path of your own in this folder

# The children. The word before the colon is an id: small letters, digits and hyphens. Other lines refer to it.
learners:
  robin:
    name: Robin               # shown on the family's own sheets
    alias: R.                 # shown in every calendar and on every shared page
    born: 2019-05             # the month is enough; it decides about small parts and minimum ages
    # Hours in which a check may be run. Days: mon, mon-fri, daily, or several in quotation marks: "tue,thu".
    free:
      mon-fri: "15:30-18:00"
      sat: ["10:00-12:00", "14:00-16:00"]
    away: []                  # days off, such as ["2027-03-17", "2027-03-18 09:00-12:00", "2027-04-01..2027-04-10"]
    limits: {sittings_per_day: 2, probes_per_day: 4, probes_per_sitting: 2, sitting_minutes: 20}
    allergens: []             # such as [egg, peanut]; a set that holds one is never planned for this child

# Whoever runs a check. Take a line out for its default: every learner, every location, every target, no limit.
adults:
  mum:
    name: Mum
    role: parent
    free: {mon-thu: "16:00-18:00", sat: "10:00-12:00"}
  dad:
    name: Dad
    role: parent
    locations: [home, playground]
    free: {wed-fri: "16:30-18:00", sat: "14:00-16:00"}
  aunt:
    name: Aunt Bea
    role: relative
    free: {tue: "15:00-17:30", sat: "10:00-16:00"}
    limits: {sittings_per_day: 1, minutes_per_week: 40}
    # busy: busy/aunt.ics     # a calendar she exported; its times are taken off her free hours

locations:
  home: {name: Home}
  aunts-house:
    name: Aunt Bea's house
    open: {tue: "15:00-18:00", sat: "09:00-17:00"}
  playground:
    name: The playground
    open: {daily: "09:00-17:30"}

# Minutes from one location to another, both ways.
travel_minutes:
  otherwise: 20
  routes:
    - {between: [home, playground], minutes: 10}

# The things a check uses. Hazards and small parts decide what may be given to whom: say what you know.
material_sets:
  two-cups:
    name: Two cups of different colours
    small_parts: no           # is any piece small enough to choke on? or dimensions_mm: [80, 80, 95]
  lunch-box:
    name: Lunch box with a beaker
    small_parts: no
    kept_at: [home, aunts-house]   # leave it out for a set that travels with the child
  sand-toys:
    name: Bucket and spade
    small_parts: no

targets:
  asks-for-help:
    learner: robin
    name: Asks for help
    correct_when: Says, signs or points to 'help' within 10 seconds, without being reminded
    instruction: Hand over the thing closed or stuck, and wait
    state: mastered           # teaching, mastered or paused: only mastered targets are checked
    criterion: 9/10           # how mastery was judged
    mastered_on: 2026-09-14   # maintenance is counted from here
    taught: [{adult: mum, location: home, material_set: two-cups}]
    cover: pairs              # each-value, pairs, triples or all
    generalised_when: {adults: 3, locations: 3, material_sets: 3}
    # never: [{adult: dad, location: playground}]
    # first: [{location: playground, by: 2027-06-01}]

  waits-for-turn:
    learner: robin
    name: Waits for a turn
    correct_when: Keeps hands off the other person's thing until told 'your turn', up to 30 seconds
    instruction: My turn first
    mastered_on: 2026-10-05
    taught: [{adult: dad, location: home, material_set: two-cups}]
    adults: [mum, dad, aunt]
    locations: [home, aunts-house]
    material_sets: [two-cups, lunch-box]
    also_vary: {company: [alone, with another child]}
    generalised_when: {adults: 3, locations: 2, material_sets: 2}
"""

RESULTS_HEAD = "date,time,target,kind,adult,location,material_set,company,trials,correct,prompted,observer,observer_correct,note\n"


def write_starter(folder: Path) -> list[Path]:
    """Writes a starter case and returns its files. Raises FileError if the folder holds anything, or cannot be
    written; it appears whole or not at all."""
    _refuse_what_is_there(folder)
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        beside = Path(tempfile.mkdtemp(prefix=".new-case-", dir=folder.parent))
    except OSError as problem:
        raise FileError(
            f"{folder.parent} cannot be written ({problem.strerror}). Nothing was made."
        ) from None
    try:
        _fill(beside)
        # A rename onto an empty folder is atomic where the system allows it; elsewhere the empty one goes first.
        if os.name == "nt" and folder.is_dir():
            folder.rmdir()
        beside.rename(folder)
    except OSError as problem:
        shutil.rmtree(beside, ignore_errors=True)
        raise FileError(f"{folder} cannot be written ({problem.strerror}). Nothing was made.") from None
    return [folder / CASE_FILE, folder / RESULTS]


def _refuse_what_is_there(folder: Path) -> None:
    if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
        raise FileError(f"{folder} is there already and is no folder. Name a folder that does not exist yet.")
    try:
        if folder.is_dir() and any(folder.iterdir()):
            raise FileError(
                f"{folder} holds files already, and none was touched. Name a folder that does not exist yet."
            )
    except OSError as problem:
        raise FileError(f"{folder} cannot be read ({problem.strerror}). Nothing was made.") from None


def _fill(folder: Path) -> None:
    folder.chmod(0o755)
    (folder / "busy").mkdir()
    (folder / CASE_FILE).write_text(CASE, encoding="utf-8", newline="\n")
    (folder / RESULTS).write_text(RESULTS_HEAD, encoding="utf-8", newline="\n")
