"""Warnings: what is allowed and probably not meant. Each is one short function over the finished case."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterator
from datetime import date
from math import prod

from genplan.case import Case, Target, TargetState, WeeklyHours
from genplan.case.possible import obstacle
from genplan.case.targets import ADULT, LOCATION, MATERIAL_SET, Pattern
from genplan.casefile.at_any_age import adults_to_brief, possible_at_any_age, why_things_stay
from genplan.casefile.diagnostics import Diagnostics
from genplan.casefile.domain_types import SECTION_OF
from genplan.language import _, and_list, ngettext
from genplan.text.dimension_words import counted_values
from genplan.text.obstacles import obstacle_text

MOST_COMBINATIONS = 100_000
"""Of one target: the matrix has a row for each, and beyond it every step takes minutes."""

MOST_COMPARED = 2_000_000
"""Combinations of all targets, each once more for every pattern that it is compared with: some seconds."""


def is_small_enough(case: Case, notes: Diagnostics) -> bool:
    """Whether each target, and all together, have so few combinations that each can be looked at; else that is an
    error."""
    many = {t.id: prod(len(d.values) for d in t.dimensions) for t in case.targets.values()}
    hint = _("name the adults, locations and material sets to vary for it, or fewer values")
    for id_ in (big := [id_ for id_, number in many.items() if number > MOST_COMBINATIONS]):
        sizes = ", ".join(counted_values(len(d.values), d.name) for d in case.targets[id_].dimensions)
        found = _("a target of {number} combinations ({sizes})", number=many[id_], sizes=sizes)
        notes.error(("targets", id_), found, _("at most {most}", most=MOST_COMBINATIONS), hint)
    patterns = {
        t.id: 1 + len(t.never) + len(t.first) + len(t.hold_out) + len(t.taught) for t in case.targets.values()
    }
    compared = sum(number * patterns[id_] for id_, number in many.items())
    if compared > MOST_COMPARED and not big:
        found = _(
            "{number} combinations, which with the patterns of 'never', "
            "'first', 'taught' and 'hold_out' are {compared} to look at",
            number=sum(many.values()),
            compared=compared,
        )
        notes.error(
            ("targets",),
            found,
            _("at most {most}", most=MOST_COMPARED),
            _("make two cases of it, or vary fewer values"),
        )
    return compared <= MOST_COMPARED and not big


def _hours_there(case: Case, notes: Diagnostics) -> None:
    for section, people in (("learners", case.learners), ("adults", case.adults)):
        for person in people.values():
            if person.free == WeeklyHours.never():
                found = _("no hours for {person}, so nothing can be planned with them", person=person.id)
                notes.warning(
                    (section, person.id), found, "", _("add 'free: {mon-fri: \"15:30-18:30\"}' or the like")
                )
    for place in case.locations.values():
        if place.open == WeeklyHours.never():
            found = _("no opening times for {place}, so nothing can be planned there", place=place.id)
            hint = _("if it is ever open, write when, such as 'open: {mon-fri: \"09:00-17:00\"}'")
            notes.warning(("locations", place.id, "open"), found, "", hint)


def _learners_have_targets(case: Case, notes: Diagnostics) -> None:
    for learner in case.learners:
        if not case.targets_of(learner):
            notes.warning(
                ("learners", learner),
                _("no target for {learner}", learner=learner),
                "",
                _("add one under 'targets'"),
            )


def _aliases_differ(case: Case, notes: Diagnostics) -> None:
    first: dict[str, str] = {}
    for learner in case.learners.values():
        other = first.setdefault(learner.alias, learner.id)
        if other != learner.id:
            found = _(
                "the alias '{alias}' for {learner} as well as for {other}",
                alias=learner.alias,
                learner=learner.id,
                other=other,
            )
            hint = _("give one of them another 'alias'; until then they are numbered")
            notes.warning(("learners", learner.id, "alias"), found, "", hint)


def _names_differ(case: Case, notes: Diagnostics) -> None:
    sections = (("adults", case.adults), ("locations", case.locations), ("material_sets", case.material_sets))
    for section, things in sections:
        first: dict[str, str] = {}
        for thing in things.values():
            other = first.setdefault(thing.name, thing.id)
            if other != thing.id:
                found = _(
                    "the name '{name}' for {id} as well as for {other}",
                    name=thing.name,
                    id=thing.id,
                    other=other,
                )
                hint = _("give one of them another 'name'; until then the id is told with it")
                notes.warning((section, thing.id, "name"), found, "", hint)


def _skills_stand_once(case: Case, notes: Diagnostics) -> None:
    """A second target of one learner that is told in the same words plans everything twice."""
    first: dict[tuple[object, ...], str] = {}
    for target in case.targets.values():
        if target.state is TargetState.PAUSED:
            continue
        texts = (target.name, target.correct_when, target.instruction, target.how_taught, target.steps)
        other = first.setdefault((target.learner, *texts), target.id)
        if other != target.id:
            found = _(
                "a second target '{target}' of {learner}, in the same words as {other}",
                target=target.name,
                learner=target.learner,
                other=other,
            )
            hint = _(
                "take one of the two out if they are one skill, or say in 'name' or 'correct_when' what differs"
            )
            notes.warning(("targets", target.id), found, "", hint)


def _aliases_hide(case: Case, notes: Diagnostics) -> None:
    """A name of a learner inside a text that stands beside the alias in calendars and on pages."""
    by_word: dict[str, list[tuple[tuple[str, ...], str]]] = defaultdict(list)
    for path, text in _texts_for_others(case):
        for part in set(re.findall(r"\w+", text)):
            by_word[part].append((path, text))
    for learner in case.learners.values():
        for word in given_away_by(learner.name):
            if holds(learner.alias, word) or notes.is_full:
                continue
            for path, text in by_word[re.findall(r"\w+", word)[0]]:
                if holds(text, word) and not (path[0] == "adults" and text == word):
                    spoken = path[0] == "targets" and path[2] in ("instruction", "how_taught", "also_vary")
                    instead = _("(name)") if spoken else learner.alias
                    without = instead.join(re.split(whole_word(word), text))
                    found = _(
                        "the name of {learner} in '{text}', which others read beside the alias",
                        learner=learner.alias,
                        text=text,
                    )
                    notes.warning(
                        path, found, "", _("write it without the name, such as '{without}'", without=without)
                    )


def given_away_by(name: str) -> Iterator[str]:
    """The words of a name that tell whose it is: not 'of' or a single letter."""
    yield from dict.fromkeys(w for w in name.split() if len(w) > 1 and w[0] != w[0].lower())


def whole_word(word: str) -> str:
    return rf"(?<!\w){re.escape(word)}(?!\w)"


def holds(text: str, word: str) -> bool:
    """Whether a text holds the word as a whole one, capitals told apart."""
    return word in text and re.search(whole_word(word), text) is not None


def _texts_for_others(case: Case) -> Iterator[tuple[tuple[str, ...], str]]:
    for adult in case.adults.values():
        yield ("adults", adult.id, "name"), adult.name
        yield ("adults", adult.id, "role"), adult.role
    for location in case.locations.values():
        yield ("locations", location.id, "name"), location.name
    for material_set in case.material_sets.values():
        yield ("material_sets", material_set.id, "name"), material_set.name
    for target in case.targets.values():
        for key in ("name", "correct_when", "instruction", "how_taught"):
            yield ("targets", target.id, key), getattr(target, key)
        yield from ((("targets", target.id, "steps"), step) for step in target.steps)
        for dimension in target.extra_dimensions:
            yield from ((("targets", target.id, "also_vary", dimension.name), v) for v in dimension.values)


def _something_is_possible(case: Case, notes: Diagnostics) -> None:
    for target in case.targets.values():
        if not any(possible_at_any_age(case, target, c) for c in target.combinations()):
            found = _("no combination of an adult, a location and a material set that is possible")
            hint = _(
                "compare who works with whom and goes where, where the sets are "
                "kept, their allergens, hazards and ages, and 'never'"
            )
            if staying := why_things_stay(case, target):
                what = "; ".join(staying)
                hint = _("{what}: take 'kept_at' out if it can be carried", what=what)
            hint = how_to_brief(case, target, {}) or hint
            notes.warning(("targets", target.id), found, "", hint)


def how_to_brief(case: Case, target: Target, pattern: Pattern) -> str:
    """What to do where nothing that holds the pattern is possible and a briefing would change that; else nothing."""
    if not (adults := adults_to_brief(case, target, pattern)):
        return ""
    return ngettext(
        "{adults} is not briefed on '{target}': once that is done, add the target to the adult's 'briefed_on'",
        "{adults} are not briefed on '{target}': once one of them is, add the target to that adult's 'briefed_on'",
        len(adults),
        adults=and_list([f"'{a}'" for a in adults]),
        target=target.id,
    )


def _says_what_is_correct(case: Case, notes: Diagnostics) -> None:
    for target in case.targets.values():
        if not target.correct_when:
            found = _(
                "it is not said what counts as correct, so two adults may judge the same trial differently"
            )
            notes.warning(
                ("targets", target.id),
                found,
                "",
                _("add 'correct_when: …': what a correct response looks like"),
            )


def _maintenance_has_a_start(case: Case, notes: Diagnostics) -> None:
    lacking = [t for t in case.targets.values() if t.maintenance_days and t.mastered_on is None]
    lacking = [t for t in lacking if t.state is TargetState.MASTERED]
    found = _("no day of mastery, so no maintenance probe falls due")
    hint = _("add the day on which the target was mastered, such as 'mastered_on: 2026-10-19'")
    tell(lacking, "maintenance_days", "", found, hint, notes)


def _trials_of_its_mark(case: Case, notes: Diagnostics) -> None:
    """`pass_mark: 3/3` says nothing of how many trials there are: these are the policy's, and all five have to be
    correct then."""
    for target in case.targets.values():
        mark, at = target.pass_mark, ("targets", target.id, "pass_mark")
        is_all = mark.correct == mark.trials != target.trials
        if is_all and at in notes.marks and (*at[:2], "trials") not in notes.marks:
            found = _(
                "{mark}, and a probe has {trials} trials, of which {needed} have to be correct then",
                mark=mark,
                trials=target.trials,
                needed=mark.needed(target.trials),
            )
            notes.warning(
                at, found, "", _("write 'trials: {trials}' too if that is meant", trials=mark.trials)
            )


def tell(targets: list[Target], key: str, part: str, found: str, hint: str, notes: Diagnostics) -> None:
    """Warns at each target that has the key itself, and once, at the first, for all that have it from the policy."""
    below = (part,) if part else ()
    others: list[str] = []
    for target in targets:
        if ("targets", target.id, key) in notes.marks:
            notes.warning(("targets", target.id, key, *below), found, "", hint)
        else:
            others.append(target.id)
    if others:
        named = others[0]
        if len(others) > 1:
            named = _("{first} and {number} more", first=others[0], number=len(others) - 1)
        notes.warning(
            ("targets", others[0]),
            _("{found} (target {named}; by the policy's '{key}')", found=found, named=named, key=key),
            "",
            hint,
        )


def _taught_is_possible(case: Case, notes: Diagnostics) -> None:
    for target in case.targets.values():
        for i, pattern in enumerate(target.taught, 1):
            for dimension in target.dimensions:
                value = pattern.get(dimension.name)
                if value is not None and value not in dimension.values:
                    found = _("'{value}', which this target does not vary, so it shows nothing", value=value)
                    hint = _how_to_vary(target, dimension.name, value, notes)
                    notes.warning(("targets", target.id, "taught", str(i), dimension.name), found, "", hint)
            meant = target.holding(pattern)
            is_repeated = target.state is TargetState.MASTERED
            if is_repeated and meant and not any(possible_at_any_age(case, target, c) for c in meant):
                why = obstacle(case, target, meant[0], date.max)
                found = _(
                    "what is not possible as the case stands, so no maintenance probe can repeat it: {why}",
                    why=obstacle_text(case, why) if why else "",
                )
                hint = _("correct that, if it is not so; else nothing is wrong in what was taught")
                notes.warning(("targets", target.id, "taught", str(i)), found, "", hint)


def _how_to_vary(target: Target, dimension: str, value: str, notes: Diagnostics) -> str:
    """What to do if the value should count. A target that lists no adults, locations or sets varies all that its
    learner can meet, so there it is the value's own entry that keeps it out."""
    key = SECTION_OF.get(dimension, dimension)
    listed = ("targets", target.id, key) in notes.marks
    if dimension == ADULT and not listed:
        return _("if it should count, see whom '{value}' works with ('learners')", value=value)
    if dimension == LOCATION and not listed:
        return _("if it should count, see whom '{value}' takes ('learners')", value=value)
    if dimension == MATERIAL_SET and not listed:
        return _("if it should count, see where '{value}' is kept ('kept_at')", value=value)
    return _("add it to the target's '{key}' if it should count", key=key)


