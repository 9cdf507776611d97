"""What whoever plans the weeks wishes of a kept week: a tap at each sitting, and taken back as easily."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.case import Case, Target, Week
from genplan.case.possible import possible_combinations
from genplan.case.sitting_ids import mark_of
from genplan.case.targets import MATERIAL_SET
from genplan.case.wishes_of_planners import PlannersWish, WishKind, sitting_id
from genplan.casefile.change_entries import WishEntry
from genplan.casefile.planners_wishes import learners_marked
from genplan.errors import GenplanError, UsageError
from genplan.keeping.wished_moves import arrived
from genplan.keeping.wishes_kept import kept_already
from genplan.language import N_, _, said
from genplan.language.sentences import capital
from genplan.plan import Sitting, WishAnswer
from genplan.report.names_and_words import Names, day_short, hours
from genplan.text.wishes import reason_text, wish_text
from genplan.web import params
from genplan.web.app_state import AppState
from genplan.web.endpoints import Answers
from genplan.web.templating import redirect
from genplan.workflow.wishing import OF_A_SITTING, as_written, in_words

MINE = {
    WishKind.HOLD: N_("it stays as it is"),
    WishKind.NOT: N_("called off"),
    WishKind.MOVE: N_("it moves"),
}


@dataclass(frozen=True)
class WishView:
    """One wish with the word by which it is taken back; `against` says what stands in its way. `off`: by it a sitting
    is called off."""

    words: str
    line: str
    against: str = ""
    off: bool = False


@dataclass(frozen=True)
class Say:
    """What can be said of one sitting: `mine` is what is wished of it already. `adults` are others who could be asked
    for on that day."""

    id: str
    about: str
    day: str
    time: str
    adults: tuple[tuple[str, str], ...]
    mine: WishView | None = None


def about(
    opened: workflow.Opened, week: Week, sittings: Sequence[Sitting], told: workflow.ToldWeek | None
) -> dict[str, Any]:
    """What the screen of a kept week says of wishes: one of each sitting that is ahead, by its id, and of the week.
    `told` is the week as it stands, where that could be read."""
    case, names = opened.case, Names(opened.case)
    wishes = sorted((w for w in case.wishes if w.holds_in(week)), key=lambda w: w.number)
    came = arrived(wishes, sittings)
    answers = {a.wish: a for a in _answers(opened, week, told)}
    views = {w: _view(case, w, answers.get(w)) for w in wishes}
    done, now = kept_already(wishes, sittings), opened.now.replace(tzinfo=None)
    shown = [(v, w in done and not v.against) for w, v in views.items() if not _is_over(w, now)]
    ahead = [s for s in sittings if s.start >= opened.now]
    meetings = tuple((s.id, f"{day_short(s.start.date())}, {_when_and_who(names, s)}") for s in ahead)
    skills = sorted(((_whose(names, t), t) for t in case.planned), key=lambda one: one[0])
    return {
        "say": {s.id: _say(case, names, s, _about(s, views, came)) for s in ahead},
        "wishes": tuple(view for view, is_kept in shown if not is_kept),
        "wishes_kept": tuple(view for view, is_kept in shown if is_kept),
        "things": (*((t.id, words) for words, t in skills), *meetings),
        "own": {
            "adult": [(i, names.adult(i)) for i in case.adults],
            "location": [(i, names.location(i)) for i in case.locations],
            "what": [(words, _ways(names, words, t, week)) for words, t in skills],
        },
        "ahead_days": tuple((d.isoformat(), day_short(d)) for d in week.days if d >= opened.now.date()),
    }


def not_planned(opened: workflow.Opened, week: Week, sittings: Sequence[Sitting]) -> tuple[str, ...]:
    """What is wished of this week alone and its `sittings` do not keep, in words; that one of them is called off is
    said where it is told of."""
    wishes = [w for w in opened.case.wishes if w.holds_in(week) and (w.start or w.sittings)]
    done, now = kept_already(wishes, sittings), opened.now.replace(tzinfo=None)
    waiting = [w for w in wishes if w.kind is not WishKind.NOT and w not in done and not _is_over(w, now)]
    return tuple(capital(in_words(opened.case, w)) for w in as_written(waiting))


def _is_over(wish: PlannersWish, now: datetime) -> bool:
    """Whether all that it is about is past, so that no plan can keep it any more."""
    moments = [m for m in (wish.at, wish.start, wish.end) if m is not None]
    if not moments:
        moments = [datetime.combine(s.week.days[s.weekday], time.max) for s in wish.sittings]
    return bool(moments) and max(moments) < now


def _whose(names: Names, target: Target) -> str:
    """A target, and of several children whose first, since two may learn the same."""
    whose = f"{names.learner(target.learner)}: " if len(names.case.learners) > 1 else ""
    return f"{whose}{names.target(target.id)}"


def _ways(names: Names, words: str, target: Target, week: Week) -> list[tuple[str, str]]:
    """What a sitting of one's own can hold of a target, in these words: with which sets it is possible at all."""
    possible = possible_combinations(names.case, target, week.monday)
    sets = dict.fromkeys(target.value(c, MATERIAL_SET) for c in possible)
    nothing = names.has_no_objects(target)
    return [(f"{target.id}.{i}", words if nothing else f"{words}, {names.material_set(i)}") for i in sets]


