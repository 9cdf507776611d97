"""A copy of a case for asking for help: everything that decides a plan, and no word, name or date of the original."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from genplan.case import Absence, Birth, Case, Dimension, Target, Week
from genplan.case.people import AbsenceKind
from genplan.case.safety import SMALL_PARTS_MONTHS, MaterialSet
from genplan.case.targets import BASE_DIMENSIONS
from genplan.case.week import DAY_NAMES
from genplan.casefile.tree import Leaf, Node
from genplan.casefile.yaml_writing import block
from genplan.evidence.formula_cells import escape_formula
from genplan.evidence.log import Log, Result, ResultKind
from genplan.evidence.marks import MARKS
from genplan.evidence.procedure import STEPS_KEPT, as_written
from genplan.evidence.results import COLUMNS, OPTIONAL
from genplan.evidence.sittings_written import childs_own
from genplan.keeping.revision import bare_name
from genplan.keeping.store import kept_bytes
from genplan.keeping.told import KeptWeek, Withdrawn
from genplan.language import _
from genplan.plan import Probe, Sitting
from genplan.sharing.pseudonyms import Pseudonyms
from genplan.sharing.redaction import in_other_words, moved_birth

SHIFTS = range(-1040, -103)
"""Weeks by which dates may be moved: two to twenty years back."""

HORIZON = range(-7, 29)
"""Days around now in which an age must decide as it did: this week's and those of the four weeks ahead. Further off it
may decide some two weeks sooner or later, since a birth is told as a month."""


def possible_shifts(case: Case, now: date) -> list[int]:
    """The numbers of weeks that leave what each child's age decides in the horizon as it was: others would make a child
    some days older or younger at the wrong moment."""
    limits = sorted({SMALL_PARTS_MONTHS, *(m.min_age_months for m in case.material_sets.values())} - {0})
    births = [x.born for x in case.learners.values() if x.born]
    ages = [_reached(b, limits, now) for b in births]

    def moved(weeks: int) -> list[list[int]]:
        shift = timedelta(weeks=weeks)
        return [_reached(moved_birth(b, shift), limits, now + shift) for b in births]

    return [weeks for weeks in SHIFTS if moved(weeks) == ages]


def _reached(born: Birth, limits: Iterable[int], now: date) -> list[int]:
    """For each limit the number of the first day of the horizon on which the child is so many months old."""
    return [
        next((n for n in HORIZON if born.age_months(now + timedelta(n)) >= limit), HORIZON.stop)
        for limit in limits
    ]


def case_text(
    tree: Mapping[str, Node],
    disguise: Pseudonyms,
    holidays: Mapping[str, Iterable[date]],
    by_name: Mapping[str, MaterialSet],
) -> bytes:
    """`case.yaml`. `holidays` are days on which a location is closed for one, by its id: they are written out, since a
    country's holidays are not on the days that they become. So is what the name of a set says of it (`by_name`, sets by
    their id): another name does not say it."""
    said = in_other_words(_with_what_is_held(tree, by_name), disguise)
    for id_, days in holidays.items():
        _close(said, disguise.id("locations", id_), [disguise.day(d) for d in days])
    lines = [block(key, node, 0, 2, "\n", 2) for key, node in said.items()]
    return ("\n".join(("# A copy in other words: see ABOUT.txt.", *lines)) + "\n").encode("utf-8")


def _with_what_is_held(tree: Mapping[str, Node], by_name: Mapping[str, MaterialSet]) -> dict[str, Node]:
    sets = tree.get("material_sets")
    if not isinstance(sets, dict):
        return dict(tree)
    more = {i: _with_it_written(sets[i], thing) for i, thing in by_name.items() if i in sets}
    return {**tree, "material_sets": {**sets, **more}}


def _with_it_written(record: Node, thing: MaterialSet) -> Node:
    own = dict(record) if isinstance(record, dict) else {}
    for key, held in (("allergens", thing.by_name), ("hazards", thing.hazards_by_name)):
        if held:
            own[key] = [*_listed(own.get(key, [])), *(Leaf(name, True) for name in sorted(held))]
    if thing.is_small_by_name:
        own["small_parts"] = Leaf("yes", True)
    return own


def _listed(node: Node) -> list[Node]:
    return [*node] if isinstance(node, list) else [] if _nothing(node) else [node]


def _close(said: dict[str, Node], id_: str, days: Iterable[date]) -> None:
    places = said.get("locations")
    place = places.get(id_) if isinstance(places, dict) else None
    if isinstance(place, dict) and place.pop("holidays", None) is not None:
        place["closed"] = [*_listed(place.get("closed", [])), *(Leaf(d.isoformat(), False) for d in days)]


def _nothing(node: Node) -> bool:
    return isinstance(node, Leaf) and node.is_empty


def results_text(case: Case, log: Log, disguise: Pseudonyms) -> bytes:
    """`results.csv`: the rows in their order, notes and observers by numbers."""
    extra = sorted(
        {d.name for t in case.targets.values() for d in t.extra_dimensions}, key=disguise.dimension
    )
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    cells = [_cells(case, r, disguise) for r in sorted(log.results, key=lambda r: r.line)]
    seen = [name for name in OPTIONAL if any(row[name] for row in cells)]
    rows.writerow([*COLUMNS, *(disguise.dimension(name) for name in extra), *seen])
    rows.writerows([row.get(name, "") for name in (*COLUMNS, *extra, *seen)] for row in cells)
    return out.getvalue().encode("utf-8")


def _cells(case: Case, result: Result, disguise: Pseudonyms) -> dict[str, str]:
    target = case.targets[result.target]
    counts = {n: getattr(result, n) for n in ("trials", "correct", "prompted", "observer_correct")}
    values = dict(zip(target.dimension_names, result.combination, strict=True))
    observer = result.observer and (
        disguise.ids["adults"].get(result.observer) or disguise.text("observer ", result.observer)
    )
    return {
        "date": disguise.day(result.date).isoformat(),
        "time": f"{result.time:%H:%M}" if result.time else "",
        "target": disguise.id("targets", result.target),
        "kind": result.kind.value,
        "observer": observer,
        "note": reason_or_number(case, result, disguise),
        **{name: escape_formula(getattr(result, name)) for name in MARKS},
        STEPS_KEPT: as_written(result.steps_kept),
        **{name: "" if count is None else str(count) for name, count in counts.items()},
        **{name: disguise.value(name, value) for name, value in values.items()},
    }


def reason_or_number(case: Case, result: Result, disguise: Pseudonyms) -> str:
    """A number; but what `genplan record` itself calls the child's reasons stays, since it counts apart."""
    kept = childs_own(case, result) if result.kind is ResultKind.NOT_RUN else ""
    return kept or (disguise.text("note ", result.note) if result.note else "")


