"""The case in forms: what it holds, one thing changed, added or taken out, in the file where it stands."""

from __future__ import annotations

from collections.abc import Sequence

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from genplan import workflow
from genplan.casefile import edit
from genplan.casefile.scalar_types import AN_ID, ID
from genplan.casefile.tree import Node
from genplan.errors import CaseError, FileError
from genplan.findings import Finding, Severity
from genplan.web.app_state import AppState
from genplan.web.endpoints import Answers
from genplan.web.forms import FORMS, GENERAL, Form, answered, drawn, names_of, said_for_itself
from genplan.web.templating import redirect, screen


def overview(site: AppState, request: Request) -> Response:
    tree = edit.things(site.folder)
    sections = [(section, form, names_of(tree, section)) for section, form in FORMS.items()]
    return screen(site, request, "case-screen.html", title="Case", sections=sections, folder=str(site.folder))


def show(site: AppState, request: Request) -> Response:
    """The form of one thing; of a new one, if there is none of that id."""
    form, section, id_ = _asked(request)
    found = edit.thing(site.folder, (section, id_))
    if found.node is None:
        raise HTTPException(404)
    return _form(site, request, form, found, found.node)


def fresh(site: AppState, request: Request) -> Response:
    form, section, _ = _asked(request)
    return _form(site, request, form, edit.thing(site.folder, (section, "")), {})


def save(site: AppState, request: Request, answers: Answers) -> Response:
    """Writes one thing back. What was typed is shown again with a sentence if it cannot be written."""
    form, section, id_ = _asked(request)
    id_ = id_ or answers.one("id")
    path = (section, id_)
    found, tree = edit.thing(site.folder, path), edit.things(site.folder)
    record, problems = answered(form, tree, found.node, answers)
    is_new = not request.path_params.get("id")
    if not is_new and found.node is None and _bad_id(id_, None):
        raise HTTPException(404)
    if is_new and (problem := _bad_id(id_, found.node)):
        problems = (problem, *problems)
    if problems:
        return _form(site, request, form, found, record, problems, 422, id_)
    try:
        after = workflow.put_thing(site.folder, path, record, answers.one("digest"), site.now)
    except edit.ChangedOutside as problem:
        advice = "What you typed is still below. Look at it, then save it once more to put it over what is there now."
        return _form(site, request, form, found, record, (str(problem), advice), 409, id_)
    except CaseError as problem:
        return _form(site, request, form, found, record, _told(problem.findings, path), 422, id_)
    except FileError as problem:
        return _form(site, request, form, found, record, (str(problem),), 409, id_)
    odd = [
        f.sentence()
        for f in after.findings
        if f.severity is Severity.WARNING and f.key.startswith(f"{section}.{id_}.")
    ]
    own = said_for_itself(form, tree, found.node, record)
    return redirect(site, f"/case/{section}/{id_}", f"Saved in {found.file}.", *own, *odd)


def remove(site: AppState, request: Request, answers: Answers) -> Response:
    form, section, id_ = _asked(request)
    found = edit.thing(site.folder, (section, id_))
    if found.node is None:
        raise HTTPException(404)
    try:
        workflow.put_thing(site.folder, (section, id_), None, answers.one("digest"), site.now)
    except CaseError as problem:
        words = (
            f"The {form.one} is needed elsewhere, so it stays. Change these first:",
            *_told(problem.findings, ()),
        )
        return _form(site, request, form, found, found.node, words, 422)
    except edit.ChangedOutside as problem:
        return _form(site, request, form, found, found.node, (str(problem),), 409)
    return redirect(site, "/case", f"{id_} was taken out of {found.file}.")


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
        words = (
            "The case was changed by somebody or something else since this was shown. Nothing was written."
        )
        return _general(
            site,
            request,
            record,
            (words, "What you typed is still below; save it once more if it holds."),
            409,
        )
    saved: list[str] = []
    for key, digest in digests.items():
        if record.get(key) == tree.get(key):
            continue
        try:
            workflow.put_thing(site.folder, (key,), record.get(key), digest, site.now)
        except (CaseError, FileError) as problem:
            done = (f"Saved: {', '.join(saved)}.",) if saved else ()
            told = _told(problem.findings, ()) if isinstance(problem, CaseError) else (str(problem),)
            return _general(site, request, record, (*told, *done), 422)
        saved.append(key)
    return redirect(site, "/case/general", "Saved." if saved else "Nothing was changed.")


def _general_things(site: AppState) -> list[edit.Thing]:
    return edit.things_at(site.folder, [(key,) for key in dict.fromkeys(f.key[0] for f in GENERAL.fields)])


def _asked(request: Request) -> tuple[Form, str, str]:
    section = request.path_params["section"]
    if section not in FORMS:
        raise HTTPException(404)
    return FORMS[section], section, request.path_params.get("id", "")


def _bad_id(id_: str, there: Node | None) -> str:
    if not ID.fullmatch(id_) or id_ == "all":
        return f"'{id_[:60]}' cannot be an id. Write {AN_ID}."
    return f"There is a '{id_}' already. Choose another id." if there is not None else ""


def _told(findings: Sequence[Finding], path: tuple[str, ...]) -> tuple[str, ...]:
    """Sentences; for the form's own thing without the place in the file, which a form does not show."""
    start = ".".join(path) + "."
    return tuple(
        f"{f.key.removeprefix(start)}: {f.found}; expected {f.expected}. {f.hint[:1].upper()}{f.hint[1:]}".rstrip(
            " ."
        )
        + "."
        if path and f.key.startswith(start)
        else f.sentence()
        for f in findings
    )


def _form(
    site: AppState,
    request: Request,
    form: Form,
    found: edit.Thing,
    node: Node | None,
    problems: tuple[str, ...] = (),
    status: int = 200,
    new_id: str = "",
) -> Response:
    section, id_ = found.path
    is_new = not request.path_params.get("id")
    tree = edit.things(site.folder)
    called = dict(names_of({section: {id_: node or {}}}, section)).get(id_, id_)
    return screen(
        site,
        request,
        "thing-screen.html",
        status,
        title=f"New {form.one}" if is_new else f"{form.one.capitalize()}: {called}",
        problems=problems,
        form=form,
        section=section,
        id=id_,
        new_id=new_id,
        is_new=is_new,
        file=found.file,
        digest=found.digest,
        fields=drawn(form, tree, node),
    )


def _general(
    site: AppState, request: Request, node: dict[str, Node], problems: tuple[str, ...] = (), status: int = 200
) -> Response:
    return screen(
        site,
        request,
        "general-screen.html",
        status,
        title=GENERAL.many,
        problems=problems,
        form=GENERAL,
        digest=",".join(thing.digest for thing in _general_things(site)),
        fields=drawn(GENERAL, edit.things(site.folder), node),
    )
