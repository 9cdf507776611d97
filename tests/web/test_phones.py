"""Phones in the home's own network: what one may do that was let in, and how others try to be."""

from __future__ import annotations

import os
import re
import shutil
import socket
import ssl
import subprocess
import threading
import time
from ipaddress import IPv4Network
from pathlib import Path
from urllib.parse import urlencode

import pytest

from genplan.cli import main
from genplan.errors import FileError, UsageError
from genplan.web import app, phones, phones_app, phones_server
from genplan.web.connections import Server
from genplan.web.home_network import is_near, named_address, network_of
from genplan.web.keys import KEY_LETTERS
from genplan.web.phones import NotLetIn, Phones
from genplan.web.phones_server import Certificate, NearSocket
from genplan.web.serve import listen_on
from tests.fixtures.phones import LOOPBACK, ROW, at_home
from tests.fixtures.starter_case import write_starter

OWNERS = sorted({*app.PAGES, *app.CHANGES, *app.UPLOADS} - {*phones_app.PAGES, *phones_app.CHANGES})


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("phones") / "robin-at-home"
    write_starter(folder)
    return folder


@pytest.fixture(scope="module")
def shared(folder):
    with at_home(folder) as home:
        yield home


@pytest.fixture
def home(shared):
    """With no phone, no invitation and no tries behind it."""
    for phone in shared.phones.known:
        shared.phones.take_back(phone.number)
    shared.phones._invitation, shared.phones.wrong_tries = None, 0
    shared.moment[0] += 3600
    return shared


def rows(folder: Path) -> list[str]:
    file = folder / "results.csv"
    return file.read_text("utf-8").splitlines()[1:] if file.exists() else []


def test_a_phone_that_was_taken_back_is_told_so_and_nobody_else_is(home, folder):
    phone, other, before = home.phone(), home.phone("Mum's phone"), rows(folder)
    fields = phone.form(f"/record/row?{urlencode(ROW)}")
    home.phones.take_back(home.phones.known[0].number)
    for answer in (
        phone.get("/"),
        phone.get("/record"),
        phone.post("/record/add", {**fields, "correct": "3"}),
    ):
        assert answer.status == 403
        assert "This phone was taken back on the computer" in answer.text
        assert 'name="word"' in answer.text  # it can be let in anew
    assert rows(folder) == before
    assert other.get("/").status == 200
    assert "taken back" not in home.stranger().get("/record").text
    assert phone.enter(home.word()).status == 200
    assert phone.get("/record").status == 200


def test_a_phone_sees_today_and_writes_down(home, folder):
    phone = home.phone()
    assert "Next" in phone.get("/").text
    assert "Something else" in phone.get("/record?day=2026-11-28").text
    before = rows(folder)
    fields = phone.form(f"/record/row?{urlencode(ROW)}")
    fields |= {"correct": "", "trials": "", "marks": "++-p+++"}
    asked = phone.post("/record/add", fields)
    assert asked.status == 409  # seven trials where five were planned
    fields |= {"sure": re.findall(r'name="sure" value="(\w+)"', asked.text)}
    assert phone.post("/record/add", fields).status == 303
    (added,) = [r for r in rows(folder) if r not in before]
    assert ",5,7," in added or ",7,5," in added
    again = phone.post("/record/add", fields)
    assert "a second tap adds nothing" in phone.get(again.headers["location"]).text
    assert len(rows(folder)) == len(before) + 1


def test_a_phone_puts_right_what_it_wrote_down(home, folder):
    """Found among the day's rows; taken back, and put back."""
    phone = home.phone()
    fields = phone.form(f"/record/row?{urlencode(ROW)}")
    assert phone.post("/record/add", {**fields, "time": "08:05", "correct": "4", "trials": "5"}).status == 303
    written = rows(folder)
    page = phone.get(f"/record?day={ROW['date']}").text
    way = re.findall(r'href="(/history/[^"]+)"', page)[0]
    away = phone.post(way, phone.form(way) | {"never": "yes", "note": "wrong child"})
    assert "taken back" in phone.get(away.headers["location"]).text
    assert "taken back: counts for nothing" in phone.get(f"/record?day={ROW['date']}").text
    assert rows(folder) != written
    back = phone.post(way, phone.form(way) | {"then": "back"})
    assert "Put back as it was" in phone.get(back.headers["location"]).text
    assert [r.partition(",wrong child")[0] for r in rows(folder)][-1] in written[-1]


