"""Searching on other machines: what is sent, which addresses are refused, and what is said when nobody answers.

Dask's own processes are in `test_executors.py`; here its client is stood in for, so that each way to fail is quick."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass, replace
from enum import Enum
from pathlib import Path
from time import monotonic
from typing import Any

import pytest

from genplan.case import SolverLimits
from genplan.errors import FileError, GenplanError, SolverError, UsageError
from genplan.planning import interruption
from genplan.planning.budget import ENDLESS, Budget
from genplan.planning.elsewhere import executor as on_the_way
from genplan.planning.elsewhere import on_worker
from genplan.planning.elsewhere.addresses import Elsewhere
from genplan.planning.elsewhere.alike import what_runs_here
from genplan.planning.elsewhere.executor import Traffic, WorkersElsewhere
from genplan.planning.elsewhere.on_worker import Other, Raised, work
from genplan.planning.elsewhere.parcels import OF_THE_PROGRAM, Packer, Parcel, opened
from genplan.planning.explanation import why
from genplan.planning.jobs import Workers
from genplan.planning.planner import plan_week
from genplan.planning.week_context import week_context_of
from genplan.workflow.forecasting import forecast
from tests.fixtures.parcelled import Parcelled, all_parcelled
from tests.fixtures.planning_cases import NOW, WEEK, Inline
from tests.fixtures.random_cases import random_case, random_log
from tests.fixtures.small_case import SUNDAY, silent, small_case


def texts_of(value: Any) -> Iterator[str]:
    """Every text in a value."""
    if isinstance(value, Enum):
        return
    if isinstance(value, str):
        yield value
    elif is_dataclass(value):
        for f in fields(value):
            yield from texts_of(getattr(value, f.name))
    elif hasattr(value, "items"):
        yield from texts_of([*value.keys(), *value.values()])
    elif isinstance(value, tuple | list | frozenset):
        for one in value:
            yield from texts_of(one)


# what is sent


def test_no_text_of_a_case_is_sent_and_the_answers_are_the_same() -> None:
    case = random_case(5, learners=2, targets=2, adults=3, locations=2, sets=2, staff=2, oddity=0.2)
    case = replace(case, policy=replace(case.policy, solver=SolverLimits(work_per_stage=0.2)))
    log, now, found = random_log(case, 5), NOW.replace(tzinfo=case.timezone), []
    for executor in (Inline(), parcelled := Parcelled()):
        plan = plan_week(case, log, WEEK, now, {}, (), executor, lambda _: None).plan
        ground = week_context_of(case, log, WEEK, now, {}, ())
        found.append((plan, why(ground, plan, Workers(executor, lambda _: None), tuple(case.learners)[:1])))
    assert found[0] == found[1]
    assert len(parcelled.opened) > 10
    written = {t for t in texts_of(case) if t not in OF_THE_PROGRAM and len(t) > 3}
    assert len(written) > 20
    assert [t for t in sorted(written) if t.encode() in parcelled.sent] == []


def test_a_forecast_sends_none_either_not_even_by_its_dice(tmp_path: Path) -> None:
    case = small_case(tmp_path)
    usual = forecast(case, None, SUNDAY, 2, silent).forecast
    with all_parcelled() as parcelled:
        assert forecast(case, None, SUNDAY, 2, silent).forecast == usual
    assert parcelled.sent
    for word in (b"lark", b"Fernwhistle", b"puts-on", b"gran", b"boots", b"yard"):
        assert word not in parcelled.sent


def test_words_in_a_parcel_sort_as_the_texts_do_and_come_back_as_they_were() -> None:
    texts = [
        "wording",
        "",
        "Ann",
        "adult",
        "adult ",
        "adul",
        "location",
        "zz",
        "É",
        "new",
        "newt",
        "material_set x",
    ]
    packer = Packer()
    (words, shape), closed = opened(packer.wrap((texts, {"Ann": frozenset({("zz", 2)})})))
    by_text = sorted(range(len(texts)), key=texts.__getitem__)
    assert sorted(range(len(words)), key=words.__getitem__) == by_text
    assert [w for w in words if w in texts] == ["", "adult", "location", "new"]
    assert packer.unwrap(closed((words, shape))) == (texts, {"Ann": frozenset({("zz", 2)})})
    assert packer.unwrap(closed("said by the program")) == "said by the program"


def test_a_log_that_holds_a_parcel_says_its_size_alone() -> None:
    assert repr(Packer().wrap(["Ann"])).startswith("Parcel(")
    assert "Ann" not in repr(Packer().wrap(["Ann"] * 3))


# where to


@pytest.mark.parametrize(
    ("address", "said"),
    [
        ("192.168.1.20:8786", "no address of a scheduler"),
        ("tcp://192.168.1.20", "no address of a scheduler"),
        ("ws://127.0.0.1:8786", "no address of a scheduler"),
        ("tcp://127.0.0.1:99999", "no address of a scheduler"),
        ("tls://", "no address of a scheduler"),
        ("tcp://192.168.1.20:8786", "could be read and changed by others"),
        ("tcp://school.example:8786", "could be read and changed by others"),
        ("tcp://127.0.0.1.example:8786", "could be read and changed by others"),
    ],
)
def test_an_address_that_is_none_or_that_others_could_read_along(address: str, said: str) -> None:
    with pytest.raises(UsageError, match=said):
        Elsewhere(address).check()


@pytest.mark.parametrize(
    "where",
    [
        Elsewhere("tcp://127.0.0.1:8786"),
        Elsewhere("tcp://localhost:8786"),
        Elsewhere("tcp://[::1]:8786"),
        Elsewhere("tls://school.example:8786"),
        Elsewhere("tcp://192.168.1.20:8786", unencrypted=True),
    ],
)
def test_an_address_that_may_be_used(where: Elsewhere) -> None:
    where.check()


TLS = """\
distributed:
  comm:
    tls:
      ca-file: {folder}/ca.pem
      client: {{cert: {folder}/me.pem, key: {folder}/me.key}}