def busy_text(stretches: Iterable[Absence], disguise: Pseudonyms) -> bytes:
    """A calendar of busy times without a word on what they are for, but at which place of the case they are."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//genplan//busy times//EN"]
    for number, (*stretch, place) in enumerate(sorted({(a.start, a.end, a.place) for a in stretches}), 1):
        start, end = (f"{disguise.wall(moment):%Y%m%dT%H%M%SZ}" for moment in stretch)
        lines += ["BEGIN:VEVENT", f"UID:{number}@genplan.invalid", f"DTSTAMP:{start}"]
        at = [f"LOCATION:{disguise.id('locations', place)}"] if place else []
        lines += [f"DTSTART:{start}", f"DTEND:{end}", "SUMMARY:busy", *at, "END:VEVENT"]
    return "".join(f"{line}\r\n" for line in (*lines, "END:VCALENDAR")).encode("ascii")


def told_text(case: Case, kept: KeptWeek, disguise: Pseudonyms) -> bytes:
    """`told.json` of a week that was kept."""
    seen = Retold(kept.week, disguise)
    told = tuple(
        replace(
            t,
            sitting=seen.sitting(case, t.sitting),
            event=seen.name(t.sitting, t.event),
            changed=seen.moment(t.changed),
            use_changed=seen.moment(t.use_changed),
            until=seen.moment(t.until),
            left=tuple(seen.withdrawn(x, "locations") for x in t.left),
            released=tuple(seen.withdrawn(x, "adults") for x in t.released),
            handed_out=None,
            cautions=None,
            banned=(),
        )
        for t in kept.told
    )
    targets = {disguise.id("targets", t.id): _renamed(t, disguise) for t in case.targets.values()}
    week = disguise.week(kept.week)
    in_order = tuple(sorted(told, key=lambda t: (t.sitting.start, t.sitting.id)))
    return kept_bytes(KeptWeek(week, seen.moment(kept.kept), in_order), replace(case, targets=targets))


def _renamed(target: Target, disguise: Pseudonyms) -> Target:
    names = tuple(Dimension(disguise.dimension(d.name), d.values) for d in target.dimensions)
    return replace(target, dimensions=names)


class Retold:
    """The sittings of one week in other words."""

    def __init__(self, week: Week, disguise: Pseudonyms) -> None:
        self.week, self.disguise = week, disguise

    def moment(self, moment: datetime) -> datetime:
        return self.disguise.wall(moment).replace(tzinfo=UTC)

    def withdrawn(self, x: Withdrawn, section: str) -> Withdrawn:
        start, end, until, changed = map(self.moment, (x.start, x.end, x.until, x.changed))
        return Withdrawn(self.disguise.id(section, x.id), start, end, until, x.sequence, changed)

    def sitting(self, case: Case, s: Sitting) -> Sitting:
        d = self.disguise
        return replace(
            s,
            id=self.name(s, s.id),
            learner=d.id("learners", s.learner),
            adult=d.id("adults", s.adult),
            location=d.id("locations", s.location),
            start=self.moment(s.start),
            end=self.moment(s.end),
            probes=tuple(self._probe(case, p) for p in s.probes),
            beside=d.id("adults", s.beside) if s.beside else "",
            moved_from=s.moved_from and (self.name(s, s.moved_from[0]), self.moment(s.moved_from[1])),
        )

    def name(self, s: Sitting, old: str) -> str:
        """The id that the planner would give it: the day in it may be another than the sitting's."""
        from genplan.case.sitting_ids import stem_of

        d, old = self.disguise, bare_name(old)
        for day in DAY_NAMES:
            stem = stem_of(self.week, day, s.adult, s.learner)
            if old == stem or old.startswith(f"{stem}-"):
                fresh = stem_of(d.week(self.week), day, d.id("adults", s.adult), d.id("learners", s.learner))
                return fresh + old.removeprefix(stem)
        return d.text("sitting-", old)

    def _probe(self, case: Case, probe: Probe) -> Probe:
        target = case.targets.get(probe.target)
        names = target.dimension_names if target else (*BASE_DIMENSIONS, *probe.combination[3:])
        values = zip(names, probe.combination, strict=False)
        combination = tuple(self.disguise.value(name, value) for name, value in values)
        return replace(probe, target=self.disguise.id("targets", probe.target), combination=combination)


