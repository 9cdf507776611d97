"""Every command that writes, ready to run in a small invented case; what is planned is planned once and remembered."""

from __future__ import annotations

import contextlib
import hashlib
import io
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from genplan import files, workflow
from genplan.casefile import edit
from genplan.casefile.tree import Leaf
from genplan.cli import main
from genplan.errors import GenplanError
from genplan.workflow import forecasting, keeping, planning, sharing

CASE = """\
format: 1
timezone: Europe/Dublin
policy: {days: mon-fri, probes_per_target_per_week: 3}
learners:
  lark: {name: Lark Fernwhistle, alias: L., born: 2021-03, free: {mon-fri: "15:00-18:00"},
         limits: {sittings_per_day: 1, probes_per_sitting: 2}}
adults:
  mum: {name: Mum, free: {mon-fri: "16:00-18:00"}}
  gran: {name: Gran, free: {mon: "15:00-17:00", wed-fri: "15:00-17:00"}}
locations:
  home: {name: Home}
  yard: {name: The yard}
material_sets:
  boots: {name: Two boots}
  hats: {name: Three hats}
targets:
  puts-on: {learner: lark, name: Puts it on, correct_when: It is on within a minute, mastered_on: 2026-10-01,
            taught: [{adult: mum, location: home, material_set: boots}]}
"""
RESULTS = """\
date,time,target,kind,adult,location,material_set,trials,correct,prompted,observer,observer_correct,note
2026-11-20,16:10,puts-on,probe,mum,yard,hats,5,5,,,,went well
"""
SHEET = """\
date,time,target,kind,adult,location,material_set,trials,correct,prompted,observer,observer_correct,note
2026-11-27,16:10,puts-on,probe,gran,home,hats,5,4,,,,
2026-11-28,16:30,puts-on,not run,gran,yard,hats,,,,,,no
"""
CHANGES = 'changes:\n  - {away: lark, from: "2026-12-04 00:00", to: "2026-12-04 24:00"}\n'
SUNDAY, TUESDAY = ("--now", "2026-11-29T12:00"), ("--now", "2026-12-01T12:00")
ROW = (
    "--target",
    "puts-on",
    "--adult",
    "gran",
    "--location",
    "home",
    "--material-set",
    "hats",
    "--correct",
    "4",
)
SECOND = ("--target", "puts-on", "--date", "2026-11-20")


@dataclass(frozen=True)
class Command:
    """`words` are typed in a folder that holds what `ready` made of an empty one."""

    name: str
    words: tuple[str, ...]
    ready: str = "case"
    call: Callable[[Path], None] | None = None


COMMANDS = (
    Command("new", ("new", "deep/down/fresh"), "nothing"),
    Command("plan", ("plan", "case", "--out", "there/out", *SUNDAY)),
    Command("plan again", ("plan", "case", "--out", "out", *SUNDAY), "planned"),
    Command("plan two weeks", ("plan", "case", "--weeks", "2", "--out", "out", *SUNDAY)),
    Command("record", ("record", "case", *ROW, *SUNDAY)),
    Command("record the first", ("record", "case", *ROW, *SUNDAY), "without results"),
    Command("record a sheet", ("record", "case", "--from", "sheet.csv", *SUNDAY)),
    Command("correct", ("record", "case", "--corrects", "2", *SECOND, "--correct", "3", *SUNDAY)),
    Command("keep", ("keep", "case", "--from", "out", *SUNDAY), "planned"),
    Command("keep again", ("keep", "case", "--from", "later", *TUESDAY), "planned again"),
    Command("change", ("change", "case", "--away", "mum", "--to", "2026-12-01", *SUNDAY)),
    Command("change more", ("change", "case", "--away", "mum", "--to", "2026-12-04", *TUESDAY), "changed"),
    Command("replan", ("replan", "case", "--out", "out", "--keep", *TUESDAY), "changed"),
    Command(
        "review",
        ("review", "case", "--from", "2026-11-01", "--to", "2026-11-29", "--out", "out", *SUNDAY),
    ),
    Command("matrix", ("matrix", "case", "--csv", "table.csv", *SUNDAY), "planned"),
    Command("forecast", ("forecast", "case", "--weeks", "1", "--csv", "table.csv", *SUNDAY), "planned"),
    Command("sheets", ("sheets", "out"), "planned"),
    Command("form", (), call=lambda root: put_by_a_form(root / "case", {"name": Leaf("Nana", True)})),
    Command("share a part", ("share", "case", "--adult", "gran", "--out", "part", *TUESDAY), "changed"),
    Command("share a copy", ("share", "case", "--for-help", "--out", "copy", *SUNDAY)),
)