"""


def test_the_keys_of_a_configuration(tmp_path: Path) -> None:
    pytest.importorskip("distributed")
    config = tmp_path / "dask.yaml"
    config.write_text(TLS.format(folder=tmp_path))
    for name in ("ca.pem", "me.pem"):
        (tmp_path / name).touch()
    where = Elsewhere("tls://school.example:8786", config)
    with pytest.raises(
        FileError, match=r"me\.key, which .*dask\.yaml names as distributed\.comm\.tls\.client\.key"
    ):
        where.security()
    (tmp_path / "me.key").touch()
    security = where.security()
    assert security is not None
    assert security.require_encryption
    assert security.tls_ca_file == f"{tmp_path}/ca.pem"
    config.write_text("distributed: {comm: {tls: {ca-file: 3}}}")
    with pytest.raises(UsageError, match=r"has no distributed\.comm\.tls\.ca-file"):
        where.security()
    config.write_text("distributed: {")
    with pytest.raises(UsageError, match="no configuration of Dask"):
        where.security()
    config.unlink()
    with pytest.raises(FileError, match="cannot be read"):
        where.security()
    assert Elsewhere("tcp://127.0.0.1:8786", config).security() is None


# what comes back, and what does not


@dataclass(eq=False)
class Remote:
    """Stands in for a future of Dask."""

    status: str = "pending"
    value: Any = None

    def add_done_callback(self, hear: Any) -> None:
        if self.status != "pending":
            hear(self)

    def result(self) -> Any:
        return self.value

    def exception(self) -> Any:
        return self.value


class Client:
    """Stands in for a client of Dask whose scheduler makes this of each job, and has these workers."""

    status = "running"

    def __init__(self, remote: Any, workers: tuple[str, ...] = ("tcp://127.0.0.1:1",)) -> None:
        self.remote, self.workers, self.cancelled = remote, workers, 0

    def submit(self, function: Any, parcel: Parcel, pure: bool) -> Remote:
        made: Remote = self.remote(parcel)
        return made

    def cancel(self, remotes: Any) -> None:
        self.cancelled += len(remotes)

    def scheduler_info(self) -> Any:
        return {"workers": dict.fromkeys(self.workers)}


def given(number: int, budget: Budget = ENDLESS) -> tuple[int, bool]:
    return number, budget.is_over


def impossible(number: int, budget: Budget = ENDLESS) -> int:
    raise ZeroDivisionError(number)


@pytest.fixture
def soon(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("LOOK_SECONDS", "WORKERS_SECONDS", "ALONE_SECONDS", "LATE_SECONDS"):
        monkeypatch.setattr(on_the_way, name, 0.01)
    monkeypatch.setattr(on_worker._Cancelled, "listen", lambda: None)


def asked(client: Client, job: Any = given, budget: Budget = ENDLESS) -> Any:
    with WorkersElsewhere(client, Elsewhere("tcp://127.0.0.1:8786"), Traffic()) as executor:  # type: ignore[arg-type]
        return executor.submit(job, 7, budget).result(timeout=60)


def done(parcel: Parcel) -> Remote:
    return Remote("finished", work(parcel))


@pytest.mark.usefixtures("soon")
def test_an_answer_and_an_error_of_the_job_come_back_as_they_are() -> None:
    assert asked(Client(done)) == (7, False)
    with pytest.raises(ZeroDivisionError, match="7"):
        asked(Client(done), impossible)


class KilledWorker(Exception):
    """Called as Dask's."""


