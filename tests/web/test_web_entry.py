"""Who is let in: only who can read the owner's terminal or the owner's files. Attacked from the list of processes, by
guesses, with a cookie that went to another port, and before the browser is there."""

from __future__ import annotations

import os
import re
import stat
import subprocess
import sys
from pathlib import Path

import pytest

from genplan.web.gate import FILE, write_entrance
from genplan.web.keys import KEY_LETTERS, fresh_key
from tests.fixtures.local_server import FORM, running
from tests.fixtures.starter_case import write_starter

NOBODY = 65534


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("entered") / "case"
    write_starter(folder)
    return folder


@pytest.fixture(scope="module")
def local(folder):
    with running(folder) as local:
        yield local


def enter(local, key, **headers):
    return local.ask("POST", "/enter", f"key={key}".encode(), **headers)


def cookie_of(answer):
    return answer.headers["set-cookie"].partition(";")[0]


def test_the_key_lets_a_browser_in(local):
    answer = enter(local, local.site.key)
    assert answer.status == 200
    assert f'content="0; url=/{local.site.way}/"' in answer.text
    said = answer.headers["set-cookie"].lower()
    assert "httponly" in said
    assert "samesite=strict" in said
    assert f"path=/{local.site.way}/".lower() in said
    assert local.get("/case", Cookie=cookie_of(answer)).status == 200


def test_the_key_is_taken_as_people_type_it(local):
    key = local.site.key
    for typed in (
        key.upper(),
        key.replace("-", ""),
        f"+{key.replace('-', '+')}+",
    ):  # '+' is a blank in a form
        assert enter(local, typed).status == 200
    assert enter(local, key[:-1]).status == 403
    assert enter(local, key + "a").status == 403


def test_a_key_is_long_enough_not_to_be_guessed():
    assert len(KEY_LETTERS) ** len(fresh_key().replace("-", "")) > 2**96
    assert fresh_key() != fresh_key()


@pytest.mark.parametrize("key", ["", "wrong", "-----", "%C3%A9", "a" * 1900])
def test_a_guess_is_told_so_and_gets_no_cookie(local, key):
    answer = enter(local, key)
    assert (answer.status, "set-cookie" in answer.headers) == (403, False)
    assert "That is not the key" in answer.text
    assert local.site.way not in answer.text


def test_the_other_secrets_of_a_run_are_no_keys(local):
    for secret in (local.site.ticket, local.site.token, local.site.way):
        assert enter(local, secret).status == 403


def test_no_address_lets_anybody_in(local):
    """An address ends up in lists of processes and in histories."""
    for path in (f"/enter?key={local.site.key}", f"/?key={local.site.key}", f"/{local.site.way}/"):
        answer = local.ask("GET", path)
        assert "set-cookie" not in answer.headers
        assert answer.status in (200, 403)
        assert "<h1>The key, please</h1>" in answer.text


def test_the_gate_says_nothing_of_the_case(local, folder):
    """Whoever is not let in reads the same wherever a case is, and whatever is asked for."""
    seen = {
        local.ask("GET", path).text
        for path in ("/case", "/week/2026-W49", "/case/learners/robin", "/nowhere", f"/{local.site.way}/case")
    }
    assert len(seen) == 1
    assert "Robin" not in seen.pop()
    assert folder.name not in local.ask("GET", "/").text


@pytest.mark.parametrize("path", ["/enter", "/"])
def test_a_large_form_of_a_stranger_is_not_read(local, path):
    status = 413 if path == "/enter" else 403
    assert local.ask("POST", path, b"key=" + b"a" * 2000).status == status
    chunks = b"800\r\n" + b"a" * 2048 + b"\r\n0\r\n\r\n"
    assert local.ask("POST", path, chunks, Transfer_Encoding="chunked").status == status


def test_a_file_is_no_key(local):
    kind = "multipart/form-data; boundary=x"
    body = b'--x\r\nContent-Disposition: form-data; name="key"; filename="k"\r\n\r\nx\r\n--x--\r\n'
    assert local.ask("POST", "/enter", body, Content_Type=kind).status == 415


def test_a_cookie_that_another_port_was_sent_is_of_no_use(local):
    """A browser sends cookies of an address to each of its ports. This one is kept to a way that no other server knows;
    and whoever has the cookie all the same has no address to use it at."""
    for path in ("/case", "/", "/case/learners/robin", f"/{'a' * len(local.site.way)}/case"):
        answer = local.ask("GET", path, Cookie=local.cookie)
        assert "<h1>The key, please</h1>" in answer.text
    assert local.ask("GET", f"/{local.site.way}/case", Cookie=local.cookie).status == 200


def test_the_address_without_the_cookie_is_of_no_use(local):
    assert local.ask("GET", f"/{local.site.way}/case/learners/robin").status == 403
    assert (
        local.ask("POST", f"/{local.site.way}/record/add", f"token={local.site.token}".encode()).status == 403
    )


def test_the_way_is_told_to_nobody_outside(local):
    """Not to other places by a referrer, and not in what is handed out."""
    assert local.get("/case").headers["referrer-policy"] == "same-origin"
    assert local.site.way not in local.ask("GET", "/").text


