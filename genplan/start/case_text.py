"""Answers -> the YAML text of a case, such as a user could have written it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from genplan.case.safety import ALLERGENS, NEVER_PLANNED, allergens_met
from genplan.case.targets import ADULT, BASE_DIMENSIONS, LOCATION, MATERIAL_SET
from genplan.casefile.domain_types import SECTION_OF
from genplan.casefile.identity import line_of
from genplan.casefile.ids_from_names import id_from
from genplan.casefile.schema import SCHEMA_FILE
from genplan.casefile.time_texts import windows_text
from genplan.casefile.tree import Leaf, Node
from genplan.casefile.weekly_hours import of_runs
from genplan.casefile.yaml_writing import block
from genplan.language import N_, _, said, speech
from genplan.language.dates import in_english
from genplan.start.allergies import allergies_of, looked
from genplan.start.answers import Answers, Entry
from genplan.start.asked_about_places import BALLOON, NONE_OF_THESE, SMALL, TOO_BIG
from genplan.start.asked_about_skills import DONE
from genplan.start.defaults import policy_of
from genplan.start.hours_text import Week
from genplan.start.kept_from import seen_to_be_free
from genplan.start.reading import value_of
from genplan.start.screens import question_of
from genplan.start.tried import possible, tried

HEAD = f"# yaml-language-server: $schema={SCHEMA_FILE}"
LINES = 2
"""A section and a thing in it get lines of their own."""
SECTIONS = {
    "children": ("learners", "child"),
    "helpers": ("adults", "helper"),
    "places": ("locations", "place"),
    "things": ("material_sets", "thing"),
    "skills": ("targets", "skill"),
}
NOTHING, NO_OBJECTS = "nothing", N_("No objects")

Ids = Mapping[tuple[str, str], str]
"""(group, key of an entry) -> its id in the case."""


def case_text(answers: Answers, case_id: str) -> str:
    """The case. The answers must have no problems."""
    return _Writer(answers).text(case_id)


def ids_of(answers: Answers) -> dict[tuple[str, str], str]:
    """Ids by the names, no two alike in the whole case: a day off names a child or an adult by the id alone."""
    found: dict[tuple[str, str], str] = {}
    for group, (_section, word) in SECTIONS.items():
        for entry in answers.entries(group):
            taken = {*found.values(), NOTHING}
            found[group, entry.key] = id_from(_name(entry), taken, word)
    return found


class _Writer:
    def __init__(self, answers: Answers) -> None:
        self.answers = answers
        self.ids = ids_of(answers)

    def text(self, case_id: str) -> str:
        top = self._top()
        lines = [
            "format: 1",
            line_of(case_id),
            *(block(k, v, 0, 2, "\n", LINES) for k, v in top.items()),
        ]
        head = 3 + list(top).index("policy")
        remark = _("Made of your answers. Text after a # is a remark.")
        return f"{HEAD}\n# {remark}\n\n" + "\n".join(lines[:head]) + "\n\n" + "\n\n".join(lines[head:]) + "\n"

    def _top(self) -> dict[str, Node]:
        purpose = self.answers.entries("purpose")[0]
        nothing = _kept({"name": _text(said(NO_OBJECTS)), "small_parts": _word("no"), "bring": _word("no")})
        things = self._section("things", self._thing) | ({NOTHING: nothing} if self._some_need_none() else {})
        own = [_word(name) for name in allergies_of(self.answers) if name not in ALLERGENS]
        return _kept(
            {
                "timezone": _word(self._said("purpose", purpose, "timezone")),
                "language": None if in_english() else _word(speech().language),
                "policy": _word(self._said("purpose", purpose, "policy")),
                "other_allergens": own,
                "learners": self._section("children", self._child),
                "adults": self._section("helpers", self._helper),
                "locations": self._section("places", self._place),
                "travel_minutes": self._travel(),
                "material_sets": things,
                "targets": self._section("skills", self._skill),
            }
        )

    def _section(self, group: str, made: Any) -> dict[str, Node]:
        return {self.ids[group, e.key]: made(e) for e in self.answers.entries(group)}

    def _said(self, group: str, entry: Entry, question: str) -> Any:
        return value_of(question_of(group, question), entry, self.answers)

    def _child(self, entry: Entry) -> Node:
        visits, minutes = (self._said("children", entry, q) for q in ("visits", "minutes"))
        return _kept(
            {
                "name": _text(_name(entry)),
                "alias": _text(self._said("children", entry, "alias")),
                "born": _word(self._said("children", entry, "born")),
                "mouths": _word("yes" if self._said("children", entry, "mouths") else ""),
                "free": _free(self._said("children", entry, "hours")),
                "limits": _kept({"sittings_per_day": _word(visits), "sitting_minutes": _word(minutes)}),
                "allergens": [_word(a) for a in self._said("children", entry, "allergies")],
            }
        )

    def _helper(self, entry: Entry) -> Node:
        places = [
            p for p in self.answers.entries("places") if entry.key in self._said("places", p, "helpers")
        ]
        all_places = len(places) == len(self.answers.entries("places"))
        limit = self._said("helpers", entry, "visits")
        return _kept(
            {
                "name": _text(_name(entry)),
                "role": _text(self._said("helpers", entry, "role")),
                "learners": self._chosen("helpers", entry, "children", "children"),
                "locations": None if all_places else [self._id("places", p.key) for p in places] or _EMPTY,
                "free": _free(self._said("helpers", entry, "hours")),
                "limits": _kept({"sittings_per_week": _word(limit)}),
            }
        )

    def _place(self, entry: Entry) -> Node:
        return _kept({"name": _text(_name(entry)), "open": _free(self._said("places", entry, "open"))})

    def _travel(self) -> Node | None:
        if len(self.answers.entries("places")) < 2:
            return None
        travel = next(iter(self.answers.entries("travel")), Entry("t1"))
        routes: list[Node] = [
            _kept(
                {
                    "between": [self._id("places", self._said("ways", way, end)) for end in ("from", "to")],
                    "minutes": _word(self._said("ways", way, "minutes")) or _word("0"),
                }
            )
            for way in self.answers.entries("ways")
        ]
        return _kept({"otherwise": _word(self._said("travel", travel, "minutes")), "routes": routes})

    def _thing(self, entry: Entry) -> Node:
        cautions = self._said("things", entry, "cautions")
        small = "yes" if SMALL in cautions else "no" if {NONE_OF_THESE, TOO_BIG} & {*cautions} else ""
        copies = self._said("things", entry, "copies")
        holds = self._said("things", entry, "holds")
        hazards = [c for c in cautions if c in (*NEVER_PLANNED, BALLOON[0])]
        hazards = [*dict.fromkeys((*hazards, *self._said("things", entry, "hazards")))]
        return _kept(
            {
                "name": _text(_name(entry)),
                "small_parts": _word(small),
                "hazards": [_word(h) for h in hazards],
                "allergens": [_word(a) for a in holds if a != looked(self.answers)],
                "free_of": [
                    *(
                        _word(a)
                        for a in allergies_of(self.answers)
                        if looked(self.answers) in holds and not allergens_met(frozenset((a,)), holds)
                    ),
                    *(_word(h) for h in sorted(seen_to_be_free(self.answers, entry))),
                ],
                "kept_at": self._chosen("things", entry, "kept_at", "places"),
                "copies": _word(copies) if copies != 1 else None,
            }
        )

    def _skill(self, entry: Entry) -> Node:
        policy = policy_of(self.answers.one("purpose", "policy"))
        state = self._said("skills", entry, "state")
        defaults = {"trials": policy.trials, "pass_mark": str(policy.pass_mark), "minutes": policy.minutes}
        own = {key: self._said("skills", entry, key) for key in defaults}
        since = self._said("skills", entry, "since")
        is_taught = state != DONE and policy.plan_teaching
        return _kept(
            {
                "learner": self._id("children", self._child_of(entry)),
                "name": _text(_name(entry)),
                "correct_when": _text(self._said("skills", entry, "correct")),
                "instruction": _text(self._said("skills", entry, "says")),
                "state": _word(state) if state != DONE else None,
                "teaching_per_week": _word(self._said("skills", entry, "teachings")) if is_taught else None,
                "mastered_on": _word(since),
                # without the day there is nothing to count from, and nobody is to be warned of it
                "maintenance_days": None if since or state != DONE else _EMPTY,
                "taught": [self._taught(entry)],
                **{key: self._varied(entry, group) for key, group in _VARIED.items()},
                **{key: _word(v) if v != defaults[key] else None for key, v in own.items()},
                "generalised_when": self._fewer(entry, policy.generalised_when),
            }
        )

    def _child_of(self, entry: Entry) -> str:
        return str(self._said("skills", entry, "child"))

    def _taught(self, entry: Entry) -> Node:
        by, at = (self._said("skills", entry, q) for q in ("by", "at"))
        what = self._things_of(entry)[0]
        return {ADULT: self._id("helpers", by), LOCATION: self._id("places", at), MATERIAL_SET: what}

    def _things_of(self, skill: Entry) -> list[Node]:
        """In the order in which they are named: with the first it was learned."""
        return [self._id("things", key) for key in self._said("skills", skill, "things")] or [_NOTHING]

    def _some_need_none(self) -> bool:
        return any(self._things_of(skill) == [_NOTHING] for skill in self.answers.entries("skills"))

    def _fewer(self, entry: Entry, wanted: Mapping[str, int]) -> Node | None:
        """The policy's counts, lowered to what can be reached; nothing where there is enough of everything."""
        ways = possible(self.answers, entry)
        there = {name: max(1, len({way[at] for way in ways})) for at, name in enumerate(BASE_DIMENSIONS)}
        if all(there.get(name, count) >= count for name, count in wanted.items()):
            return None
        return {SECTION_OF.get(n, n): _some(_word(min(c, there.get(n, c)))) for n, c in wanted.items()}

    def _varied(self, entry: Entry, group: str) -> list[Node] | None:
        if group == "things":
            own, every = self._things_of(entry), len(self.answers.entries(group)) + self._some_need_none()
            return None if len(own) == every else own
        keys = [e.key for e in tried(self.answers, entry, group)]
        return None if len(keys) == len(self.answers.entries(group)) else [self._id(group, k) for k in keys]

    def _chosen(self, group: str, entry: Entry, question: str, of: str) -> list[Node] | None:
        """The ids that were chosen; None for all of them."""
        keys = self._said(group, entry, question)
        return None if len(keys) == len(self.answers.entries(of)) else [self._id(of, key) for key in keys]

    def _id(self, group: str, key: str) -> Node:
        return Leaf(self.ids[group, key], True)


_EMPTY: list[Node] = []
_NOTHING = Leaf(NOTHING, True)
_VARIED = {"adults": "helpers", "locations": "places", "material_sets": "things"}


def _name(entry: Entry) -> str:
    return " ".join(entry.get("name").split())


def _text(text: str) -> Leaf | None:
    return Leaf(text, False) if text else None


def _word(value: str | int | None) -> Leaf | None:
    """A number, an id, a date: never in quotation marks."""
    return None if value in (None, "") else Leaf(str(value), True)


def _some(node: Leaf | Node | None) -> Node:
    assert node is not None
    return node


def _free(week: Week) -> Node | None:
    return of_runs([*map(windows_text, week)]) or None


def _kept(parts: Mapping[str, Any]) -> dict[str, Node]:
    """Without what was not said; an empty list that was said stays."""
    return {k: v for k, v in parts.items() if v is not None and (v or v is _EMPTY)}