@pytest.mark.parametrize("path", ["/", "/record?day=2026-11-28", f"/record/row?{urlencode(ROW)}", "/nowhere"])
def test_no_screen_of_a_phone_leads_elsewhere(home, folder, path):
    page = home.phone().get(path).text
    led = re.findall(r'(?:href|action|src)="(/[^"?#]*)', page)
    led = [re.sub(r"^/history/[^/]+/[0-9]+$", phones_app.ROW, address) for address in led]
    files = {f"/{name}" for name in (*app.OWN_FILES, "page.css")}
    assert set(led) <= {*phones_app.PAGES, *phones_app.CHANGES, *files}
    assert folder.name not in page
    assert ".yaml" not in page


@pytest.mark.parametrize("path", OWNERS)
def test_what_is_the_owners_is_not_there(home, path):
    phone = home.phone()
    real = re.sub(r"{\w+(:path)?}", "2026-W49", path)
    assert phone.get(real).status == 404
    assert phone.post(real).status == 404
    owned = phone.ask("GET", f"/{home.owner.site.way}{real}", Cookie=phone.cookie)
    assert owned.status == 403


@pytest.mark.parametrize(
    "path",
    [
        "/../case",
        "/%2e%2e/case",
        "/record/../case",
        "/record%2f..%2fcase",
        "//case",
        "/record/row/../../case.yaml",
    ],
)
def test_no_way_round_leads_there(home, path):
    answer = home.phone().get(path)
    assert answer.status == 404
    assert "Robin" not in answer.text


def test_errors_of_a_case_are_not_told_to_a_phone(tmp_path):
    write_starter(tmp_path / "case")
    with at_home(tmp_path / "case") as home:
        phone = home.phone()
        with (tmp_path / "case" / "case.yaml").open("a", encoding="utf-8") as file:
            file.write("unheard_of: 1\n")
        page = phone.get("/")
        assert page.status == 422
        assert "The page on the computer says why" in page.text
        assert "unheard_of" not in page.text
        assert "unheard_of" in home.owner.get("/").text


# Who is not let in.


@pytest.mark.parametrize("key", ["", "x", "é", "a" * 43])
def test_without_a_key_or_with_a_guess_nothing_is_shown(home, key):
    phone = home.phone()
    phone.key = key
    answer = phone.get("/record")
    assert answer.status == 403
    assert "Robin" not in answer.text
    assert phone.post("/record/add", ROW).status == 403


def test_a_key_without_the_way_opens_nothing(home):
    phone = home.phone()
    assert phone.ask("GET", "/record", Cookie=phone.cookie).status == 403


def test_a_phone_that_was_taken_back_gets_no_further_answer(home):
    phone, other = home.phone("Gran's"), home.phone("Mum's")
    assert home.owner.post(f"/phones/{home.phones.known[0].number}/take-back").status == 303
    assert (phone.get("/record").status, other.get("/record").status) == (403, 200)
    assert phone.post("/record/add", ROW).status == 403
    assert home.owner.post("/phones/9999/take-back").status == 303


def test_an_invitation_works_once(home):
    word = home.word()
    first, second = home.stranger(), home.stranger()
    assert first.enter(word.upper().replace("-", " ")).status == 200
    assert (second.enter(word).status, second.key) == (403, "")
    assert len(home.phones.known) == 1


def test_two_at_a_time_with_one_invitation(home):
    word, found = home.word(), []

    def enter():
        found.append(home.stranger().enter(word).status)

    both = [threading.Thread(target=enter) for _ in range(6)]
    for one in both:
        one.start()
    for one in both:
        one.join()
    assert sorted(found) == [200] + [403] * 5