def test_all_addresses_of_all_pages_begin_with_the_way(local):
    from genplan.web.app import PAGES

    own = re.compile(r'\s(?!value=|content=)[a-z-]+="(/[^"]*)"')
    seen = 0
    for path in PAGES:
        real = path.replace("{week}", "2026-W49").replace("{section}", "adults").replace("{id}", "mum")
        real = real.replace("{target}", "asks-for-help").replace("{line}", "2")
        answer = local.ask("GET", f"/{local.site.way}{real}", Cookie=local.cookie)
        if not answer.headers.get("content-type", "").startswith("text/html"):
            continue
        for address in own.findall(answer.text):
            assert address.startswith(f"/{local.site.way}/"), (real, address)
            seen += 1
    assert seen > 200


def test_two_pages_do_not_log_each_other_out(local, tmp_path):
    with running(tmp_path / "case") as other:
        both = [cookie_of(enter(one, one.site.key)) for one in (local, other)]
        assert both[0].partition("=")[0] != both[1].partition("=")[0]
        for one in (local, other):
            assert one.get("/check", Cookie="; ".join(both)).status in (200, 422)
        assert other.get("/check", Cookie=both[0]).status == 403
        moved = both[0].replace(str(local.port), str(other.port))
        assert other.get("/check", Cookie=moved).status == 403


def test_an_old_cookie_and_an_old_address_lead_to_the_gate(folder, tmp_path):
    with running(folder) as earlier:
        before = (earlier.site.way, earlier.site.ticket)
    with running(folder) as local:
        stale = f"genplan-{local.port}={before[1]}"
        answer = local.ask("GET", f"/{before[0]}/case", Cookie=stale)
        assert (answer.status, "<h1>The key, please</h1>" in answer.text) == (403, True)
        answer = local.ask("POST", f"/{before[0]}/record/add", b"token=x", Cookie=stale)
        assert answer.status == 403
        assert "Nothing was changed" in answer.text


@pytest.mark.skipif(os.name != "posix", reason="rights are another matter there")
def test_the_file_that_opens_the_page_is_its_owner_s_alone(local):
    file = write_entrance(local.site, local.port)
    try:
        assert stat.S_IMODE(file.stat().st_mode) == 0o600
        assert stat.S_IMODE(file.parent.stat().st_mode) == 0o700
        assert local.site.key in file.read_text("utf-8")
        if os.geteuid() == 0 and sys.platform == "linux":
            done = subprocess.run(["cat", str(file)], user=NOBODY, capture_output=True, check=False)
            assert (done.returncode, done.stdout) == (1, b"")
    finally:
        file.unlink()


def test_the_file_goes_when_it_has_done_its_work(local):
    file = write_entrance(local.site, local.port)
    assert enter(local, "wrong").status == 403
    assert file.exists()
    # a file has no origin
    assert enter(local, local.site.key, Origin="null", Content_Type=FORM).status == 200
    assert not file.exists()


@pytest.mark.skipif(os.name != "posix", reason="the browser of the test is a shell script")
def test_who_reads_the_list_of_processes_gets_nothing_even_before_the_browser_does(tmp_path):
    """The attacker sees all that the program and the browser are started with, and is faster than the browser."""
    seen, folder = tmp_path / "seen", tmp_path / "case"
    write_starter(folder)
    browser = tmp_path / "browser"
    browser.write_text(f'#!/bin/sh\nprintf "%s\\n" "$@" > {seen}.part\nmv {seen}.part {seen}\nsleep 60\n')
    browser.chmod(0o755)
    words = [sys.executable, "-m", "genplan", "open", str(folder)]
    surroundings = {**os.environ, "BROWSER": f"{browser} %s", "TMPDIR": str(tmp_path)}
    page = subprocess.Popen(words, stderr=subprocess.PIPE, text=True, env=surroundings)
    try:
        lines = [page.stderr.readline() for _ in range(3)]
        origin = re.search(r"http://127\.0\.0\.1:\d+", lines[0])[0]
        while not seen.exists():
            assert page.poll() is None
        public = " ".join([seen.read_text("utf-8"), *words])
        answers = attacked(origin, public)
        assert answers
        assert not any(b"Robin" in body or cookie for body, cookie in answers)
        # the owner's browser can read the file, and is let in after all that
        file = Path(seen.read_text("utf-8").strip().removeprefix("file://"))
        assert file.name == FILE
        key = re.search(r'name="key" value="([^"]+)"', file.read_text("utf-8"))[1]
        assert key not in public
        assert key in lines[1]
        assert attacked(origin, key)[0][1]
    finally:
        page.terminate()
        page.wait(20)
        page.stderr.close()


def attacked(origin, text):
    """What each word of a text brings as a key, and as an address: bodies, and cookies that were given."""
    import urllib.error
    import urllib.request

    found = []
    words = {w for part in text.split() for w in (part, *re.split(r"[/=?&#]", part)) if w}
    for word in sorted(words):
        data = f"key={word}".encode()
        form = urllib.request.Request(f"{origin}/enter", data, {"Origin": origin, "Content-Type": FORM})
        page = urllib.request.Request(f"{origin}/{word.lstrip('/')}/case/learners/robin")
        for request in (form, page):
            try:
                with urllib.request.urlopen(request, timeout=20) as answer:
                    found.append((answer.read(), answer.headers.get("set-cookie")))
            except urllib.error.HTTPError as refused:
                with refused:
                    found.append((refused.read(), refused.headers.get("set-cookie")))
    return found
