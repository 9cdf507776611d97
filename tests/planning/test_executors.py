"""Any `concurrent.futures.Executor` plans the same bytes: this process, threads, processes, a cluster's workers."""

from __future__ import annotations

import os
import shutil
import signal
import socket
import subprocess
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from dataclasses import replace
from ipaddress import ip_address
from pathlib import Path
from typing import Any

import pytest

from genplan.audit import audit
from genplan.case import Case, SolverLimits
from genplan.cli import main
from genplan.errors import SolverError
from genplan.evidence.log import Log
from genplan.planning.elsewhere import connection
from genplan.planning.elsewhere import executor as on_the_way
from genplan.planning.elsewhere.addresses import Elsewhere
from genplan.planning.elsewhere.connection import workers_elsewhere
from genplan.planning.elsewhere.executor import Traffic, WorkersElsewhere
from genplan.planning.planner import plan_week
from genplan.planning.solver_pool import process_pool
from genplan.report.document import plan_json
from genplan.report.tables import csv_bytes, plan_table
from tests.fixtures.dask_cluster import dask_cluster
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.planning_cases import NOW, WEEK, Inline
from tests.fixtures.random_cases import random_case, random_log
from tests.fixtures.search_settings import search_with
from tests.fixtures.small_case import SUNDAY, small_case


def caseload() -> tuple[Case, Log]:
    """Three learners who share two of the adults."""
    case = random_case(5, learners=3, targets=2, adults=3, locations=2, sets=2, staff=2, oddity=0.2)
    limited = replace(case, policy=replace(case.policy, solver=SolverLimits(work_per_stage=0.3)))
    return limited, random_log(case, 5)


def files_by(executor: Executor) -> tuple[bytes, bytes]:
    case, log = caseload()
    now = NOW.replace(tzinfo=case.timezone)
    plan = plan_week(case, log, WEEK, now, {}, (), executor, lambda _: None).plan
    assert audit(case, log, plan, {}) == ()
    assert len({s.learner for s in plan.sittings}) == 3
    return csv_bytes(plan_table(case, plan)), plan_json(case, plan)


@pytest.fixture(scope="module")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    with dask_cluster(tmp_path_factory.mktemp("dask"), workers=2) as running:
        yield running