def test_an_invitation_ends(home):
    word = home.word()
    home.moment[0] += phones.LASTS - 1
    assert home.phones.invitation is not None
    home.moment[0] += 1
    assert home.stranger().enter(word).status == 403
    assert home.phones.invitation is None


def test_a_new_invitation_ends_the_one_before(home):
    old, new = home.word(), home.word()
    assert home.stranger().enter(old).status == 403
    assert home.stranger().enter(new).status == 200


def test_wrong_tries_end_an_invitation_and_are_told_to_the_owner(home):
    word = home.word()
    for _ in range(phones.MOST_WRONG):
        assert home.stranger().enter("a" * 15).status == 403
    assert home.stranger().enter(word).status == 403
    assert "Wrong words were tried 6 times" in home.owner.get("/phones").text


def test_one_wrong_try_less_leaves_it(home):
    word = home.word()
    for _ in range(phones.MOST_WRONG - 1):
        assert home.stranger().enter("a" * 15).status == 403
    assert home.stranger().enter(word).status == 200


def test_tries_are_bounded_over_all_invitations(home):
    for _ in range(phones.MOST_TRIES):
        home.stranger().enter("a")
    word = home.word()
    answer = home.stranger().enter(word)
    assert (answer.status, "too many tries" in answer.text) == (403, True)
    home.moment[0] += 60
    assert home.stranger().enter(word).status == 200


def test_a_word_is_long_enough_and_the_server_keeps_no_key():
    held = Phones("127.0.0.1:1")
    held.invite()
    assert len(KEY_LETTERS) ** len(held.invitation.word.replace("-", "")) > 2**60
    key = held.let_in(held.invitation.word, "x")
    assert len(key) >= 43  # 256 bits in letters of six
    assert key not in repr(held)


def test_there_are_only_so_many_phones_and_each_has_a_name():
    held = Phones("127.0.0.1:1", clock=lambda: 0.0)
    for number in range(phones.MOST_PHONES):
        held.invite()
        held.let_in(held.invitation.word, f"phone {number}")
    held.invite()
    with pytest.raises(NotLetIn, match="called"):
        held.let_in(held.invitation.word, "  ")
    with pytest.raises(NotLetIn, match="let in already"):
        held.let_in(held.invitation.word, "one more")


def test_a_name_is_shown_as_it_is_and_not_as_a_tag(home):
    home.phone("<b>Gran</b>")
    assert "&lt;b&gt;Gran" in home.owner.get("/phones").text


# The guard is the page's own.


@pytest.mark.parametrize("host", ["evil.example", "evil.example:{p}", "localhost:{p}", "127.0.0.1", None])
def test_another_name_is_refused(home, host):
    phone = home.phone()
    assert phone.get("/record", Host=host and host.format(p=phone.port)).status == 400


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "https://127.0.0.1:{p}", None])
def test_a_change_and_a_try_come_from_the_page_itself(home, origin):
    phone, word = home.phone(), home.word()
    asked = origin and origin.format(p=phone.port)
    assert phone.post("/record/add", ROW, Origin=asked).status == 403
    assert home.stranger().enter(word, Origin=asked).status == 403
    assert home.phones.wrong_tries == 0
    assert home.stranger().enter(word).status == 200


def test_the_token_counts_as_well(home):
    phone = home.phone()
    for token in ("", "wrong", home.owner.site.token):
        assert phone.post("/record/add", {**ROW, "token": token}).status == 403


def test_keys_open_only_what_they_are_for(home):
    """A cookie goes to every port of an address."""
    phone, owner = home.phone(), home.owner
    for name in (f"genplan-{owner.port}", f"genplan-phone-{phone.port}"):
        assert owner.get("/case", Cookie=f"{name}={phone.key}").status == 403
        assert phone.get("/record", Cookie=f"{name}={owner.site.ticket}").status == 403
    assert phone.ask("POST", "/enter", f"word={owner.site.key}&name=x".encode()).status == 403
    assert owner.ask("POST", "/enter", f"key={home.word()}".encode()).status == 403


