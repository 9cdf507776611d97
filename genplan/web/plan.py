"""Planning a week: starting the search, watching it, looking at what it found, keeping it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.case import Case, Week
from genplan.case.week import MOST_WEEKS
from genplan.errors import UsageError
from genplan.keeping.compared import compared
from genplan.keeping.differences import differences
from genplan.keeping.saved_plan import SavedPlan
from genplan.keeping.store import kept_weeks, read_kept, sitting_from
from genplan.keeping.told import KeptWeek
from genplan.language import _, ngettext, said
from genplan.language.sentences import capital
from genplan.plan import LeftOut, ObjectiveName, ProbeKind, Sitting, Unwatched
from genplan.report.change_texts import AGAIN
from genplan.report.compared_lines import cost_sentences
from genplan.report.document import left_out_of, missed_of
from genplan.report.names_and_words import Names, amount_words, clean
from genplan.report.not_in_time import dates_lost
from genplan.report.people_told import further_sentence, price_of_fewer, told_sentence
from genplan.report.plain_characters import in_order
from genplan.report.reasons import reason_groups
from genplan.report.said_anew import observed_anew, wishes_anew
from genplan.report.told_week_lines import again_words
from genplan.report.week_changes import NAMED, changes_by_day, changes_of_people, day_of_changes
from genplan.text.held_back import things_held_back
from genplan.text.left_out import what_text
from genplan.text.limits import limit_sentence
from genplan.text.observers import not_moved
from genplan.text.progress import shown_text
from genplan.web import alternatives, job_status, params, sitting_cards
from genplan.web.app_state import AppState, case_digest
from genplan.web.endpoints import Answers
from genplan.web.files_listed import listed, names_in
from genplan.web.long_jobs import Search, planning
from genplan.web.notes_of_week import notes_with_ways
from genplan.web.plan_files import can_print
from genplan.web.shelf import known_sittings
from genplan.web.templating import redirect, screen
from genplan.workflow.watching import WORTH, Draft


def show(site: AppState, request: Request) -> Response:
    opened = workflow.open_case(site.folder, site.now)
    named = request.path_params.get("week")
    week = params.week(named) if named else _first_to_plan(opened)
    draft = site.draft(week)
    return screen(
        site,
        request,
        "plan-screen.html",
        title=_("Plan week {number}", number=week.number),
        **params.turning(week),
        plan_words=params.plan_words(week, opened.now.date()),
        again_words=again_words(week, opened.now.date()),
        over=week.sunday < opened.now.date(),
        kept=read_kept(site.folder, week, opened.case) is not None,
        most_weeks=MOST_WEEKS,
        found=_found(site, opened, week, draft) if draft else None,
        so_far=_so_far(site, opened, week),
        **job_status.shown(site, f"/plan/{week}"),
    )


def _first_to_plan(opened: workflow.Opened) -> Week:
    """The running week where people were told of something in it that can no longer be held, or were told nothing
    while enough of it is left; else the next one."""
    running = Week.of(opened.now.date())
    if running not in kept_weeks(opened.folder):
        return workflow.first_week(opened.now)
    told, _ = alternatives.as_it_stands(opened, running)
    return running if told and told.otherwise else running.next()


def so_far(site: AppState, request: Request) -> Response:
    """The best week so far alone, for the page's script."""
    week = params.week(request.path_params["week"])
    shown = _so_far(site, workflow.open_case(site.folder, site.now), week)
    return screen(site, request, "so-far.html", so_far=shown, place=f"/plan/{week}")


def take(site: AppState, request: Request, answers: Answers) -> Response:
    """Ends the search with the best week so far."""
    place = job_status.place_of(request)
    search = site.at(place)
    if search is not None and search.state == "running":
        search.take()
    return redirect(site, place)


