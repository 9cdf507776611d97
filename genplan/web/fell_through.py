"""A whole sitting that fell through, written down with one form, and taken back where it was held after all."""

from __future__ import annotations

from collections.abc import Iterable

from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.case import Combination, Target, Week
from genplan.errors import GenplanError, UsageError
from genplan.evidence.planned_probes import PlannedProbe
from genplan.language import _
from genplan.report.names_and_words import Names, clean
from genplan.text.cautions import assent_caution
from genplan.web import doubts_ticked, params, reasons, sitting_cards
from genplan.web.app_state import AppState
from genplan.web.endpoints import Answers, sentences_of, status_of
from genplan.web.rows_told import told
from genplan.web.templating import redirect, screen
from genplan.workflow import Opened, PlannedSitting


def way_to(opened: Opened, sitting: PlannedSitting) -> tuple[str, str]:
    """The address of the form for a sitting that has begun, with the words that lead there; else empty."""
    if sitting.start > opened.now:
        return "", ""
    return sitting_cards.of_the_whole(
        sitting.id, len(sitting.probes), len(sitting.left), len(sitting.not_run)
    )


def way_from_a_row(
    opened: Opened, target: Target, combination: Combination, on: str, at: str
) -> tuple[str, str, str] | None:
    """The same of the sitting in which a row was planned, and the week in which it is called off where it is still
    ahead. None where no sitting can be told."""
    try:
        day, clock = params.day(on), params.clock(at)
    except UsageError:
        return None  # what was typed there is said where it is read
    sitting = workflow.sitting_of(opened, target.id, combination, day, clock)
    if sitting is None:
        return None
    return (*way_to(opened, sitting), str(Week.of(day)) if sitting.start > opened.now else "")


def show(site: AppState, request: Request) -> Response:
    return _form(site, request, Answers({"sitting": [request.query_params.get("sitting", "")]}))


def add(site: AppState, request: Request, answers: Answers) -> Response:
    """Writes down what is left of the sitting as not run, all of it or nothing. What was typed is shown again with a
    sentence if it cannot be added."""
    sitting, left = answers.one("sitting"), answers.one("left")
    day = workflow.sitting_told(workflow.open_case(site.folder, site.now), sitting).start.date()
    try:
        with site.once(answers.one("once")) as fresh:
            if not fresh:
                words = _("It was added already; a second tap adds nothing.")
                return redirect(site, f"/record?day={day}", words)
            outcome = workflow.fell_through(
                site.folder,
                sitting,
                reasons.note_with(answers),
                site.now,
                lambda doubts: doubts_ticked.all_of(doubts.each, answers),
                left,
            )
    except workflow.NotAdded as error:
        return _form(site, request, answers, status=409, ticks=doubts_ticked.asked(error.doubts, answers))
    except GenplanError as error:
        return _form(site, request, answers, sentences_of(error, site.folder), status_of(error))
    again = _("A plan of the rest of the week can hold again what was not run.")
    return redirect(
        site, f"/record?day={day}", clean(outcome.named), *told(site.folder, outcome.findings), again
    )


def take_back(site: AppState, request: Request, answers: Answers) -> Response:
    """From now on the rows count for nothing, and the sitting is to be written down."""
    sitting = answers.one("sitting")
    day = workflow.sitting_told(workflow.open_case(site.folder, site.now), sitting).start.date()
    with site.once(answers.one("once")) as fresh:
        if not fresh:
            words = _("It was taken back already; a second tap changes nothing.")
            return redirect(site, f"/record?day={day}", words)
        outcome = workflow.held_after_all(site.folder, sitting, site.now, answers.one("not_run"))
    return redirect(site, f"/record?day={day}", clean(outcome.named), *told(site.folder, outcome.findings))


def written_off(opened: Opened, sittings: Iterable[PlannedSitting]) -> list[dict[str, str]]:
    """Those of them that fell through, all of it or the rest, as is written down, each with the way to take that back
    and, as long as its week is not over, to a plan that can hold it again; on its day to another place for it, too."""
    found, present = [], Week.of(opened.now.date())
    for one in sittings:
        address, take_it_back = way_to(opened, one)
        if one.off and address:
            week, today = Week.of(one.start.date()), opened.now.date()
            places = f"/week/{week}/alternatives/{one.id}" if one.is_off and one.start.date() >= today else ""
            found.append(
                {
                    "words": _words(opened, one),
                    "address": address,
                    "back": take_it_back,
                    "plan": f"/plan/{week}" if week >= present else "",
                    "places": places,
                }
            )
    return found


def _written(sitting: PlannedSitting, probe: PlannedProbe) -> str:
    """What is said of a thing beside its name, where a row speaks of it already."""
    if probe in sitting.left:
        return ""
    off = probe in sitting.not_run
    return _("(written down: not run)") if off else _("(written down already: stays as it is)")


def _words(opened: Opened, sitting: PlannedSitting) -> str:
    whole = workflow.sitting_words(opened, sitting)
    return whole if sitting.is_off else _("{sitting} (the rest of it)", sitting=whole)


def _form(
    site: AppState,
    request: Request,
    given: Answers,
    problems: tuple[str, ...] = (),
    status: int = 200,
    ticks: tuple[doubts_ticked.Tick, ...] = (),
) -> Response:
    opened = workflow.open_case(site.folder, site.now)
    sitting = workflow.sitting_told(opened, given.one("sitting"))
    case, names = opened.case, Names(opened.case)
    targets = [case.targets[p.target] for p in sitting.probes]
    things = [
        (names.target(t.id), "; ".join(names.things_in(t, p.combination)), _written(sitting, p))
        for t, p in zip(targets, sitting.probes, strict=True)
    ]
    week = Week.of(sitting.start.date())
    return screen(
        site,
        request,
        "fell-through.html",
        status,
        title=_("The whole sitting fell through")
        if sitting.is_off or len(sitting.left) == len(sitting.probes)
        else _("The rest of the sitting fell through"),
        problems=problems,
        ticks=ticks,
        sitting=sitting.id,
        words=workflow.sitting_words(opened, sitting),
        things=things,
        left=len(sitting.left),
        what_is_left=sitting.what_is_left,
        off=len(sitting.not_run),
        what_is_off=sitting.what_is_off,
        ahead=sitting.start > opened.now,
        week=week,
        reasons=reasons.choices(),
        reason=reasons.chosen(given),
        note=given.one("note"),
        day=sitting.start.date().isoformat(),
        stop=assent_caution(case.learners[targets[0].learner].alias),
    )
