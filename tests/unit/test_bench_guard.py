"""The bench page is let in to one browser of this machine, whatever other sites and programs try.

Sources: the same-origin policy and CORS (WHATWG Fetch, 3.2 and 4.10: a form can send text/plain,
multipart and urlencoded bodies anywhere without asking), Fetch Metadata (W3C, 2.1: what
Sec-Fetch-Site says), cookies (RFC 6265, 8.5: cookies of a host are shared by all its ports), HTTP
(RFC 9110, 7.2: Host; RFC 9112, 7.1: chunked bodies), Content Security Policy (W3C, level 3).
"""

from __future__ import annotations

import contextlib
import json
import os
import re
import socket
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from fitcheck.bench.answers import download
from fitcheck.bench.guard import Keys
from tests.served import SMALL, Served, served, workspace

FORM = {"page": "p", "draft": {"name": "buttons", "text": SMALL}}
SAVE = {"name": "buttons", "text": "x", "version": "x"}


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    place = tmp_path_factory.mktemp("guard")
    root = workspace(place / "work", buttons=SMALL, second=SMALL)
    with served(root) as one:
        yield one


def standing(root: Path) -> dict[str, bytes]:
    """All files of a workspace."""
    return {str(p.relative_to(root)): p.read_bytes() for p in root.rglob("*") if p.is_file()}


def asked_as(bench: Served, host: str | None) -> bytes:
    line = "" if host is None else f"Host: {host}\r\n"
    rest = f"Cookie: {bench.cookie}\r\nConnection: close\r\n\r\n"
    return bench.raw(f"GET /api/shelf HTTP/1.1\r\n{line}{rest}".encode())


# Names of this machine


@pytest.mark.parametrize(
    "host",
    [
        "rebound.example",
        "rebound.example:{port}",
        "127.0.0.1",
        "127.0.0.1:{other}",
        "localhost:{other}",
        "[::1]:{port}",
        "0.0.0.0:{port}",
        "127.0.0.2:{port}",
        "127.0.0.1:{port}.rebound.example",
        "127.0.0.1:{port}@rebound.example",
        "rebound.example:{port}, 127.0.0.1:{port}",
        "",
    ],
)
def test_whoever_asks_under_another_name_is_sent_away(bench: Served, host: str) -> None:
    name = host.format(port=bench.port, other=bench.port ^ 1)
    answer = asked_as(bench, name)
    assert re.match(rb"HTTP/1.1 (421|400) ", answer), answer
    assert b"designs" not in answer


def test_a_request_without_a_host_is_sent_away(bench: Served) -> None:
    assert asked_as(bench, None).startswith(b"HTTP/1.1 400 ")
    old = f"GET /api/shelf HTTP/1.0\r\nCookie: {bench.cookie}\r\n\r\n".encode()
    assert re.match(rb"HTTP/1.1 421 ", bench.raw(old))
    twice = f"127.0.0.1:{bench.port}\r\nHost: rebound.example"
    assert asked_as(bench, twice).startswith(b"HTTP/1.1 400 ")
    whole = (
        f"GET http://rebound.example/api/shelf HTTP/1.1\r\nHost: rebound.example\r\n"
        f"Cookie: {bench.cookie}\r\nConnection: close\r\n\r\n"
    )
    assert bench.raw(whole.encode()).startswith(b"HTTP/1.1 421 ")


def test_both_names_of_this_machine_are_let_in(bench: Served) -> None:
    for name in ("127.0.0.1", "localhost"):
        assert asked_as(bench, f"{name}:{bench.port}").startswith(b"HTTP/1.1 200 ")


def test_on_the_usual_port_browsers_leave_it_out() -> None:
    """RFC 9110, 4.2.3 and 7.2: a browser names port 80 of http in neither Host nor Origin."""
    assert "127.0.0.1" in Keys(80).hosts and "http://localhost" in Keys(80).origins
    assert "127.0.0.1" not in Keys(8080).hosts


def test_it_listens_on_one_address_only(bench: Served) -> None:
    others = ["127.0.0.2"]
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
        asking.connect(("192.0.2.1", 9))  # a test network: nothing is sent, the system only chooses
        others.append(asking.getsockname()[0])
    for other in {one for one in others if one != "127.0.0.1"}:
        with pytest.raises(OSError):
            socket.create_connection((other, bench.port), timeout=5).close()
    if socket.has_ipv6:
        with pytest.raises(OSError):
            socket.create_connection(("::1", bench.port), timeout=5).close()
    socket.create_connection(("127.0.0.1", bench.port), timeout=5).close()