def about_text(now: datetime, week: Week) -> bytes:
    """ABOUT.txt. `now` and `week` are those of the copy."""
    about = _(
        """\
A copy of a case for asking for help, made by 'genplan share --for-help'.

Every id, name, alias, text and note stands for another one, and so do allergens.
Which number stands for whom was drawn by lot. All dates are moved by one number
of whole weeks, and all hours are said to be of the zone UTC. A birth is told as
a month, which may be off by half a month. Busy times are those of the weeks around now, and have lost what
they were for. Remarks are gone.

As they were: hours and days of the week, the time between two dates, limits,
counts of trials and of correct responses, the words of the format, known
hazards, and who works with whom, where and with what.

Whoever knows on which day the copy was made can work out by how much the dates
were moved, and with that roughly how old a child is. So can, without that day,
whoever tries a country's calendar on it: days on which places are closed lie as
far apart as its public holidays, and its school holidays and terms, and show the
country too. Who knows a child's hours, or how many people and targets it has,
may know it again. Give it to people whom you would tell all that.

The copy is planned by the same rules to a week of the same worth. Of several
such weeks it may be another one.

Where the original is planned today, type for the copy:

  genplan check .
  genplan plan . --week {week} --now {now:%Y-%m-%dT%H:%M}
""",
        week=week,
        now=now,
    )
    return about.encode()


def holidays_of(case: Case) -> dict[str, list[date]]:
    """The public holidays on which each location that keeps them is closed."""
    return {
        p.id: sorted({a.start.date() for a in p.closed if a.kind is AbsenceKind.HOLIDAY})
        for p in case.locations.values()
        if p.holidays
    }


def week_files(case: Case, kept: Iterable[KeptWeek], disguise: Pseudonyms) -> Iterator[tuple[str, bytes]]:
    for one in kept:
        yield f"weeks/{disguise.week(one.week)}/told.json", told_text(case, one, disguise)