def _so_far(site: AppState, opened: workflow.Opened, week: Week) -> dict[str, Any] | None:
    """What is drawn of a search that has something to show and goes on."""
    search = site.at(f"/plan/{week}")
    if search is None or search.so_far is None or search.state != "running":
        return None
    found = search.so_far
    sittings = known_sittings(opened.case, found.sittings)
    return {
        "week": found.week if len(search.task.weeks) > 1 else None,
        "days": sitting_cards.days(opened.case, opened.log, sittings, opened.now),
        "amount": amount_words(sittings),
        "shown": shown_text(found.worth, found.at_most, found.noun),
        "taken": search.taken,
        "better": _is_better(site, found),
    }


def _is_better(site: AppState, found: Draft) -> bool:
    """Than the plan of the same week and the same case that was found before, if there is one."""
    before = site.draft(found.week)
    if before is None or site.is_outdated(before):
        return True
    document = json.loads((before.folder_of(found.week) / "plan.json").read_bytes())
    value = {o["name"]: int(o["value"] or 0) for o in document["objectives"]}
    # as a draft counts them: every child's alike, and only what is still ahead
    value["new tuples"] = sum(
        p["new_tuples"] for s in document["sittings"] if not s["begun"] for p in s["probes"]
    )
    return found.worth > tuple(value.get(name, 0) for name in WORTH)


def start(site: AppState, request: Request, answers: Answers) -> Response:
    """One week, or several from this one on."""
    week = params.week(request.path_params["week"])
    count = params.count(answers.one("weeks"), _("the weeks"))
    if count is not None and not 1 <= count <= MOST_WEEKS:
        raise UsageError(
            _(
                "So many weeks cannot be planned: 1 to {most}. Nothing was started.",
                most=MOST_WEEKS,
            )
        )
    opened = workflow.open_case(site.folder, site.now)
    workflow.refuse_past(week, opened.now)
    begin(site, week, count or 1, answers.has("deeper"))
    return redirect(site, f"/plan/{week}")


def begin(site: AppState, week: Week, count: int = 1, deeper: bool = False) -> None:
    """Starts the search for so many weeks from this one on. Raises UsageError while another one runs."""
    out = site.room_for(str(week)) / "plan"
    site.begin(planning(site.folder.resolve(), week, count, site.now, out, deeper))


def keep(site: AppState, request: Request, answers: Answers) -> Response:
    """Keeps the plan that was looked at, and no other: a plan found since then is looked at first."""
    week = params.week(request.path_params["week"])
    with site.once(f"keep {week} {answers.one('plan')}") as fresh:
        if not fresh:  # from another window
            said_already = _("This plan was taken into use already. What is in use now is shown here.")
            return redirect(site, f"/week/{week}", said_already)
        draft = site.draft(week)
        if draft is None or draft.word != answers.one("plan"):
            raise UsageError(
                _("This plan is not the latest any more: another was made since. Nothing was kept.")
            )
        current = not site.is_outdated(draft)
        kept = workflow.keep(site.folder, week, draft.folder_of(week), site.now, lambda sentence: None)
        site.drop(week)
        if current:  # the weeks planned after it were planned on it
            draft.case_digest = case_digest(site.folder)
    return redirect(site, f"/week/{week}", _kept_words(kept, week), *_remarks(kept))


def _remarks(kept: workflow.Kept) -> Iterator[str]:
    if kept.again:
        yield said(AGAIN)
    if kept.named:
        yield said(NAMED)


def _kept_words(kept: workflow.Kept, week: Week) -> str:
    if kept.first:
        return _(
            "Week {week} is kept for the first time. Its calendars are at the foot of this page.",
            week=week.number,
        )
    return ngettext(
        "Week {week} is kept; {n} person has to be told of changes. Its calendars are at the foot of this page.",
        "Week {week} is kept; {n} people have to be told of changes. Its calendars are at the foot of this page.",
        len(changes_of_people(kept.case, kept.differences)),
        week=week.number,
    )


