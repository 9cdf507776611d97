"""The case in forms: what it holds, one thing changed, added or taken out, in the file where it stands."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.case.week import DAY_NAMES
from genplan.casefile import edit
from genplan.casefile.domain_types import one_of
from genplan.casefile.ids_from_names import id_from
from genplan.casefile.invisible_characters import alike
from genplan.casefile.said_once import groups_of, with_what_is_said_elsewhere
from genplan.casefile.scalar_types import AN_ID, ID
from genplan.casefile.tree import Leaf, Node
from genplan.errors import CaseError, FileError, GenplanError
from genplan.findings import Finding, Severity
from genplan.language import N_, _, ngettext, said
from genplan.language.dates import day_name
from genplan.language.sentences import capital
from genplan.web.app_state import AppState
from genplan.web.asked_by_name import asked_by_name
from genplan.web.doubts_ticked import Tick, all_of
from genplan.web.doubts_ticked import asked as asked_to_tick
from genplan.web.endpoints import Answers, sentences_of, status_of
from genplan.web.forms import (
    FORMS,
    GENERAL,
    Form,
    Tree,
    answered,
    counted,
    drawn,
    folded,
    names_of,
    said_for_itself,
    value_at,
)
from genplan.web.plain_findings import said_in_page
from genplan.web.templating import redirect, screen
from genplan.web.widgets import as_written

GENERAL_WORDS = {"travel_minutes": N_("the journeys"), "changes": N_("what changed and what people wish")}

CHANGED = N_("The case was changed by somebody or something else since this was shown. Nothing was written.")
NAMED = "adults"
"""Of these each has a name: what is sent to one begins with it."""

WOULD_GO = N_("A caution would go with this change.")


def overview(site: AppState, request: Request) -> Response:
    tree = edit.things(site.folder)
    sections = [(section, form, names_of(tree, section)) for section, form in FORMS.items()]
    return screen(
        site,
        request,
        "case-screen.html",
        title=_("Case"),
        sections=sections,
        counted=counted,
        folder=str(site.folder),
    )


def show(site: AppState, request: Request) -> Response:
    """The form of one thing; of a new one, if there is none of that id."""
    form, section, id_ = _asked(request)
    found = edit.thing(site.folder, (section, id_))
    if found.node is None:
        raise HTTPException(404)
    return _form(site, request, form, found, found.node)


def fresh(site: AppState, request: Request) -> Response:
    form, section, _id = _asked(request)
    return _form(site, request, form, edit.thing(site.folder, (section, "")), {})


def save(site: AppState, request: Request, answers: Answers) -> Response:
    """Writes one thing back. What was typed is shown again with a sentence if it cannot be written."""
    form, section, id_ = _asked(request)
    is_new = not id_
    tree = edit.things(site.folder)
    id_ = id_ or answers.one("id") or _id_of_name(tree, section, answers.one("name"))
    path = (section, id_)
    found = edit.thing(site.folder, path)
    record, problems = answered(form, tree, found.node, answers)
    if not is_new and found.node is None and _bad_id(id_, None):
        raise HTTPException(404)
    name, _child = _said_of(record)
    if (is_new and not id_) or (section == NAMED and not name and (is_new or found.node is not None)):
        asked = _("Name: what is the {one} called?", one=said(form.one))
        return _form(site, request, form, found, record, (asked, *problems), 422)
    problem = _bad_id(id_, found.node) if is_new else ""
    if is_new or name != _said_of(found.node)[0]:
        problem = problem or _called_already(form, tree, path, record)
    if problem:
        problems = (problem, *problems)
    if problems:
        return _form(site, request, form, found, record, problems, 422)
    try:
        after = workflow.put_thing(
            site.folder, path, record, answers.one("digest"), site.now, lambda lost: all_of(lost, answers)
        )
    except edit.ChangedOutside:
        advice = _(
            "What you typed is still below. Look at it, then save it once more to put it over "
            "what is there now."
        )
        there = _there_now(form, tree, found.node, record)
        return _form(site, request, form, found, record, (said(CHANGED), *there, advice), 409)
    except workflow.CautionsWouldGo as problem:
        ticks = asked_to_tick(problem.cautions, answers)
        return _form(site, request, form, found, record, (said(WOULD_GO),), status_of(problem), ticks=ticks)
    except CaseError as problem:
        return _form(site, request, form, found, record, _told(problem.findings, path, form), 422)
    except FileError as problem:
        return _form(site, request, form, found, record, (str(problem),), 409)
    own_findings = (
        f for f in after.findings if f.severity is Severity.WARNING and f.key.startswith(f"{section}.{id_}.")
    )
    odd = said_in_page(own_findings, after.case, site.folder)
    own = said_for_itself(form, tree, found.node, record)
    return redirect(site, f"/case/{section}/{id_}", _("Saved in {file}.", file=found.file), *own, *odd)


def _there_now(form: Form, tree: Tree, node: Node | None, typed: Node | None) -> Iterator[str]:
    """A sentence on each field that says something else now than what was typed."""
    for one, other in zip(drawn(form, tree, node), drawn(form, tree, typed), strict=True):
        if one["holds"] != other["holds"]:
            field = one["field"]
            hours = (
                [f"{day} {text}" for __, day, text in one["holds"] if text] if one["shape"] == "hours" else []
            )
            there = "; ".join(hours) or as_written(value_at(node, field.key)) or _("nothing")
            yield _("{label}, as it is now: {there}.", label=field.label, there=there)


def rename(site: AppState, request: Request, answers: Answers) -> Response:
    """Another name, and the id that comes of it, everywhere at once."""
    form, section, id_ = _asked(request)
    found = edit.thing(site.folder, (section, id_))
    if found.node is None:
        raise HTTPException(404)
    name = answers.one("called")
    if same := _called_so(form, edit.things(site.folder), (section, id_), _said_of(found.node, name)):
        return _form(site, request, form, found, found.node, (same,), 422, name)
    try:
        done = workflow.rename(
            site.folder, section, id_, name, site.now, may_go=lambda lost: all_of(lost, answers)
        )
    except workflow.CautionsWouldGo as problem:
        ticks = asked_to_tick(problem.cautions, answers)
        told = (said(WOULD_GO),)
        return _form(
            site, request, form, found, found.node, told, status_of(problem), name, ticks=ticks, renaming=True
        )
    except GenplanError as problem:
        return _form(
            site,
            request,
            form,
            found,
            found.node,
            sentences_of(problem, site.folder),
            status_of(problem),
            name,
        )
    now_called = _(
        "It is called {name} now. Changed: {files}.", name=name, files=", ".join(done.files) or _("nothing")
    )
    return redirect(site, f"/case/{section}/{done.id}", now_called, *done.sentences)


def remove(site: AppState, request: Request, answers: Answers) -> Response:
    form, section, id_ = _asked(request)
    found = edit.thing(site.folder, (section, id_))
    if found.node is None:
        raise HTTPException(404)
    try:
        workflow.put_thing(site.folder, (section, id_), None, answers.one("digest"), site.now)
    except CaseError as problem:
        named = _uses(site, edit.things(site.folder), section, id_)
        words = (_needed(form, named), *_told(problem.findings, ()))
        return _form(site, request, form, found, found.node, words, 422)
    except edit.ChangedOutside:
        return _form(site, request, form, found, found.node, (said(CHANGED),), 409)
    return redirect(site, "/case", _("{id} was taken out of {file}.", id=id_, file=found.file))


def _needed(form: Form, named: Sequence[str]) -> str:
    one, by = said(form.one), "; ".join(named)
    if not named:
        return _("The {one} is needed elsewhere, so it stays. Change these first:", one=one)
    return _(
        "The {one} is needed elsewhere, so it stays. It is named by {by}. Change these first:", one=one, by=by
    )


def general(site: AppState, request: Request) -> Response:
    return _general(site, request, edit.things(site.folder))


def save_general(site: AppState, request: Request, answers: Answers) -> Response:
    """Top-level keys may stand in several files, so each that changed is written by itself."""
    digests = {thing.path[0]: thing.digest for thing in _general_things(site)}
    tree = edit.things(site.folder)
    record, problems = answered(GENERAL, tree, dict(tree), answers)
    if problems:
        return _general(site, request, record, problems, 422)
    if answers.one("digest") != ",".join(digests.values()):
        return _general(
            site,
            request,
            record,
            (
                said(CHANGED),
                *_there_now(GENERAL, tree, dict(tree), record),
                _("What you typed is still below; save it once more if it holds."),
            ),
            409,
        )
    saved: list[str] = []
    for key, digest in digests.items():
        if record.get(key) == tree.get(key):
            continue
        try:
            workflow.put_thing(
                site.folder, (key,), record.get(key), digest, site.now, lambda lost: all_of(lost, answers)
            )
        except workflow.CautionsWouldGo as problem:
            ticks = asked_to_tick(problem.cautions, answers)
            done = (_("Saved: {saved}.", saved=", ".join(saved)),) if saved else ()
            return _general(site, request, record, (said(WOULD_GO), *done), status_of(problem), ticks)
        except (CaseError, FileError) as problem:
            done = (_("Saved: {saved}.", saved=", ".join(saved)),) if saved else ()
            told = _told(problem.findings, ()) if isinstance(problem, CaseError) else (str(problem),)
            return _general(site, request, record, (*told, *done), 422)
        saved.append(key)
    return redirect(site, "/case/general", _("Saved.") if saved else _("Nothing was changed."))


def _general_things(site: AppState) -> list[edit.Thing]:
    return edit.things_at(site.folder, [(key,) for key in dict.fromkeys(f.key[0] for f in GENERAL.fields)])


def _asked(request: Request) -> tuple[Form, str, str]:
    section = request.path_params["section"]
    if section not in FORMS:
        raise HTTPException(404)
    return FORMS[section], section, request.path_params.get("id", "")


def _id_of_name(tree: Tree, section: str, name: str) -> str:
    """Of a new thing: nobody is asked for one."""
    taken = {id_ for one in FORMS for id_, _ in names_of(tree, one)}.union(groups_of(tree))
    return id_from(name, taken, one_of(section).replace(" ", "-")) if name else ""


def _called_already(form: Form, tree: Tree, path: tuple[str, str], record: Node | None) -> str:
    """What to say of a thing that is called as another one of its kind is: a new one may be the same, added in another
    window meanwhile. Two children may learn the same skill."""
    return _called_so(form, tree, path, _said_of(record))


def _called_so(form: Form, tree: Tree, path: tuple[str, str], own: tuple[str, str]) -> str:
    section, this = path
    others = [(id_, called) for id_, called in names_of(tree, section) if id_ != this]
    for id_, called in others if own[0] else ():
        other = _said_of(with_what_is_said_elsewhere(tree, section, value_at(dict(tree), (section, id_))))
        if tuple(map(alike, other)) == tuple(map(alike, own)):
            return _(
                "There is {one} called {name} already, perhaps added in another window meanwhile. If it is the same, "
                "change what is there. If it is another, write a word more.",
                name=called,
                one=said(form.a_one),
            )
    return ""


def _said_of(record: Node | None, called: str | None = None) -> tuple[str, str]:
    """Name, or what it is `called` now, and child, as far as they are texts."""
    found = (value_at(record, (key,)) for key in ("name", "learner"))
    name, child = (" ".join(one.text.split()) if isinstance(one, Leaf) else "" for one in found)
    return name if called is None else " ".join(called.split()), child


def _bad_id(id_: str, there: Node | None) -> str:
    if not ID.fullmatch(id_) or id_ == "all":
        return _("'{id}' cannot be an id. Write {expected}.", id=id_[:60], expected=said(AN_ID))
    return _("There is a '{id}' already. Choose another id.", id=id_) if there is not None else ""


def _told(findings: Sequence[Finding], path: tuple[str, ...], form: Form | None = None) -> tuple[str, ...]:
    """Sentences; for the form's own thing with the words of the field in the place of the place in the file, which a
    form does not show."""
    start = ".".join(path) + "."
    labels = {field.name: str(field.label) for field in form.fields} if form else {}
    return tuple(
        _(
            "{key}: {found}; expected {expected}. {hint}",
            key=_label(labels, f.key.removeprefix(start)),
            found=f.found,
            expected=f.expected,
            hint=capital(f.hint),
        ).rstrip(" .")
        + "."
        if path and f.key.startswith(start)
        else f.sentence()
        for f in findings
    )


def _label(labels: Mapping[str, str], key: str) -> str:
    """The words of the field in which a key stands: `free.thu` is the Thursday of the hours."""
    field, _dot, part = key.partition(".")
    if key in labels or field not in labels:
        return labels.get(key, key)
    return ", ".join((labels[field], day_name(DAY_NAMES.index(part)) if part in DAY_NAMES else part))


def _form(
    site: AppState,
    request: Request,
    form: Form,
    found: edit.Thing,
    node: Node | None,
    problems: tuple[str, ...] = (),
    status: int = 200,
    called_now: str = "",
    *,
    ticks: Sequence[Tick] = (),
    renaming: bool = False,
) -> Response:
    section, id_ = found.path
    is_new = not request.path_params.get("id")
    tree = edit.things(site.folder)
    called = dict(names_of({section: {id_: node or {}}}, section)).get(id_, id_)
    first, more = folded(section, drawn(form, tree, node))
    asked = asked_by_name(tree, section, node)
    return screen(
        site,
        request,
        "thing-screen.html",
        status,
        title=_title(form, is_new, called),
        problems=problems,
        form=form,
        section=section,
        id=id_,
        is_new=is_new,
        called=called_now or called,
        uses=() if is_new else _uses(site, tree, section, id_),
        file=found.file,
        digest=found.digest,
        fields=first,
        more=more,
        more_open=bool(problems or asked),
        asked=asked,
        ticks=ticks,
        renaming=renaming,
    )


def _title(form: Form, is_new: bool, called: str) -> str:
    one = said(form.one)
    words = _("New {one}", one=one) if is_new else f"{one}: {called}"
    return capital(words)


def _uses(site: AppState, tree: Tree, section: str, id_: str) -> list[str]:
    """What names a thing, in words."""
    found = workflow.uses(site.folder, section, id_)
    names = {s: dict(names_of(tree, s)) for s in FORMS}
    words = [
        f"{said(one_of(s))} {names[s].get(i, i)}" if i else said(GENERAL_WORDS.get(s, s))
        for s, i in found.things
    ]
    rows = [ngettext("{n} row of results", "{n} rows of results", found.rows)] if found.rows else []
    return words + rows


def _general(
    site: AppState,
    request: Request,
    node: dict[str, Node],
    problems: tuple[str, ...] = (),
    status: int = 200,
    ticks: Sequence[Tick] = (),
) -> Response:
    return screen(
        site,
        request,
        "general-screen.html",
        status,
        title=said(GENERAL.many),
        problems=problems,
        form=GENERAL,
        digest=",".join(thing.digest for thing in _general_things(site)),
        fields=drawn(GENERAL, edit.things(site.folder), node),
        ticks=ticks,
    )
