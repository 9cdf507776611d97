"""Keep, publish, change, publish again, against two CalDAV servers: whose events are whose, what somebody deleted, and
what is taken off again.

What RFC 5546 asks of a revised event, from memory: 2.1.4 (SEQUENCE rises when time or status changes), 2.1.5 (UID, then
SEQUENCE, then DTSTAMP say which of two is newer), 3.2.5 (a cancelled one keeps its UID and has STATUS:CANCELLED and a
higher SEQUENCE).
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from datetime import datetime
from importlib.util import find_spec
from pathlib import Path

import pytest

from genplan import workflow
from genplan.case import Week
from genplan.errors import UsageError
from genplan.publishing import remembered
from genplan.workflow import ChangeRequest
from tests.fixtures.calendar_server import (
    SECRET,
    Server,
    client_of,
    delete_on,
    emptied,
    events_on,
    needs_server,
    second_server,
)
from tests.fixtures.nightly import by_day_the_first
from tests.fixtures.small_case import SUNDAY, WEDNESDAY, WEEK, silent, small_case

AFTER = Week(2026, 50)
FROZEN = Path(__file__).parent.parent / "keeping" / "frozen" / "2026-11"
pytestmark = needs_server


@pytest.fixture(scope="module")
def xandikos(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    if find_spec("xandikos") is None:
        pytest.skip("needs xandikos: install the extra 'test'")
    with second_server(tmp_path_factory.mktemp("xandikos")) as server:
        yield server


BY_DAY_THE_SECOND = pytest.mark.parametrize("which", by_day_the_first(["xandikos", "radicale"]))
THE_SECOND_BY_NIGHT = pytest.mark.parametrize("which", by_day_the_first(["radicale", "xandikos"]))


@pytest.fixture
def which() -> str:
    """The server of a test that does not ask for both."""
    return "radicale"


@pytest.fixture
def server(which: str, request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[Server]:
    found: Server = request.getfixturevalue(which)
    monkeypatch.setenv("GENPLAN_CALDAV_URL", found.url)
    monkeypatch.setenv("GENPLAN_CALDAV_USER", "team")
    monkeypatch.setenv("GENPLAN_CALDAV_PASSWORD", SECRET)
    yield found
    emptied(found)


class Cases:
    """Folders as tests find them, each planned once."""

    def __init__(self, shelf: Path) -> None:
        self.shelf = shelf

    def put(self, name: str, folder: Path) -> Path:
        made = self.shelf / name
        if not made.exists():
            getattr(self, f"_{name}")(made)
        return shutil.copytree(made, folder)

    def _kept(self, folder: Path) -> None:
        workflow.keep(small_case(folder), WEEK, None, SUNDAY, silent)

    def _other(self, folder: Path) -> None:
        self._kept(folder)

    def _ill(self, folder: Path) -> None:
        """Gran cannot come from Wednesday on."""
        self.put("kept", folder)
        workflow.change(folder, ChangeRequest("away", "gran", end=datetime(2026, 12, 5)), WEDNESDAY)
        workflow.replan(folder, None, WEDNESDAY, None, True, silent)

    def _longer(self, folder: Path) -> None:
        """The week after is kept too."""
        self.put("kept", folder)
        workflow.keep(folder, AFTER, None, SUNDAY, silent)

    def _copied(self, folder: Path) -> None:
        """A copy for another child, with the id of the first."""
        self.put("kept", folder)
        shutil.rmtree(folder / "weeks")
        text = (folder / "case.yaml").read_text(encoding="utf-8")
        text = text.replace("lark:", "finch:").replace("learner: lark", "learner: finch")
        (folder / "case.yaml").write_text(text, encoding="utf-8")
        workflow.keep(folder, WEEK, None, SUNDAY, silent)

    def _before(self, folder: Path) -> None:
        """A week that was kept before a case had an id."""
        shutil.copytree(FROZEN, folder)

    def _since(self, folder: Path) -> None:
        """The same, and the week after it kept by now."""
        self.put("before", folder)
        workflow.keep(folder, AFTER, None, WEDNESDAY, silent)


@pytest.fixture(scope="module")
def cases(tmp_path_factory: pytest.TempPathFactory) -> Cases:
    return Cases(tmp_path_factory.mktemp("cases"))


@pytest.fixture
def case(cases: Cases, tmp_path: Path) -> Path:
    return cases.put("kept", tmp_path / "case")


def publish(case: Path, now: datetime = SUNDAY, **how: bool) -> tuple[str, ...]:
    return workflow.publish(case, None, None, now, silent, **how).lines


def counts(lines: tuple[str, ...]) -> list[str]:
    return [line for line in lines if " as before." in line]


def calendar_of(server: Server, start: str) -> str:
    (name,) = (c for c in events_on(server) if c.startswith(start))
    return name


@BY_DAY_THE_SECOND
def test_keep_replan_keep_says_on_each_server_what_is_new_and_what_is_off(
    server: Server, case: Path, cases: Cases, tmp_path: Path
) -> None:
    publish(case)
    first = events_on(server)
    case = cases.put("ill", tmp_path / "ill")
    publish(case, WEDNESDAY)
    then = events_on(server)
    assert first.keys() == then.keys()
    changed = 0
    for calendar, events in first.items():
        assert events.keys() <= then[calendar].keys()
        for uid, old in events.items():
            new = then[calendar][uid]
            stamps = [(e["DTSTAMP"].dt, e["LAST-MODIFIED"].dt) for e in (old, new)]
            assert all(one == other for one, other in stamps)
            if new.to_ical() == old.to_ical():
                continue
            changed += 1
            assert int(new["SEQUENCE"]) > int(old["SEQUENCE"])
            assert stamps[1] > stamps[0]
            assert str(new["STATUS"]) in ("CONFIRMED", "CANCELLED")
    assert changed
    assert all(
        line.endswith(" as before.") and ": 0 new, 0 updated, 0 removed" in line
        for line in publish(case, WEDNESDAY)
    )
    assert {c: {u: e.to_ical() for u, e in f.items()} for c, f in events_on(server).items()} == {
        c: {u: e.to_ical() for u, e in f.items()} for c, f in then.items()
    }


@THE_SECOND_BY_NIGHT
def test_what_somebody_deleted_is_left_out_until_it_changes_or_is_asked_for(
    server: Server, case: Path
) -> None:
    publish(case)
    mum = calendar_of(server, "genplan-adult-mum")
    (uid,) = events_on(server)[mum]
    delete_on(server, mum, uid)
    for _ in range(2):
        (told,) = (line for line in publish(case) if "deleted" in line)
        assert told.startswith("Mum: 'L.: Puts it on' ")
        assert "of Tuesday 1 December, 16:00 was deleted on the server by somebody, and is left out." in told
        assert "--put-back" in told
        assert events_on(server)[mum] == {}
    assert any(line.startswith("Mum: 1 new,") for line in publish(case, put_back=True))
    assert events_on(server)[mum].keys() == {uid}
    assert not any("deleted" in line for line in publish(case))


@THE_SECOND_BY_NIGHT
def test_what_somebody_deleted_is_there_again_once_it_changes_and_not_if_it_is_off(
    server: Server, case: Path, cases: Cases, tmp_path: Path
) -> None:
    """All of Gran's and Lark's events are deleted; then Gran falls ill."""
    publish(case)
    before = events_on(server)
    gran, lark = (
        next(c for c in before if c.startswith(f"genplan-{who}")) for who in ("adult-gran", "learner")
    )
    for calendar in (gran, lark):
        for uid in before[calendar]:
            delete_on(server, calendar, uid)
    ill = cases.put("ill", tmp_path / "ill")
    shutil.copy(case / "weeks" / "published.json", ill / "weeks")
    lines = publish(ill, WEDNESDAY)
    events = {u: e for found in events_on(server).values() for u, e in found.items()}
    assert not [e for e in events.values() if str(e["STATUS"]) == "CANCELLED"]
    again = [line for line in lines if "It has changed since, and is there again." in line]
    assert len(again) == len(events_on(server)[lark].keys() & before[lark].keys())
    assert not any("Gran" in line for line in again)


@THE_SECOND_BY_NIGHT
def test_a_calendar_that_somebody_deleted_is_not_made_again_without_a_word(
    server: Server, case: Path
) -> None:
    publish(case)
    mum = calendar_of(server, "genplan-adult-mum")
    with client_of(server) as client:
        next(c for c in client.principal().get_calendars() if str(c.url).rstrip("/").endswith(mum)).delete()
    (told,) = (line for line in publish(case) if "deleted" in line)
    assert told.startswith("Mum: the calendar was deleted on the server by somebody, and is left out.")
    assert mum not in events_on(server)
    publish(case, put_back=True)
    assert len(events_on(server)[mum]) == 1


@THE_SECOND_BY_NIGHT
def test_two_families_with_a_child_of_one_id_keep_each_their_own(
    server: Server, case: Path, cases: Cases, tmp_path: Path
) -> None:
    other = cases.put("other", tmp_path / "other")
    publish(case)
    first = events_on(server)
    publish(other)
    both = events_on(server)
    assert len(both) == 2 * len(first)  # calendars of their own
    for calendar, events in first.items():
        assert {u: e.to_ical() for u, e in events.items()} == {
            u: e.to_ical() for u, e in both[calendar].items()
        }
    assert all(": 0 new, 0 updated, 0 removed" in line for line in (*publish(case), *publish(other)))
    publish(other, withdraw=True)
    left = events_on(server)
    assert {c: set(e) for c, e in left.items() if e} == {c: set(e) for c, e in first.items()}


@THE_SECOND_BY_NIGHT
def test_what_was_published_is_taken_off_even_when_no_week_is_kept_any_more(
    server: Server, case: Path
) -> None:
    publish(case)
    published = sum(map(len, events_on(server).values()))
    shutil.rmtree(case / "weeks" / str(WEEK))
    with pytest.raises(UsageError, match="--withdraw"):
        publish(case)
    lines = publish(case, withdraw=True)
    assert sum(int(line.rsplit(": ", 1)[1].split()[0]) for line in lines) == published
    assert not any(events_on(server).values())
    assert publish(case, withdraw=True) == ("Nothing of this case is on the server.",)
    assert json.loads((case / "weeks" / "published.json").read_text())["servers"] == {}


@pytest.mark.nightly
def test_after_a_withdrawal_all_can_be_published_again(server: Server, case: Path) -> None:
    publish(case)
    before = {c: set(e) for c, e in events_on(server).items()}
    publish(case, withdraw=True)
    lines = publish(case)
    assert not any("deleted" in line for line in lines)
    assert {c: set(e) for c, e in events_on(server).items()} == before


def test_a_week_that_is_not_kept_any_more_leaves_the_server(
    server: Server, cases: Cases, tmp_path: Path
) -> None:
    """Another week is kept, so there is something to publish."""
    case = cases.put("longer", tmp_path / "case")
    publish(case)
    assert weeks_on(server) == {49, 50}
    shutil.rmtree(case / "weeks" / str(WEEK))
    publish(case)
    assert weeks_on(server) == {50}


def weeks_on(server: Server) -> set[int]:
    events = (e for found in events_on(server).values() for e in found.values())
    return {e["DTSTART"].dt.date().isocalendar().week for e in events}


@pytest.mark.nightly
def test_a_copy_of_the_case_for_another_child_is_told_of_and_its_events_stay(
    server: Server, case: Path, cases: Cases, tmp_path: Path
) -> None:
    publish(case)
    publish(cases.put("copied", tmp_path / "copy"))
    mum = calendar_of(server, "genplan-adult-mum")
    assert len(events_on(server)[mum]) == 2
    (told,) = (
        line for line in publish(case) if line.startswith("Mum: 1 event of a child that this case does not")
    )
    assert "take the line 'case_id' out of that copy" in told
    publish(case, withdraw=True)
    assert len(events_on(server)[mum]) == 1


def test_people_who_look_at_calendars_from_before_the_id_go_on_looking_at_them(
    server: Server, cases: Cases, tmp_path: Path
) -> None:
    publish(cases.put("before", tmp_path / "before"), WEDNESDAY)
    before = events_on(server)
    assert "genplan-adult-mum" in before
    case = cases.put("since", tmp_path / "since")
    assert "case_id" in (case / "case.yaml").read_text(encoding="utf-8")
    publish(case, WEDNESDAY)
    after = events_on(server)
    assert after.keys() == before.keys()
    assert all(events.keys() <= after[c].keys() for c, events in before.items())
    assert len(after["genplan-adult-mum"]) > len(before["genplan-adult-mum"])


@pytest.mark.nightly
def test_events_without_an_id_that_this_case_did_not_put_there_are_left_and_told(
    server: Server, cases: Cases, tmp_path: Path
) -> None:
    """Two families of before, whose children have one id; the second has kept another week."""
    publish(cases.put("before", tmp_path / "one"), WEDNESDAY)
    before = set(events_on(server)["genplan-adult-mum"])
    two = cases.put("since", tmp_path / "two")
    told_json = two / "weeks" / str(AFTER) / "told.json"
    document = json.loads(told_json.read_text(encoding="utf-8"))
    for number, told in enumerate(document["sittings"]):
        told["event"] = f"of-before-{number}"
    told_json.write_text(json.dumps(document), encoding="utf-8")
    shutil.rmtree(two / "weeks" / str(WEEK))
    told = [line for line in publish(two, WEDNESDAY) if "left as found" in line]
    assert any(line.startswith("Mum: ") and "they may be another family's" in line for line in told)
    assert before < set(events_on(server)["genplan-adult-mum"])
    publish(two, WEDNESDAY, withdraw=True)
    assert before == set(events_on(server)["genplan-adult-mum"])


def test_what_cannot_be_remembered_is_told(
    server: Server, case: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    publish(case)
    file = case / "weeks" / "published.json"
    text = file.read_text()
    assert not any(word in text for word in ("127.0.0.1", "team", SECRET, "http"))
    file.write_text("{broken")
    (told,) = (line for line in publish(case) if "published.json" in line)
    assert "could not be read" in told
    assert file.read_text() == text  # as it is on the server

    def full(*_: object, **__: object) -> str:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(remembered, "replace_file", full)
    (told,) = (line for line in publish(case) if "published.json" in line)
    assert "could not be written (no room is left on the disk)" in told
