"""What a county would cost: some of its sites planned by workers of Dask, the rest worked out from them.

    python -m tests.benchmarks.county                      # one site, two workers
    python -m tests.benchmarks.county --sites 2 --write    # two; renews examples/benchmark/county.md

A county has 3,000 children in 40 sites. A site is a case of its own with 75 children, for whom the same two therapists
are there, drawn by chance (`tests/fixtures/random_cases.py`; the sites differ by their seed alone), with three weeks of
invented results. `genplan plan SITE --workers tcp://127.0.0.1:PORT` plans its week as anybody would; scheduler and
workers are processes of this machine. Seconds are of processors, since those on the wall say what else the machine had
to do.
"""

from __future__ import annotations

import argparse
import os
import re
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from genplan.case import SolverLimits
from tests.benchmarks.meter import cpu_of, measured
from tests.benchmarks.tables import markdown, memory, seconds
from tests.fixtures.dask_cluster import dask_cluster
from tests.fixtures.places import ROOT
from tests.fixtures.random_cases import CASELOAD, NOW, WEEK, random_case, random_log, write_case

SITES, CHILDREN = 40, 75
PAGE = "examples/benchmark/county.md"
SENT = re.compile(r"Sent to \S+: (\d+) searches, (\d+) kB; (\d+) kB came back")
BOTH_STREAMS = ("sh", "-c", 'exec "$@" 2>&1', "sh")
DAY = 24 * 3600.0


@dataclass(frozen=True, kw_only=True)
class Site:
    """What one site, or a part of one, cost: `here` are CPU seconds of the command itself, `there` of all workers,
    `between` of the scheduler. Memory in MB: the most that each held."""

    seed: int
    children: int
    probes: int
    here: float
    there: float
    between: float
    memory_here: float
    memory_there: float
    searches: int
    sent: int
    came_back: int

    @property
    def cpu(self) -> float:
        return self.here + self.there + self.between


def planned(seed: int, children: int, folder: Path, cluster: Any) -> Site:
    case = random_case(seed, **{**CASELOAD, "learners": children})
    # what the machine has to do beside must not end a search
    case = replace(case, policy=replace(case.policy, solver=SolverLimits(seconds=DAY)))
    site, out = write_case(case, folder / f"site-{seed}", random_log(case, seed)), folder / f"out-{seed}"
    now, words = (
        ("--now", f"{NOW:%Y-%m-%dT%H:%M}"),
        ("--out", str(out), "--workers", cluster.scheduler_address),
    )
    pids = [w.pid for w in cluster.workers.values()]
    before, scheduler = sum(map(cpu_of, pids)), time.process_time()
    planning = (sys.executable, "-m", "genplan", "plan", str(site), "--week", str(WEEK), *now, *words)
    printed, cost = measured([*BOTH_STREAMS, *planning], {**os.environ, "GENPLAN_STORE": "off"})
    found = SENT.search(printed)
    assert found, printed[-2000:]
    return Site(
        seed=seed,
        children=children,
        probes=len((out / "plan.csv").read_text("utf-8").splitlines()) - 1,
        here=cost.cpu,
        there=sum(map(cpu_of, pids)) - before,
        between=time.process_time() - scheduler,
        memory_here=cost.largest,
        memory_there=max(map(most_memory_of, pids)),
        searches=int(found[1]),
        sent=int(found[2]),
        came_back=int(found[3]),
    )


def most_memory_of(pid: int) -> float:
    """Megabytes that it held at the most (VmHWM)."""
    found = re.search(r"VmHWM:\s+(\d+) kB", Path(f"/proc/{pid}/status").read_text("ascii"))
    assert found
    return int(found[1]) / 1024


HEAD = (
    *(
        "site",
        "children",
        "planned",
        "CPU here",
        "of workers",
        "of the scheduler",
        "children a core and hour",
    ),
    *("memory here", "of a worker", "searches", "sent", "came back"),
)


def row_of(site: Site) -> tuple[str, ...]:
    return (
        *(f"{site.seed}", f"{site.children}", f"{site.probes}", seconds(site.here), seconds(site.there)),
        seconds(site.between),
        *(f"{3600 * site.children / site.cpu:.0f}", memory(site.memory_here), memory(site.memory_there)),
        *(f"{site.searches}", f"{site.sent} kB", f"{site.came_back} kB"),
    )


def page(sites: Sequence[Site]) -> str:
    children = sum(s.children for s in sites)
    cpu, here = sum(s.cpu for s in sites) / children, sum(s.here for s in sites) / children
    sent = sum(s.sent + s.came_back for s in sites) / children
    measured_rows = markdown(HEAD, map(row_of, sites))
    whole = markdown(("cores", "hours, at the best"), (county_on(n, cpu, here) for n in (1, 8, 40, 160)))
    whose = " and ".join(f"{s.children} children" for s in sites)
    return f"""\
# A county of {SITES * CHILDREN:,} children

Written by `python -m tests.benchmarks.county --write`; do not edit it by hand. Everything is invented. The county has
{SITES} sites of {CHILDREN} children with {CASELOAD["targets"]} skills each. A site is a case of its own, with two
therapists who see all of its children.

## Measured

Of {len(sites)} of the {SITES} sites {whose}, planned by `genplan plan SITE --workers tcp://…` with two workers of Dask,
all on one machine. *CPU* are seconds of processors: of the command itself (reading, what can meet when, the auditor,
the pages), of the workers (the searches), and of the scheduler, which looks after them as long as they run: on a
machine that has other things to do that takes longer. *Memory* is the most that the command held, and the most that one
worker did. *Sent* is what left the command, before Dask's own frame round each search. *Planned* are the probes and
teachings of the week.

{measured_rows}
That is {cpu:.1f} s of a core for a child, {3600 / cpu:.0f} children a core and hour, and {sent:.1f} kB both ways for a
child.

## Worked out

Not measured is all that follows: each child is taken to cost what those above did, and no core to wait for anything. In
a larger site more children want the same people, which may take longer: [the planner's own benchmark](README.md) has
3.3 s of a core for each of 12 children, 3.0 s of 60 and 5.8 s of 300. Sites have nothing to do with each other, so they
can be planned one after the other or at once. Within one, the command's own seconds come one after the other, however
many workers there are: {here * CHILDREN:.0f} s of a site.

{whole}
{SITES} commands at once would hold {SITES * max(s.memory_here for s in sites) / 1000:.1f} GB together, and each worker
{max(s.memory_there for s in sites):.0f} MB. All that goes over the network is {SITES * CHILDREN * sent / 1000:.0f} MB.
"""


def county_on(cores: int, cpu: float, here: float) -> tuple[str, str]:
    """At the best: no core ever waits, and no site is done before its command is."""
    needed = max(SITES * CHILDREN * cpu / cores, CHILDREN * here)
    return f"{cores}", f"{needed / 3600:.2f}"


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("--sites", type=int, default=1)
    words.add_argument("--children", type=int, default=CHILDREN)
    words.add_argument("--write", action="store_true")
    given = words.parse_args()
    with tempfile.TemporaryDirectory() as name, dask_cluster(Path(name) / "dask", workers=2) as cluster:
        sites = []
        for seed in range(1, given.sites + 1):
            sites.append(planned(seed, given.children, Path(name), cluster))
            print(sites[-1], flush=True)
    text = page(sites)
    if given.write:
        (ROOT / PAGE).write_text(text, encoding="utf-8")
    print(text)


if __name__ == "__main__":
    main()
