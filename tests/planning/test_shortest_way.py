"""A week that stays on the shortest way leaves no room empty for it."""

from __future__ import annotations

from pathlib import Path

from genplan import workflow
from genplan.case import Week
from genplan.plan import ObjectiveName, StageStatus
from tests.fixtures.casefile_cases import write
from tests.fixtures.small_case import SUNDAY, silent

NO_HALL_WITH_MUM = """
format: 1
timezone: Europe/Dublin
policy: {like: none}
learners:
  kid: {free: {wed: "15:00-16:00", thu: "15:00-16:00"}}
adults:
  mum: {free: {wed: "15:00-16:00"}}
locations:
  home: {}
  hall: {open: {thu: "15:00-16:00"}}
material_sets:
  cups: {small_parts: no}
  jars: {small_parts: no}
targets:
  zip:
    learner: kid
    correct_when: does it
    also_vary: {wording: ["Zip it up", "Do it, now"]}
    taught: [{adult: mum, location: home, material_set: cups, wording: "Zip it up"}]
"""
RUN = """date,time,target,kind,adult,location,material_set,trials,correct,note,wording
2026-11-16,10:00,zip,probe,mum,home,cups,5,5,,"Do it, now"
2026-11-18,10:00,zip,probe,mum,home,jars,5,5,,Zip it up
"""


def test_what_can_be_run_is_not_put_off_for_a_way_that_nobody_can_go(tmp_path: Path) -> None:
    """Two probes in the hall would show all that is open, and mum is never free while it is open: the one probe at
    home that shows a pair is run."""
    folder = write(tmp_path / "case", case=NO_HALL_WITH_MUM)
    (folder / "results.csv").write_text(RUN, encoding="utf-8")
    plan = workflow.plan(folder, Week(2026, 49), SUNDAY, None, silent).plan
    new = next(o for o in plan.objectives if o.name is ObjectiveName.NEW_TUPLES)
    assert [p.combination[:3] for s in plan.sittings for p in s.probes] == [("mum", "home", "jars")]
    assert (new.value, new.bound, new.status) == (1, 1, StageStatus.OPTIMAL)