def _found(site: AppState, opened: workflow.Opened, week: Week, draft: Search) -> dict[str, Any]:
    case = opened.case
    folder = draft.folder_of(week)
    document = json.loads((folder / "plan.json").read_bytes())
    sittings = _sittings(document, case)
    kept = read_kept(site.folder, week, case)
    changed = differences(kept.told, sittings, opened.now, case.wishes, case) if kept else ()
    left = _left_out(document, case)
    names = Names(case)
    kinds = (ProbeKind(item["kind"]) for item in document["left_out"])
    price = price_of_fewer(kinds, any(w["kept"] for w in document.get("wishes", ())))
    return {
        "word": draft.word,
        "outdated": site.is_outdated(draft),
        "days": sitting_cards.days(case, opened.log, sittings, opened.now),
        "amount": amount_words(sittings),
        "kept": kept is not None,
        "changes": (people := changes_of_people(case, changed)),
        "by_day": [
            (day_of_changes(one, opened.now.date()), [f"{capital(whom)}: {line}" for whom, line in one.lines])
            for one in changes_by_day(case, changed)
        ],
        "cost": _cost(opened, week, kept, sittings) if kept else (),
        "told": told_sentence([p.whom for p in people], _least(document), price) if people else "",
        "further": further_sentence((x.limit for x in left), f"'{_('Search further')}'."),
        "left_out": [
            (names.learner(i), groups, held)
            for i in in_order(case.learners)
            if any((groups := reason_groups(names, left, i), held := _held_back(case, week, i)))
        ],
        "notes": notes_with_ways(case, document),
        "lost": _lost(names, document),
        "wishes": wishes_anew(case, document),
        "observed": observed_anew(case, document),
        "not_moved": not_moved()
        if any(o["unwatched"] == Unwatched.HINDERED for o in document["observed"])
        else "",
        "short": sum(o["observed"] < o["wanted"] for o in document["observed"]),
        "names": names_in(folder),
        "files": listed(names_in(folder), case),
        "together": [w for w in draft.task.weeks if w != week],
        "pdf": can_print(),
    }


def _held_back(case: Case, week: Week, learner: str) -> list[str]:
    return [*map(clean, things_held_back(case, (learner,), week.monday))]


def _cost(
    opened: workflow.Opened, week: Week, kept: KeptWeek, sittings: tuple[Sitting, ...]
) -> tuple[str, ...]:
    """What the plan does otherwise than the week that people know."""
    known = SavedPlan(week=week, made=opened.now, sittings=known_sittings(opened.case, kept.sittings))
    plan = SavedPlan(week=week, made=opened.now, sittings=sittings)
    return tuple(cost_sentences(opened.case, compared(opened.case, opened.log, known, plan)))


def _least(document: Any) -> float | None:
    """So many people have to be told at the least, where that was looked for."""
    bounds = (o["bound"] for o in document["objectives"] if o["name"] == ObjectiveName.PEOPLE)
    return next(bounds, None)


def _sittings(document: Any, case: Case) -> tuple[Sitting, ...]:
    """What of the plan the case still knows; a plan made before something was taken out is marked outdated."""
    found = []
    for item in document["sittings"]:
        try:
            found.append(sitting_from(item, case))
        except (KeyError, ValueError):
            continue
    return known_sittings(case, found)


def _lost(names: Names, document: Any) -> list[str]:
    """What comes too late, or not at all, against what people were told, as far as the case can still name it."""
    found: list[str] = []
    for missed in map(missed_of, document.get("missed", ())):
        try:
            found += dates_lost(names, [missed] if missed.told else [])
        except (KeyError, ValueError):
            continue
    return found


def _left_out(document: Any, case: Case) -> tuple[LeftOut, ...]:
    """What of it the case can still name; as with the sittings."""
    found = []
    for item in map(left_out_of, document["left_out"]):
        try:
            what_text(case, item), limit_sentence(case, item.limit)
        except (KeyError, ValueError):
            continue
        found.append(item)
    return tuple(found)
