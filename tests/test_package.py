"""What pyproject.toml says of the package: its licence, and bounds that can be kept."""

from __future__ import annotations

import tomllib
from importlib.metadata import version

import pytest

from tests.fixtures.places import ROOT
from tests.lower_bounds import gave_way, lower_bound, stated

TEXT = (ROOT / "pyproject.toml").read_text("utf-8")
PROJECT = tomllib.loads(TEXT)["project"]


def test_the_licence_is_named_and_its_text_is_inside_the_package() -> None:
    assert PROJECT["license"] == "MIT"
    (file,) = PROJECT["license-files"]
    assert file.startswith("genplan/")
    text = (ROOT / file).read_text("utf-8")
    assert text.startswith("MIT License\n")
    assert "the genplan authors" in text
    assert PROJECT["authors"] == [{"name": "the genplan authors"}]
    assert PROJECT["classifiers"]
    # with a licence expression a classifier of it is refused by builders (PEP 639)
    assert [c for c in PROJECT["classifiers"] if c.startswith("License ::")] == []


@pytest.mark.parametrize("asked", stated(TEXT), ids=str)
def test_every_library_has_a_lower_bound_that_is_no_newer_than_what_is_tested(asked) -> None:
    assert lower_bound(asked) is not None
    if asked.name != "keyring":  # asked for when a password is, and by no test
        assert version(asked.name) in asked.specifier


def test_a_bound_that_gave_way_is_told() -> None:
    """The two that could not be kept: recurring-ical-events 3.8.0 asks for an icalendar below 7, and icalendar 7.0.3
    for a tzdata of 2025.3 or newer."""
    project = """
        [project]
        dependencies = ["icalendar>=7.0.3", "recurring-ical-events>=3.8", "tzdata>=2025.2", "jinja2"]
        [project.optional-dependencies]
        web = ["uvicorn>=0.34"]
    """
    pins = """# by a resolver
icalendar==7.0.3
jinja2==3.1.0
recurring_ical_events==3.8.1
    # via icalendar
tzdata==2025.3
uvicorn==0.34.0
"""
    assert gave_way(project, pins) == [
        "jinja2: no lower bound",
        "recurring-ical-events: 3.8 is stated, and 3.8.1 is the lowest that can be installed",
        "tzdata: 2025.2 is stated, and 2025.3 is the lowest that can be installed",
    ]