def _answers(opened: workflow.Opened, week: Week, told: workflow.ToldWeek | None) -> tuple[WishAnswer, ...]:
    """None for a week that cannot be read as a whole: planning it says why."""
    try:
        facts = told.facts if told else None
        return workflow.answers_in(opened, week, facts) if week.sunday >= opened.now.date() else ()
    except GenplanError:
        return ()


def _view(case: Case, wish: PlannersWish, answer: WishAnswer | None) -> WishView:
    against = (
        _("Not kept, since {reason}.", reason=reason_text(case, answer)) if answer and not answer.kept else ""
    )
    words = wish_text(case, wish)
    return WishView(capital(words), WishEntry(wish).words, against)


def _when_and_who(names: Names, s: Sitting) -> str:
    return f"{hours(s)}, {names.meeting(s.learner, s.adult)}"


def _about(
    s: Sitting, views: Mapping[PlannersWish, WishView], came: Mapping[PlannersWish, Sitting]
) -> dict[PlannersWish, WishView]:
    """The wishes that may be of a sitting: of one that came into the place of another none that is of the other."""
    if s not in came.values():
        return dict(views)
    return {w: v for w, v in views.items() if w.kind is WishKind.HOLD}


def _say(case: Case, names: Names, s: Sitting, views: dict[PlannersWish, WishView]) -> Say:
    start = s.start.replace(tzinfo=None)
    mine = next(
        (
            WishView(said(MINE[w.kind]), v.line, v.against, w.kind is WishKind.NOT and not v.against)
            for w, v in views.items()
            if w.kind in OF_A_SITTING and (w.at == start if w.at else w.sitting == s.id) and _is_family(w, s)
        ),
        None,
    )
    adults = [a.id for a in case.adults.values() if a.works_with(s.learner) and a.id != s.adult]
    others = tuple((i, names.adult(i)) for i in adults)
    about_it = _when_and_who(names, s)
    return Say(s.id, about_it, s.start.date().isoformat(), f"{s.start:%H:%M}", others, mine)


def _is_family(wish: PlannersWish, s: Sitting) -> bool:
    """Whether the id in a wish of the same week has the sitting's adult, and the sign of its learner."""
    named = wish.sittings[0]
    return (named.adult, named.mark) == (s.adult, mark_of(s.learner))


def add(site: AppState, request: Request, answers: Answers) -> Response:
    """Writes a wish down; a second tap adds nothing."""
    opened = workflow.open_case(site.folder, site.now, with_results=False)
    week = params.week_of(request, opened)
    with site.once(answers.one("once")) as fresh:
        if not fresh:
            return redirect(
                site, f"/week/{week}", _("It was written down already; a second tap adds nothing.")
            )
        wanted = _wished(opened.case, answers)
        done = workflow.wish(site.folder, wanted, site.now)
    against = (done.unknown,) if done.unknown else ()
    if done.answer and not done.answer.kept:
        against = (
            _("As it is, a plan cannot keep it, since {reason}.", reason=reason_text(done.case, done.answer)),
        )
    off = (_("The sitting is called off."),) if wanted.kind is WishKind.NOT and not against else ()
    return redirect(
        site,
        f"/week/{week}",
        *off,
        f"{done.words}.",
        *against,
        _("Plan the week again, and tell people what changes."),
    )