def test_the_cookie_is_kept_to_the_way(home):
    said = home.stranger().enter(home.word()).headers["set-cookie"].lower()
    assert "httponly" in said
    assert "samesite=strict" in said
    assert "path=/;" not in said
    assert "secure" not in said  # without TLS such a cookie would not be kept


def test_a_large_form_is_refused(home):
    phone = home.phone()
    assert phone.post("/record/add", {**ROW, "note": "x" * 300_000}).status == 413
    assert home.stranger().enter("a" * 3000).status == 413
    assert phone.upload("/record/add", "a.csv", b"x").status == 415


# The network.


def test_many_connections_of_one_device_leave_room_for_others(home):
    phone, held = home.phone(), []
    try:
        for _ in range(120):
            held.append(socket.create_connection((LOOPBACK, home.port), timeout=20))
        assert home.owner.get("/check").status == 200
        there = socket.create_connection((LOOPBACK, home.port), timeout=20, source_address=("127.0.0.2", 0))
        held.append(there)
        request = f"GET /{phone.site.way}/record HTTP/1.1\r\nHost: {LOOPBACK}:{home.port}\r\n"
        there.sendall(f"{request}Cookie: {phone.cookie}\r\nConnection: close\r\n\r\n".encode())
        assert there.recv(100).startswith(b"HTTP/1.1 200 ")
        ended = 0
        for one in held[:-1]:
            one.settimeout(0.05)
            with pytest.MonkeyPatch.context():
                try:
                    ended += one.recv(1) == b""
                except TimeoutError:
                    pass
                except ConnectionError:
                    ended += 1
        assert ended >= 120 - phones_server.MOST_OF_ONE
    finally:
        for one in held:
            one.close()


@pytest.mark.parametrize("filtered", [True, False])
def test_another_network_is_closed_with_no_answer(folder, home, filtered):
    """With the socket that looks at who comes, and where a system takes connections by itself."""
    near = IPv4Network("10.0.0.0/8")
    listening = NearSocket(near) if filtered else socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    with listening:
        port = listen_on(listening, LOOPBACK, None)
        site = home.owner.site
        server = Server(phones_app.build_for_phones(site, home.phones), print, near)
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.01)
        try:
            with socket.create_connection((LOOPBACK, port), timeout=20) as link:
                try:
                    link.sendall(f"GET / HTTP/1.1\r\nHost: {LOOPBACK}:{home.port}\r\n\r\n".encode())
                    assert link.recv(100) == b""
                except ConnectionError:
                    pass
        finally:
            server.should_exit = True
            thread.join(10)


@pytest.mark.parametrize(
    ("peer", "near"),
    [
        ("192.168.7.9", True),
        ("10.0.0.9", False),
        ("8.8.8.8", False),
        ("127.0.0.1", False),
        ("::1", False),
        ("::ffff:192.168.7.9", False),
        ("", False),
    ],
)
def test_who_is_near(peer, near):
    assert is_near(peer, network_of("192.168.1.5")) is near


NOT_PRIVATE = ["8.8.8.8", "0.0.0.0", "192.168.1", "my-case", "::1", "224.0.0.1", "100.64.0.1", "fe80::1"]


@pytest.mark.parametrize("text", NOT_PRIVATE)
def test_no_other_address_is_listened_on(text):
    with pytest.raises(UsageError, match="private address"):
        named_address(text)


