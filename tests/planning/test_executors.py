"""Any `concurrent.futures.Executor` plans the same bytes: this process, threads, processes, a cluster's workers."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import Executor, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import replace
from ipaddress import ip_address
from pathlib import Path
from typing import Any

import pytest

from genplan.audit import audit
from genplan.case import Case, SolverLimits
from genplan.evidence.log import Log
from genplan.planning.jobs import process_pool
from genplan.planning.planner import plan_week
from genplan.report.document import plan_json
from genplan.report.tables import csv_bytes, plan_table
from tests.fixtures.planning_cases import NOW, WEEK, Inline
from tests.fixtures.random_cases import random_case, random_log
from tests.fixtures.search_settings import search_with


def caseload() -> tuple[Case, Log]:
    """Three learners who share two of the adults."""
    case = random_case(5, learners=3, targets=2, adults=3, locations=2, sets=2, staff=2, oddity=0.2)
    limited = replace(case, policy=replace(case.policy, solver=SolverLimits(work_per_stage=2.0)))
    return limited, random_log(case, 5)


def files_by(executor: Executor) -> tuple[bytes, bytes]:
    case, log = caseload()
    now = NOW.replace(tzinfo=case.timezone)
    plan = plan_week(case, log, WEEK, now, {}, (), executor, lambda _: None).plan
    assert audit(case, log, plan, {}) == ()
    assert len({s.learner for s in plan.sittings}) == 3
    return csv_bytes(plan_table(case, plan)), plan_json(case, plan)


@contextmanager
def cluster(folder: Path) -> Iterator[Any]:
    """Two worker processes of Dask on this machine: on the loopback only, without a dashboard or any other page."""
    dask = pytest.importorskip("dask")
    distributed = pytest.importorskip("distributed")
    no_pages = {f"distributed.{who}.http.routes": [] for who in ("scheduler", "worker")}
    with (
        dask.config.set(no_pages),
        distributed.LocalCluster(
            n_workers=2,
            threads_per_worker=1,
            host="127.0.0.1",
            dashboard_address=None,
            scheduler_kwargs={"dashboard_address": "127.0.0.1:0"},
            local_directory=str(folder),
        ) as running,
        running.get_client() as client,
    ):
        yield client


@pytest.fixture(params=["in turns", "one problem"])
def usual(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> tuple[bytes, bytes]:
    if request.param == "in turns":
        search_with(monkeypatch, "caseload", joint_variables=0)
    return files_by(Inline())


def test_threads_and_processes(usual: tuple[bytes, bytes]) -> None:
    with ThreadPoolExecutor(2) as threads:
        assert files_by(threads) == usual
    with process_pool(2) as processes:
        assert files_by(processes) == usual


@pytest.mark.parametrize("usual", ["in turns"], indirect=True)
def test_a_cluster_on_the_loopback(usual: tuple[bytes, bytes], tmp_path: Path) -> None:
    psutil = pytest.importorskip("psutil")
    with cluster(tmp_path) as client:
        assert files_by(client.get_executor()) == usual
        me = psutil.Process()
        listening = [
            c.laddr.ip
            for process in (me, *me.children(recursive=True))
            for c in process.net_connections()
            if c.status == psutil.CONN_LISTEN
        ]
    assert listening
    assert all(ip_address(ip).is_loopback for ip in listening)