# Other sites


@pytest.mark.parametrize(
    "origin",
    [None, "null", "http://evil.example", "https://127.0.0.1:{port}", "http://127.0.0.1:{other}",
     "http://127.0.0.1", "http://127.0.0.1:{port}.evil.example", "http://localhost.evil:{port}",
     "HTTP://127.0.0.1:{port}/"],
)  # fmt: skip
def test_what_another_page_sends_changes_nothing(bench: Served, origin: str | None) -> None:
    before = standing(bench.root)
    headers = {"cookie": bench.cookie, "content-type": "application/json"}
    if origin is not None:
        headers["origin"] = origin.format(port=bench.port, other=bench.port ^ 1)
    for path, data in (("away", {"name": "buttons"}), ("rename", {"name": "buttons", "new": "b"})):
        answer = bench.bare("POST", f"/api/{path}", json.dumps(data), headers)
        assert answer.status == 403, answer
    assert standing(bench.root) == before


@pytest.mark.parametrize(
    "kind",
    ["text/plain", "text/plain; application/json", "multipart/form-data; boundary=x",
     "application/x-www-form-urlencoded", "", "application/jsonx", "text/json"],
)  # fmt: skip
def test_a_form_that_any_page_may_send_is_not_read(bench: Served, kind: str) -> None:
    before = standing(bench.root)
    headers = {"cookie": bench.cookie, "origin": bench.home, "content-type": kind}
    answer = bench.bare("POST", "/api/away", '{"name": "buttons"}', headers)
    assert answer.status == 415
    assert standing(bench.root) == before


@pytest.mark.parametrize("site", ["cross-site", "same-site", "none", "", "same-origin, none"])
def test_what_a_browser_says_is_from_elsewhere_is_not_taken(bench: Served, site: str) -> None:
    answer = bench.post("/api/away", {"name": "buttons"}, sec_fetch_site=site)
    assert answer.status == 403
    if site != "none":
        assert bench.get("/api/shelf", sec_fetch_site=site).status == 403
        assert bench.get("/", sec_fetch_site=site).status == 403
    else:
        assert bench.get("/", sec_fetch_site=site).status == 200


@pytest.mark.parametrize("method", ["PUT", "DELETE", "OPTIONS", "PATCH", "TRACE", "CONNECT", "X"])
def test_other_methods_are_refused(bench: Served, method: str) -> None:
    headers = {"cookie": bench.cookie, "origin": "http://evil.example",
               "access-control-request-method": "POST"}  # fmt: skip
    answer = bench.bare(method, "/api/away", None, headers)
    assert answer.status == 405
    assert not [name for name in answer.headers if name.startswith("access-control")]


POSTED = ("look", "scene", "save", "add", "rename", "away", "back", "odds", "papers", "command")


def test_asking_changes_nothing(bench: Served) -> None:
    before = standing(bench.root)
    for path in (*POSTED, "stop/any"):
        assert bench.get(f"/api/{path}?name=buttons&new=b").status == 405
    for path in ("shelf", "things", "design/buttons", "card/buttons", "design/harbour"):
        assert bench.get(f"/api/{path}").status == 200
    assert standing(bench.root) == before


# The key


def test_the_key_opens_once_and_nothing_else_opens(bench: Served) -> None:
    for key in (bench.key, "", "x", bench.key[:-1], f"{bench.key}x", "%00", "%ff", "é"):
        answer = bench.bare("GET", f"/?key={key.encode().hex() if key == 'é' else key}")
        assert answer.status == 403 and "set-cookie" not in answer.headers
    assert b"Ctrl-C" in bench.bare("GET", f"/?key={bench.key}").body
    again = bench.get(f"/?key={bench.key}")
    assert again.status == 303 and again.headers["location"] == "/"