def take_back(site: AppState, request: Request, answers: Answers) -> Response:
    """Takes the line of a wish out again."""
    opened = workflow.open_case(site.folder, site.now, with_results=False)
    week, line = params.week_of(request, opened), answers.one("wish")
    found = next((w for w in opened.case.wishes if WishEntry(w).words == line), None)
    if found is None:
        raise UsageError(_("That wish is not there any more. Nothing was changed."))
    workflow.take_back(site.folder, found, site.now)
    (line_of_it,) = as_written([w for w in opened.case.wishes if w.number == found.number])
    return redirect(site, f"/week/{week}", _("Taken back: {wish}.", wish=wish_text(opened.case, line_of_it)))


def two_apart(answers: Answers) -> tuple[str, str]:
    """What is not to be on one day. Raises UsageError where one of them was not chosen, or both are the same."""
    two = (answers.one("one"), answers.one("other"))
    if not all(two):
        raise UsageError(_("Which two are not to be on one day? Nothing was written: choose both."))
    if two[0] == two[1]:
        raise UsageError(_("This is the same twice. Nothing was written: choose two that are different."))
    return two


def _wished(case: Case, answers: Answers) -> PlannersWish:
    kind = next((k for k in WishKind if k.value == answers.one("kind")), None)
    if kind is None:
        raise UsageError(_("What is wished? Nothing was written."))
    sitting, note = answers.one("sitting"), answers.one("note")
    if kind in OF_A_SITTING and not sitting:
        raise UsageError(_("Which sitting is it? Nothing was written: reload the page and try again."))
    match kind:
        case WishKind.HOLD | WishKind.NOT:
            return PlannersWish(kind=kind, sitting=sitting, note=note)
        case WishKind.MOVE:
            return PlannersWish(kind=kind, sitting=sitting, start=_moment(answers), note=note)
        case WishKind.APART:
            return PlannersWish(kind=kind, two=two_apart(answers), note=note)
        case WishKind.RATHER:
            adult, learner = answers.one("adult"), _learner_of(case, sitting)
            if adult not in case.adults:
                raise UsageError(_("Rather with whom? Nothing was written: choose from the list."))
            start = datetime.combine(_day(answers), time())
            return PlannersWish(
                kind=kind, adult=adult, learner=learner, start=start, end=start + timedelta(days=1), note=note
            )
    return _own(case, answers, note)


PARTS = {
    "what": N_("target"),
    "adult": N_("adult"),
    "location": N_("location"),
}


def _own(case: Case, answers: Answers, note: str) -> PlannersWish:
    given = {key: answers.one(key) for key in PARTS}
    if missing := [said(words) for key, words in PARTS.items() if not given[key]]:
        raise UsageError(
            _("A sitting of your own needs {missing} too. Nothing was written.", missing=", ".join(missing))
        )
    target, _dot, material_set = given["what"].partition(".")
    if target not in case.targets:
        raise UsageError(_("The case has no target '{id}'. Nothing was written.", id=target[:60]))
    return PlannersWish(
        kind=WishKind.ADD,
        learner=case.targets[target].learner,
        adult=given["adult"],
        location=given["location"],
        target=target,
        start=_moment(answers),
        values=((MATERIAL_SET, material_set),),
        note=note,
    )


def _learner_of(case: Case, sitting: str) -> str:
    named = sitting_id(sitting)
    found = learners_marked(named, case.learners) if named else []
    if not found:
        raise UsageError(_("Whose sitting is it? Nothing was written: reload the page and try again."))
    return found[0]


def _moment(answers: Answers) -> datetime:
    clock = params.clock(answers.one("clock"))
    if clock is None:
        raise UsageError(_("At what time? Nothing was written: say it, such as 16:00."))
    return datetime.combine(_day(answers), clock)


def _day(answers: Answers) -> date:
    if not (day := answers.one("day")):
        raise UsageError(_("On which day? Nothing was written: choose one."))
    return params.day(day)