@pytest.mark.usefixtures("soon")
@pytest.mark.parametrize(
    ("client", "said"),
    [
        (Client(lambda _: Remote(), ()), "No worker is left"),
        (
            Client(lambda _: Remote(), ("tcp://127.0.0.1:1", "tcp://10.0.0.2:1")),
            "tcp://10.0.0.2:1 .* another machine",
        ),
        (Client(lambda _: Remote("cancelled")), "connection to the scheduler .* was lost"),
        (Client(lambda _: Remote("error", KilledWorker())), "killed, or ran out of memory"),
        (
            Client(lambda _: Remote("error", ModuleNotFoundError("genplan"))),
            "could not be read .*Install the same",
        ),
        (
            Client(lambda _: Remote("finished", Other(("0", "3.9", "0", "win32")))),
            "Python 3.9, and .* here; OR-tools",
        ),
    ],
)
def test_what_keeps_an_answer_away_is_told_in_a_sentence(client: Client, said: str) -> None:
    with pytest.raises(SolverError, match=said) as told:
        asked(client)
    assert "No plan was written." in str(told.value)


@pytest.mark.usefixtures("soon")
def test_after_a_fault_nothing_more_is_sent() -> None:
    with WorkersElsewhere(Client(lambda _: Remote("cancelled")), Elsewhere("tcp://127.0.0.1:1")) as executor:  # type: ignore[arg-type]
        first = executor.submit(given, 1)
        with pytest.raises(SolverError):
            first.result(timeout=60)
        with pytest.raises(SolverError, match="was lost"):
            executor.submit(given, 2)
        assert executor.traffic.jobs == 1


@pytest.mark.usefixtures("soon")
def test_an_interrupt_takes_back_what_waits_and_is_answered_here() -> None:
    client = Client(lambda _: Remote())
    with interruption.interruptible():
        budget = Budget.of(1000.0).keeping(0.0, 0.0)
        interruption.interrupt()
        assert asked(client, budget=budget) == (7, True)
    assert client.cancelled == 1


@pytest.mark.usefixtures("soon")
def test_an_answer_that_is_late_is_given_here() -> None:
    assert asked(Client(lambda _: Remote()), budget=Budget(monotonic() - 1.0)) == (7, True)


@pytest.mark.usefixtures("soon")
def test_what_is_wrong_on_a_worker_is_an_answer() -> None:
    parcel = Packer().wrap((impossible, (1,)), what_runs_here())
    assert isinstance(work(parcel), Raised)
    assert isinstance(work(replace(parcel, alike=())), Other)
    assert isinstance(SolverError("x"), GenplanError)