def test_the_cookie_is_kept_from_scripts_and_other_sites(tmp_path: Path) -> None:
    with served(workspace(tmp_path / "work")) as one:
        assert len(one.cookie) > 40
    with served(tmp_path / "work") as one:
        name, _, secret = one.cookie.partition("=")
        other = f"fitcheck-{one.port ^ 1}={secret}"
        for cookie in ("", "x", other, f"{name}=", f"{name}={secret[:-1]}", f"{name}={secret}x",
                       f"x{name}={secret}", f"{name.upper()}={secret}", f"{name}={one.key}",
                       f'{name}="{secret}"'):  # fmt: skip
            answer = one.bare("GET", "/api/shelf", None, {"cookie": cookie})
            assert answer.status == 403, cookie
            sent = {"cookie": cookie, "origin": one.home, "content-type": "application/json"}
            assert one.bare("POST", "/api/away", '{"name": "buttons"}', sent).status == 403
        among = f"a=b; {name}=stale; {one.cookie}; fitcheck-1=z"
        assert one.bare("GET", "/api/shelf", None, {"cookie": among}).status == 200
    fresh = Keys(5)
    assert len({fresh.key, fresh.secret, Keys(5).key, Keys(5).secret}) == 4


def test_what_the_cookie_says_to_a_browser(tmp_path: Path) -> None:
    from tests.served import start

    one = start(workspace(tmp_path / "work"))
    try:
        said = one.bare("GET", f"/?key={one.key}").headers["set-cookie"].lower()
        assert "httponly" in said and "samesite=strict" in said and "path=/" in said
        assert "domain" not in said
    finally:
        one.end()


# Names of files

STRANGE = [
    "../x", "..", ".", "%2e%2e%2fx", "..%2f..%2fpyproject", "%2e%2e/%2e%2e/pyproject",
    "%2Fetc%2Fpasswd", "buttons%00", "%00", "buttons.toml", "a%5c..%5cb", "con", "items", "Items",
    "-x", "buttons%0a", "put-away%2fbuttons", "x" * 300, "%ff", "caf%c3%a9", "~root", ".hidden",
]  # fmt: skip


@pytest.mark.parametrize("name", STRANGE)
def test_nothing_but_a_design_has_an_address(bench: Served, name: str) -> None:
    for path in ("design", "card"):
        answer = bench.get(f"/api/{path}/{name}")
        assert answer.status in (404, 422), answer
    answer = bench.get(f"/page/{name}")
    assert answer.status == 404
    assert bench.get(f"/{name}").status in (404, 200 if name == "." else 404)


@pytest.mark.parametrize(
    "name",
    ["../x", "..", "/etc/x", "a/b", "a\\b", "a\0", "items", "Items", "ITEMS", "con", "x" * 61, "",
     ".x", "-x", "a\nb", "caf\u00e9", "models/x"],
)  # fmt: skip
def test_nothing_is_written_but_designs(bench: Served, name: str) -> None:
    before = standing(bench.root)
    read = bench.get("/api/design/buttons").data
    for path, data in (
        ("add", {"name": name, "text": SMALL}),
        ("save", {"name": name, "text": SMALL, "version": read["version"]}),
        ("rename", {"name": "buttons", "new": name}),
        ("rename", {"name": name, "new": "fresh"}),
        ("away", {"name": name}),
        ("back", {"name": name}),
    ):
        answer = bench.post(f"/api/{path}", data)
        assert answer.status == 422, (path, answer)
        assert answer.data["problems"][0]["text"]
    assert standing(bench.root) == before


@pytest.mark.skipif(not hasattr(os, "symlink"), reason="links")
def test_links_out_of_the_workspace_are_not_followed(tmp_path: Path) -> None:
    root = workspace(tmp_path / "work")
    outside = tmp_path / "secret.toml"
    outside.write_text(SMALL.replace("Buttons", "Secret"))
    (root / "models" / "evil.toml").symlink_to(outside)
    (root / "models" / "fresh.toml").symlink_to(tmp_path / "not-there.toml")
    (tmp_path / "far").mkdir()
    (root / "models" / "put-away").symlink_to(tmp_path / "far")
    with served(root) as one:
        for path in ("design/evil", "card/evil"):
            answer = one.get(f"/api/{path}")
            assert answer.status == 422 and b"Secret" not in answer.body
        version = one.get("/api/design/buttons").data["version"]
        for path, data in (
            ("save", {"name": "evil", "text": SMALL, "version": version}),
            ("add", {"name": "fresh", "text": SMALL}),
            ("rename", {"name": "evil", "new": "mine"}),
            ("rename", {"name": "buttons", "new": "fresh"}),
            ("away", {"name": "evil"}),
            ("away", {"name": "buttons"}),
            ("back", {"name": "evil"}),
        ):
            answer = one.post(f"/api/{path}", data)
            assert answer.status == 422, (path, answer)
    assert "Secret" in outside.read_text() and (root / "models" / "evil.toml").is_symlink()
    assert not (tmp_path / "not-there.toml").exists() and not list((tmp_path / "far").iterdir())
    assert (root / "models" / "buttons.toml").read_text() == SMALL