@pytest.fixture(params=by_day_the_first(["in turns", "one problem"]))
def usual(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> tuple[bytes, bytes]:
    if request.param == "in turns":
        search_with(monkeypatch, "caseload", joint_variables=0)
    if request.param not in _USUAL:
        _USUAL[request.param] = files_by(Inline())
    return _USUAL[request.param]


_USUAL: dict[str, tuple[bytes, bytes]] = {}
"""What this process plans, once for all who are held against it."""


def test_threads_and_processes(usual: tuple[bytes, bytes]) -> None:
    with ThreadPoolExecutor(2) as threads:
        assert files_by(threads) == usual
    with process_pool(2) as processes:
        assert files_by(processes) == usual


def heard_at() -> list[str]:
    """The addresses at which this process and those below it can be called."""
    psutil = pytest.importorskip("psutil")
    me = psutil.Process()
    return [
        c.laddr.ip
        for process in (me, *me.children(recursive=True))
        for c in process.net_connections()
        if c.status == psutil.CONN_LISTEN
    ]


@pytest.mark.nightly
@pytest.mark.parametrize("usual", ["in turns"], indirect=True)
def test_a_cluster_by_the_executor_of_dask(usual: tuple[bytes, bytes], cluster: Any) -> None:
    with cluster.get_client() as client:
        assert files_by(client.get_executor()) == usual


@pytest.mark.parametrize("usual", ["in turns"], indirect=True)
def test_workers_elsewhere_of_which_one_is_killed(usual: tuple[bytes, bytes], cluster: Any) -> None:
    """In the middle of a plan: what it was at is done by the other, and nothing is otherwise."""
    traffic = Traffic()
    with workers_elsewhere(Elsewhere(cluster.scheduler_address), traffic) as executor:
        listening = heard_at()
        killing = After(executor, 2, lambda: os.kill(cluster.workers[0].pid, signal.SIGKILL))
        assert files_by(killing) == usual
    assert listening
    assert all(ip_address(ip).is_loopback for ip in listening)
    assert killing.struck
    assert traffic.jobs > 3
    assert 0 < traffic.sent < 10_000 * traffic.jobs
    assert traffic.came_back > 0


def test_when_all_workers_are_gone_nothing_is_written(
    cluster: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(on_the_way, "WORKERS_SECONDS", 0.1)
    monkeypatch.setattr(on_the_way, "ALONE_SECONDS", 0.5)
    usual = WorkersElsewhere.submit

    def after_the_last(self: WorkersElsewhere, *job: Any) -> Future[Any]:
        cluster.scale(0)
        return usual(self, *job)

    monkeypatch.setattr(WorkersElsewhere, "submit", after_the_last)
    case, out = small_case(tmp_path / "case"), tmp_path / "out"
    words = ["plan", str(case), "--week", str(WEEK), "--now", f"{SUNDAY:%Y-%m-%dT%H:%M}", "--out", str(out)]
    assert main([*words, "--workers", cluster.scheduler_address]) == SolverError.exit_code
    assert "No worker is left at tcp://127.0.0.1" in capsys.readouterr().err
    assert [p.name for p in tmp_path.iterdir()] == ["case"]
    assert [p.name for p in case.iterdir()] == ["case.yaml"]


@pytest.mark.skipif(shutil.which("openssl") is None, reason="no openssl to make keys with")
def test_keys_that_are_not_known_there_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(connection, "CONNECT_SECONDS", 2)
    ours, theirs = keys(tmp_path / "ours"), keys(tmp_path / "theirs")
    security = Elsewhere("tls://127.0.0.1:1", ours).security()
    assert security is not None
    security.tls_scheduler_cert, security.tls_scheduler_key = (
        security.tls_client_cert,
        security.tls_client_key,
    )
    with dask_cluster(tmp_path, workers=0, security=security, protocol="tls://") as running:
        assert running.scheduler_address.startswith("tls://")
        with (
            pytest.raises(SolverError, match="has no workers"),
            workers_elsewhere(Elsewhere(running.scheduler_address, ours), Traffic()),
        ):
            pass
        for where in (
            Elsewhere(running.scheduler_address, theirs),
            Elsewhere(running.scheduler_address.replace("tls", "tcp")),
        ):
            with (
                pytest.raises(SolverError, match="No scheduler of Dask answers"),
                workers_elsewhere(where, Traffic()),
            ):
                pass


def test_nobody_is_there(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(connection, "CONNECT_SECONDS", 0.2)
    with socket.socket() as nobody:
        nobody.bind(("127.0.0.1", 0))
        address = f"tcp://127.0.0.1:{nobody.getsockname()[1]}"
        with (
            pytest.raises(SolverError, match=f"No scheduler of Dask answers at {address}"),
            workers_elsewhere(Elsewhere(address), Traffic()),
        ):
            pass


class After(Executor):
    """Another executor; after so many jobs something happens."""

    def __init__(self, executor: Executor, jobs: int, happens: Callable[[], None]) -> None:
        self.executor, self.left, self.happens, self.struck = executor, jobs, happens, False

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        asked = self.executor.submit(fn, *args, **kwargs)
        self.left -= 1
        if self.left == 0:
            self.happens()
            self.struck = True
        return asked


def keys(folder: Path) -> Path:
    """A configuration of Dask with a key that signs itself."""
    folder.mkdir()
    made = [
        "-keyout",
        str(folder / "key.pem"),
        "-out",
        str(folder / "cert.pem"),
        "-days",
        "2",
        "-subj",
        "/CN=x",
    ]
    subprocess.run(
        ["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", *made],
        check=True,
        capture_output=True,
    )
    named = f"{{ca-file: {folder}/cert.pem, client: {{cert: {folder}/cert.pem, key: {folder}/key.pem}}}}"
    (folder / "dask.yaml").write_text(f"distributed: {{comm: {{tls: {named}}}}}\n")
    return folder / "dask.yaml"