def _wishes_can_come_true(case: Case, notes: Diagnostics) -> None:
    for target in case.targets.values():
        for i, wish in enumerate(target.first, 1):
            if not any(possible_at_any_age(case, target, c) for c in target.holding(wish.pattern)):
                found = _(
                    "a wish for {values}, which no possible combination holds",
                    values=", ".join(wish.pattern.values()),
                )
                hint = _("check the target's values and 'never', and who goes where")
                hint = how_to_brief(case, target, wish.pattern) or hint
                notes.warning(("targets", target.id, "first", str(i)), found, "", hint)


def _a_probe_fits(case: Case, notes: Diagnostics) -> None:
    for target in case.targets.values():
        limit = case.learners[target.learner].limits.sitting_minutes
        needed = case.policy.settle_minutes + target.minutes
        if limit is not None and needed > limit:
            found = _(
                "a probe of {minutes} minutes after {settle} to settle",
                minutes=target.minutes,
                settle=case.policy.settle_minutes,
            )
            expected = _(
                "no more than the {limit} minutes that a sitting of {learner} may last",
                limit=limit,
                learner=target.learner,
            )
            notes.warning(("targets", target.id), found, expected, _("it will never be planned as it is"))


CHECKS: tuple[Callable[[Case, Diagnostics], None], ...] = (
    _aliases_hide,  # first: of very many warnings the last are not told
    _hours_there,
    _learners_have_targets,
    _aliases_differ,
    _names_differ,
    _skills_stand_once,
    _something_is_possible,
    _says_what_is_correct,
    _maintenance_has_a_start,
    _trials_of_its_mark,
    _taught_is_possible,
    _wishes_can_come_true,
    _a_probe_fits,
)


def lint(case: Case, notes: Diagnostics) -> None:
    for check in CHECKS:
        check(case, notes)