def test_a_run_hands_out_its_own_files_only(bench: Served) -> None:
    begun = bench.post(
        "/api/command", {"command": "sheet", "given": {"design": "buttons", "format": "svg"}}
    ).data
    last = bench.events(begun["run"])[-1][1]
    assert last["kind"] == "done" and last["files"], last
    at = f"/api/runs/{begun['run']}/files"
    for name in ("..", "../..", "..%2f..%2fetc%2fpasswd", "%2e%2e/x", "/etc/passwd",
                 "%2Fetc%2Fpasswd", "x%00", "", ".",
                 f"..%2f{begun['run']}%2f{last['files'][0]}"):  # fmt: skip
        assert bench.get(f"{at}/{name}").status in (404, 422), name
    for name in last["files"]:
        answer = bench.get(f"{at}/{name}")
        assert answer.status == 200 and answer.body
        assert "frame-ancestors 'none'" in answer.headers["content-security-policy"]
        assert "sandbox" in answer.headers["content-security-policy"]
    assert bench.get(f"/api/runs/{begun['run']}/all.zip").body.startswith(b"PK")
    assert bench.get("/api/runs/nobody/files/x").status == 422


def test_a_download_of_any_name_can_be_sent() -> None:
    for name in ("sheet.svg", "caf\u00e9.pdf", '\u6298".pdf', "a\r\nb: c.svg"):
        answer = download(b"x", name)
        said = answer.headers["content-disposition"]
        assert said.isascii() and said.count('"') == 2 and "\n" not in said


# Bodies


def head(bench: Served, length: str) -> bytes:
    return (
        f"POST /api/look HTTP/1.1\r\nHost: 127.0.0.1:{bench.port}\r\nCookie: {bench.cookie}\r\n"
        f"Origin: {bench.home}\r\nContent-Type: application/json\r\n{length}\r\n\r\n"
    ).encode()


def memory_kb(pid: int) -> int:
    """The most memory that a process has had (proc(5), VmHWM)."""
    status = Path(f"/proc/{pid}/status").read_text()
    return int(re.search(r"VmHWM:\s+(\d+) kB", status)[1])  # type: ignore[index]


def poured(bench: Served, first: bytes, piece: bytes, times: int) -> bytes:
    """What comes back while very much is sent, if the door is not shut before it is read."""
    with socket.create_connection(("127.0.0.1", bench.port), timeout=60) as link:
        got: list[bytes] = []

        def listen() -> None:
            with contextlib.suppress(OSError):
                while data := link.recv(65536):
                    got.append(data)

        listening = threading.Thread(target=listen)
        listening.start()
        with contextlib.suppress(OSError):
            link.sendall(first)
            for _ in range(times):
                link.sendall(piece)
            link.shutdown(socket.SHUT_WR)
        listening.join(60)
        assert not listening.is_alive()
        return b"".join(got)


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="memory is read from /proc")
def test_a_hundred_megabytes_are_neither_read_nor_kept(bench: Served) -> None:
    assert bench.post("/api/look", FORM).status == 200
    before = memory_kb(bench.process.pid)
    block = b"x" * 1_000_000
    answer = poured(bench, head(bench, "Content-Length: 100000000"), block, 100)
    assert answer == b"" or answer.startswith(b"HTTP/1.1 413 ")
    chunked = f"{len(block):x}\r\n".encode() + block + b"\r\n"
    answer = poured(bench, head(bench, "Transfer-Encoding: chunked"), chunked, 100)
    assert answer == b"" or answer.startswith(b"HTTP/1.1 413 ")
    assert memory_kb(bench.process.pid) - before < 20_000
    assert bench.get("/api/shelf").status == 200


