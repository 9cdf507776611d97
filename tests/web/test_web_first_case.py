"""The first case, made over the page and turned into one's own there alone: every thing renamed, changed and taken
out through its form, and no screen is ever an error."""

from __future__ import annotations

import html
import re

import pytest

from tests.fixtures.light_case import work_less
from tests.fixtures.local_server import form_fields, running
from tests.fixtures.web_search import keep_form, plan

pytestmark = pytest.mark.usefixtures("warm_searches")

FIRST = ("/check", "/matrix", "/record", "/plan/2026-W49")
SCREENS = (
    *FIRST,
    "/case",
    "/case/general",
    "/matrix.csv",
    "/week/2026-W49",
    "/review",
    "/why",
    "/forecast",
    "/term",
    "/change",
)
SCREENS += ("/share", "/history/asks-for-help")
CHANGES = {
    "learners/robin": {"born": ["2020-02"], "free.sun": ["10:00-11:00"], "limits.probes_per_day": ["3"]},
    "adults/mum": {"free.sat": ["09:00-12:00"], "role": ["mother"]},
    "adults/dad": {"locations": ["these"], "locations.these": ["home"]},
    "adults/aunt": {"limits.minutes_per_week": ["60"], "away": ["2026-12-05"]},
    "locations/home": {"open.sun": ["10:00-18:00"], "open.mon": ["10:00-18:00"], "open.sat": ["08:00-18:00"]},
    "locations/aunts-house": {"capacity": ["2"]},
    "locations/playground": {"closed": ["2026-12-06"]},
    "material_sets/two-cups": {"copies": ["2"]},
    "material_sets/lunch-box": {"kept_at": ["all"], "kept_at.these": [], "hazards": ["cord"]},
    "material_sets/sand-toys": {"min_age_months": ["24"]},
    "targets/asks-for-help": {
        "minutes": ["6"],
        "also_vary.0.name": ["voice"],
        "also_vary.0.values": ["loud\nlow"],
    },
    "targets/waits-for-turn": {"also_vary.0.name": ["setting"]},
}


@pytest.fixture
def local(tmp_path):
    with running(tmp_path / "case") as local:
        assert local.post("/make-case").status == 303
        work_less(tmp_path / "case", 0.1)
        yield local


def told(answer):
    """What the page says went wrong."""
    found = re.search(r'role="alert".*?</div>', answer.text, re.DOTALL)
    return html.unescape(re.sub(r"<[^>]*>", "", found[0])) if found else ""


def send(local, path, **fields):
    """A form as it is shown, with these fields filled in otherwise; then the screens still have something to show."""
    answer = local.post(path, local.form(path) | fields)
    assert answer.status == 303, told(answer)
    no_error(local, FIRST)


def no_error(local, screens=SCREENS):
    for path in screens:
        answer = local.get(path)
        gone = path.startswith("/history") and re.search("no (target|skill)", told(answer))
        assert answer.status == 200 or gone, f"{path}: {told(answer)}"


def take_out(local, path):
    page = local.get(path).text
    fields = form_fields(page, page.count("<form") - 1)
    return local.post(f"{path}/remove", fields)


def test_each_thing_is_renamed_and_changed_and_the_case_is_planned(local, tmp_path):
    for thing, fields in CHANGES.items():
        send(local, f"/case/{thing}", name=[f"Ours: {thing}"], **fields)
    page = plan(local)
    assert "The plan: " in page
    assert "Ours: targets/waits-for-turn" in page
    assert local.post("/plan/2026-W49/keep", keep_form(page)).status == 303
    no_error(local)
    row = {
        "with-adult": ["mum"],
        "with-location": ["home"],
        "with-material_set": ["two-cups"],
        "correct": ["4"],
    }
    form = local.form("/record/row?target=waits-for-turn&date=2026-11-28")
    assert local.post("/record/add", form | row | {"with-setting": ["alone"]}).status == 303
    no_error(local)
    assert "setting" in (tmp_path / "case" / "results.csv").read_text("utf-8").splitlines()[0]


def test_the_second_skill_stops_to_vary_anything_beside(local):
    """Its column stays in results.csv, where no form reaches."""
    send(local, "/case/targets/waits-for-turn", **{"also_vary.0.name": [""], "also_vary.0.values": [""]})
    assert "The plan: " in plan(local)


OWN = {
    "learners": {"name": ["Wren"], "free.sat": ["10:00-12:00"], "free.wed": ["16:00-17:00"]},
    "adults": {"name": ["Gran"], "free.sat": ["10:00-12:00"], "free.wed": ["16:00-17:00"]},
    "locations": {"name": ["The hut"]},
    "material_sets": {"name": ["Two bells"], "small_parts": ["no"]},
    "targets": {
        "name": ["Rings twice"],
        "learner": ["own"],
        "mastered_on": ["2026-10-01"],
        "cover": ["each-value"],
    },
}


def test_each_thing_gives_way_to_ones_own(local):
    """What is needed elsewhere stays and says by what; it goes once that is changed."""
    for section, fields in OWN.items():
        send(local, f"/case/{section}/new", id=["own"], **fields)
    answer = take_out(local, "/case/learners/robin")
    assert answer.status == 422
    assert "is needed elsewhere" in told(answer)
    assert "targets.asks-for-help.learner" in told(answer)
    send(
        local,
        "/case/general",
        **{f"travel_minutes.routes.0.{key}": [""] for key in ("from", "to", "minutes")},
    )
    send(
        local, "/case/adults/dad", **{"locations": ["all"], "locations.these": []}
    )  # he goes to the playground by name
    for thing in reversed(CHANGES):
        answer = take_out(local, f"/case/{thing}")
        assert answer.status == 303, f"{thing}: {told(answer)}"
        no_error(local, FIRST)
    no_error(local)
    page = plan(local)
    assert "Rings twice" in re.split(r"The plan: 1 \w+", page)[1]