def test_an_address_of_another_machine_gets_a_sentence(home):
    with (
        pytest.raises(FileError, match=r"address 10\.255\.255\.1"),
        NearSocket(network_of("10.255.255.1")) as one,
    ):
        listen_on(one, "10.255.255.1", None)


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["--phones", "8.8.8.8"], "private address"),
        (["--certificate", "a.pem", "--certificate-key", "b.pem"], "--phones as well"),
        (["--phones", "--certificate", "a.pem"], "go together"),
        (["--phones", LOOPBACK, "--certificate", "none.pem", "--certificate-key", "b.pem"], "no such file"),
    ],
)
def test_what_cannot_be_is_said_before_anything_is_opened(folder, capsys, words, sentence):
    assert main(["open", str(folder), "--no-browser", *words]) != 0
    said = capsys.readouterr().err
    assert sentence in said
    assert "http://" not in said


@pytest.fixture(scope="module")
def certificate(tmp_path_factory):
    if not shutil.which("openssl"):
        pytest.skip("there is no openssl to make a certificate with")
    folder = tmp_path_factory.mktemp("certificate")
    files = Certificate(folder / "certificate.pem", folder / "key.pem")
    words = ["req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-days", "2"]
    made = ["-subj", "/CN=home", "-addext", f"subjectAltName=IP:{LOOPBACK}"]
    where = ["-keyout", str(files.key), "-out", str(files.file)]
    subprocess.run(["openssl", *words, *made, *where], check=True, capture_output=True, env=dict(os.environ))
    return files


def test_with_a_certificate_nothing_goes_in_the_open(folder, certificate):
    certificate.check()
    with at_home(folder, certificate) as home:
        assert home.phones.address == f"https://{LOOPBACK}:{home.port}"
        context = ssl.create_default_context(cafile=str(certificate.file))
        body = urlencode({"word": home.word(), "name": "x"})
        origin = (
            f"Origin: https://{LOOPBACK}:{home.port}\r\nContent-Type: application/x-www-form-urlencoded\r\n"
        )
        head = f"POST /enter HTTP/1.1\r\nHost: {LOOPBACK}:{home.port}\r\n{origin}Connection: close\r\n"
        plain = socket.create_connection((LOOPBACK, home.port), timeout=20)
        with context.wrap_socket(plain, server_hostname=LOOPBACK) as link:
            link.sendall(f"{head}Content-Length: {len(body)}\r\n\r\n{body}".encode())
            said = b"".join(iter(lambda: link.recv(65_536), b"")).decode()
        assert said.startswith("HTTP/1.1 200 ")
        assert "; secure" in said.lower()
        assert "is encrypted" in home.owner.get("/phones").text


def test_a_key_that_is_none_gets_a_sentence(certificate, tmp_path):
    (tmp_path / "bad.pem").write_text("nothing")
    with pytest.raises(FileError, match="PEM"):
        Certificate(certificate.file, tmp_path / "bad.pem").check()
    locked = tmp_path / "locked.pem"
    words = ["ec", "-aes256", "-passout", "pass:secret", "-in", str(certificate.key), "-out", str(locked)]
    subprocess.run(["openssl", *words], check=True, capture_output=True)
    with pytest.raises(FileError, match="without a password"):
        Certificate(certificate.file, locked).check()


# The owner's screen.


def test_the_owner_makes_an_invitation_and_sees_who_is_in(home):
    assert "None." in home.owner.get("/phones").text
    assert home.owner.post("/phones/invite").status == 303
    page = home.owner.get("/phones").text
    assert home.phones.invitation.word in page
    assert "<svg" in page
    assert "style=" not in page  # the page's own policy would leave it out
    assert "could see the child" in page
    home.stranger().enter(home.phones.invitation.word, "Gran's phone")
    home.moment[0] += 180
    page = home.owner.get("/phones").text
    assert "Gran&#39;s phone" in page
    assert "let in 3 minutes ago" in page
    assert "Phones in this home&#39;s network" in home.owner.get("/check").text.replace("'", "&#39;")


def test_off_it_is_off(folder):
    from tests.fixtures.local_server import running

    with running(folder) as local:
        page = local.get("/phones").text
        assert "--phones" in page
        assert local.post("/phones/invite").status == 422
        assert 'href="/phones"' not in local.get("/check").text