@pytest.mark.parametrize("how", ["told", "chunked"])
def test_a_little_too_much_is_refused_in_words(bench: Served, how: str) -> None:
    """One and a half megabytes arrive whole before the door is shut."""
    block = b" " * 100_000
    if how == "told":
        answer = poured(bench, head(bench, f"Content-Length: {15 * len(block)}"), block, 15)
    else:
        chunk = f"{len(block):x}\r\n".encode() + block + b"\r\n"
        answer = poured(bench, head(bench, "Transfer-Encoding: chunked"), chunk, 15)
    assert answer.startswith(b"HTTP/1.1 413 "), answer
    assert b"allowed: up to that" in answer


@pytest.mark.parametrize("length", ["-1", "1e3", "\u00b2", "1, 2", "9" * 30, "0x10"])
def test_a_length_that_is_none_is_refused(bench: Served, length: str) -> None:
    answer = bench.raw(head(bench, f"Content-Length: {length}"))
    assert re.match(rb"HTTP/1.1 4(00|13) ", answer)
    assert bench.get("/api/shelf").status == 200


@pytest.mark.parametrize(
    "body",
    [b"", b"{", b"[]", b"null", b"\xff", b'{"page": 1}', b"[" * 100_000, b'{"x": NaN}',
     b'{"page": "p", "draft": {"name": "n", "text": "t"}, "more": 1}',
     b'{"page": "p", "draft": {"name": "n", "text": "\\ud800"}}'],
)  # fmt: skip
def test_what_this_page_never_sends_is_refused_in_words(bench: Served, body: bytes) -> None:
    own = {"cookie": bench.cookie, "origin": bench.home, "content-type": "application/json"}
    answer = bench.bare("POST", "/api/look", body, own)
    assert answer.status == 422 and answer.data["problems"][0]["text"]


# What a browser may do with answers


def test_every_answer_says_what_a_browser_may_do_with_it(bench: Served) -> None:
    pages = {name: bench.get(f"/page/{name}") for name in ("main.js", "bench.css", "viewer.js")}
    answers = {
        "page": bench.get("/"),
        **pages,
        "data": bench.get("/api/shelf"),
        "none": bench.get("/nothing/here"),
        "no file": bench.get("/page/nothing"),
        "refused": bench.get("/api/design/nobody"),
        "no cookie": bench.bare("GET", "/"),
        "wrong key": bench.bare("GET", "/?key=x"),
        "moved": bench.get(f"/?key={bench.key}"),
        "slash": bench.get("/api/shelf/"),
        "method": bench.bare("PUT", "/"),
        "wrong method": bench.get("/api/save"),
        "other host": bench.bare("GET", "/", None, {"host": "rebound.example"}),
        "form": bench.bare("POST", "/api/save", "x", {"cookie": bench.cookie}),
        "kind": bench.post("/api/save", SAVE, content_type="text/plain"),
        "wrong": bench.post("/api/save", SAVE),
        "large": bench.bare("POST", "/api/save", b"", {
            "cookie": bench.cookie, "origin": bench.home, "content-type": "application/json",
            "content-length": "50000000"}),
    }  # fmt: skip
    for where, answer in answers.items():
        said = answer.headers
        policy = said["content-security-policy"]
        parts = dict(part.strip().partition(" ")[::2] for part in policy.split(";"))
        assert parts["default-src"] == "'none'" and parts["script-src"] == "'self'", where
        assert parts["frame-ancestors"] == "'none'" and parts["base-uri"] == "'none'", where
        assert "unsafe" not in policy and "*" not in policy, where
        assert said["x-content-type-options"] == "nosniff", where
        assert said["cache-control"] == "no-store", where
        assert said["referrer-policy"] == "no-referrer", where
        assert not [name for name in said if name.startswith("access-control")], where
        assert "server" not in said, where


def test_a_failure_nobody_foresaw_is_told_in_words(tmp_path: Path) -> None:
    """A folder in the place of a design's file, and a shelf that cannot be written."""
    root = workspace(tmp_path / "work")
    (root / "models" / "put-away").write_text("a file in its place")
    with served(root) as one:
        answer = one.post("/api/away", {"name": "buttons"})
        assert answer.status == 422 and "put-away" in answer.data["problems"][0]["text"]
        (root / "models" / "buttons.toml").unlink()
        (root / "models").rename(root / "models-gone")
        (root / "models").write_text("a file in its place")
        answer = one.post("/api/add", {"name": "fresh", "text": SMALL})
        assert answer.status == 422 and answer.data["problems"][0]["text"]