def put_by_a_form(case: Path, keys: dict[str, Any]) -> None:
    held = edit.thing(case, ("adults", "gran"))
    assert isinstance(held.node, dict)
    edit.put(case, held.path, {**held.node, **keys}, held.digest)


def run(command: Command, root: Path) -> tuple[int, str]:
    """Exit code, and what was told on standard error."""
    told = io.StringIO()
    with contextlib.chdir(root), contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(told):
        if command.call is None:
            return main(command.words), told.getvalue()
        try:
            command.call(root)
        except GenplanError as error:
            return error.exit_code, f"{error}\n"
        return 0, ""


class Ready:
    """Folders as commands find them, each made once; `put` copies one."""

    def __init__(self, shelf: Path) -> None:
        self.shelf = shelf
        self._remembered: dict[tuple[Any, ...], Any] = {}

    def put(self, name: str, root: Path) -> None:
        made = self.shelf / name
        if not made.exists():
            made.mkdir(parents=True)
            getattr(self, "_" + name.replace(" ", "_"))(made)
        shutil.copytree(made, root, dirs_exist_ok=True)

    def _nothing(self, root: Path) -> None:
        pass

    def _without_results(self, root: Path) -> None:
        (root / "case").mkdir()
        (root / "case" / "case.yaml").write_text(CASE, encoding="utf-8")

    def _case(self, root: Path) -> None:
        self.put("without results", root)
        (root / "case" / "results.csv").write_text(RESULTS, encoding="utf-8")
        (root / "sheet.csv").write_text(SHEET, encoding="utf-8")

    def _planned(self, root: Path) -> None:
        """An older plan in `out`, with a calendar in it that the next will not have."""
        self.put("case", root)
        self._done(root, "plan", "case", "--out", "out", "--now", "2026-11-28T12:00")
        stale = root / "out" / "calendars" / "adult-uncle.ics"
        stale.write_bytes((root / "out" / "calendars" / "adult-gran.ics").read_bytes())
        (root / "table.csv").write_text("old", encoding="utf-8")
        (root / "out" / "sheets.pdf").write_text("old", encoding="utf-8")

    def _changed(self, root: Path) -> None:
        """A kept week, and somebody away in it."""
        self.put("planned", root)
        self._done(root, "keep", "case", "--from", "out", *SUNDAY)
        (root / "case" / "changes.yaml").write_text(CHANGES, encoding="utf-8")

    def _planned_again(self, root: Path) -> None:
        self.put("changed", root)
        self._done(root, "replan", "case", "--out", "later", *TUESDAY)

    def _done(self, root: Path, *words: str) -> None:
        assert run(Command("", words), root)[0] == 0

    def remember_plans(self, patch: pytest.MonkeyPatch) -> None:
        """A plan, or forecast, of the same files is looked for once: faults are not in the solver."""
        patch.setattr(files, "LOCK_SECONDS", 0.1)
        patch.setattr(sharing, "_secret_shift", lambda *_: -321)
        patch.setattr(sharing.secrets, "randbits", lambda _: 1)
        patch.setattr(planning, "plan_opened", self._once(planning.plan_opened))
        patch.setattr(keeping, "plan_opened", planning.plan_opened)
        patch.setattr(workflow, "forecast", self._once(forecasting.forecast))
        patch.setattr(planning, "_files_of", _drawn_once(planning._files_of))

    def _once(self, function: Callable[..., Any]) -> Callable[..., Any]:
        def remembered(first: Any, *rest: Any, **named: Any) -> Any:
            folder = first if isinstance(first, Path) else first.folder
            data = b"".join(p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file())
            opened = "" if isinstance(first, Path) else str((first.now, first.log))
            plain = [str(x) for x in (*rest, *named.values()) if not callable(x) and not hasattr(x, "submit")]
            key = (function.__name__, hashlib.sha256(data).digest(), opened, *plain)
            if key not in self._remembered:
                self._remembered[key] = function(first, *rest, **named)
            return self._remembered[key]

        return remembered


def _drawn_once(files_of: Callable[[Any], dict[str, bytes]]) -> Callable[[Any], dict[str, bytes]]:
    drawn: dict[Any, dict[str, bytes]] = {}

    def files(outcome: Any) -> dict[str, bytes]:
        plan = outcome.plan
        key = (plan.week, plan.now, plan.sittings, plan.notes, outcome.told)
        if key not in drawn:
            drawn[key] = files_of(outcome)
        return drawn[key]

    return files


def printing_browser(folder: Path) -> Path:
    """A program that takes a browser's words and prints nothing but the same bytes."""
    program = folder / "browser"
    program.write_text(
        '#!/bin/sh\nfor w in "$@"; do case $w in --print-to-pdf=*) echo PDF > "${w#--print-to-pdf=}";; esac; done\n'
    )
    program.chmod(0o755)
    return program
