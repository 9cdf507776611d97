"""Which time zone is meant, and which is offered where nobody says."""

from __future__ import annotations

from pathlib import Path

import pytest

from genplan.language import Speech, speaking
from genplan.start import time_zone
from genplan.start.answers import Answers, Entry
from genplan.start.asked_about_people import PURPOSE
from genplan.start.problems import problem_of
from genplan.start.reading import value_of
from genplan.start.time_zone import likely_zone, local_zone, machine_zone
from tests.fixtures.start_answers import TODAY

ZONE = PURPOSE.question("timezone")


@pytest.fixture
def silent_machine(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> pytest.MonkeyPatch:
    """One that says neither a zone nor a country."""
    for setting in ("TZ", "LC_ALL", "LC_TIME", "LANG"):
        monkeypatch.delenv(setting, raising=False)
    monkeypatch.setattr(time_zone, "TIMEZONE", tmp_path / "none")
    monkeypatch.setattr(time_zone, "LOCALTIME", tmp_path / "none")
    return monkeypatch


@pytest.mark.parametrize(
    ("typed", "zone"),
    [
        ("Dublin", "Europe/Dublin"),
        ("new york", "America/New_York"),
        ("Wien", "Europe/Vienna"),
        ("Ireland", "Europe/Dublin"),
        ("Deutschland", "Europe/Berlin"),
        ("Germany", "Europe/Berlin"),
        ("UK", "Europe/London"),
        ("Europe/Berlin", "Europe/Berlin"),
    ],
)
def test_a_city_or_a_country_is_enough_in_any_language(typed: str, zone: str) -> None:
    assert value_of(ZONE, Entry("p1", {"timezone": typed}), Answers()) == zone


@pytest.mark.parametrize("town", ["Leeds", "Manchester", "München"])
@pytest.mark.parametrize(("language", "zone"), [("en", "Europe/London"), ("de", "Europe/Berlin")])
def test_a_town_is_answered_with_the_zone_of_the_country_whose_language_is_spoken(
    silent_machine: pytest.MonkeyPatch, town: str, language: str, zone: str
) -> None:
    with speaking(Speech(language)):
        told = problem_of(ZONE, Entry("p1", {"timezone": town}), Answers(), TODAY, "purpose")
    assert told.startswith(f"'{town}'")
    assert f"{zone}." in told


@pytest.mark.parametrize(
    ("settings", "language", "zone"),
    [
        ({"TZ": "America/Halifax", "LANG": "de_DE.UTF-8"}, "de", "America/Halifax"),
        ({"LANG": "de_AT.UTF-8"}, "en", "Europe/Vienna"),
        ({"LANG": "C.UTF-8"}, "de", "Europe/Berlin"),
        ({}, "en", "Europe/London"),
        ({"LANG": "en_US.UTF-8"}, "en", ""),  # of several none is guessed
    ],
)
def test_the_machines_own_zone_is_offered_and_else_that_of_the_country(
    silent_machine: pytest.MonkeyPatch, settings: dict[str, str], language: str, zone: str
) -> None:
    for setting, value in settings.items():
        silent_machine.setenv(setting, value)
    with speaking(Speech(language)):
        assert likely_zone() == zone
        # only what the machine itself says can be left folded
        assert ZONE.can_wait(Answers()) is ("TZ" in settings)


@pytest.mark.parametrize(
    ("named", "asked", "taken"),
    [
        ("Etc/UTC", "", "Etc/UTC"),
        ("UTC", "", "Etc/UTC"),
        ("", "", ""),
        ("Europe/Dublin", "Europe/Dublin", "Europe/Dublin"),
    ],
)
def test_a_machine_that_is_set_to_utc_says_a_zone_where_nobody_is_asked(
    silent_machine: pytest.MonkeyPatch, tmp_path: Path, named: str, asked: str, taken: str
) -> None:
    (tmp_path / "named").write_text(f"{named}\n")
    silent_machine.setattr(time_zone, "TIMEZONE", tmp_path / "named")
    assert (local_zone(), machine_zone()) == (asked, taken)
