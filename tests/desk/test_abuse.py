"""What the desk refuses, over a real socket; and that it lives on."""

import contextlib
import json
import socket
import sys
import threading
import time
from collections.abc import Iterator
from http.client import HTTPConnection
from pathlib import Path

import pytest

from cutpath.send.queue.queue import Queue
from tests.desk.opened import Client, OpenedDesk, raw
from tests.desk.tables import cut_job, write_profile


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("desk") / "queue"
    profile = write_profile(place.parent)
    with Queue(place) as queue:
        queue.add_lane("table", profile)
        queue.add(cut_job(place.parent, profile), "table")
    (place.parent / "secret.txt").write_text("not for the network")
    return place


@pytest.fixture(scope="module")
def desk(folder: Path) -> Iterator[OpenedDesk]:
    with OpenedDesk(folder) as opened:
        yield opened


@pytest.fixture
def client(desk: OpenedDesk) -> Client:
    made = Client(desk.port)
    assert made.enter().status == 200
    return made


def lives(client: Client, held: bool) -> bool:
    """Do what the page does, and see it in the queue."""
    answer = client.ask("POST", "/jobs/1/hold" if held else "/jobs/1/release")
    return answer.status == 200


def test_the_page_works_and_each_answer_bids_the_browser_be_careful(client: Client) -> None:
    for path in ("/", "/desk.js", "/desk.css", "/icon.svg", "/jobs/1/lines", "/nothing"):
        answer = client.ask("GET", path)
        policy = answer.headers["content-security-policy"]
        assert policy.startswith("default-src 'none'; script-src 'self'")
        assert "unsafe" not in policy
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["referrer-policy"] == "same-origin"
        assert "access-control-allow-origin" not in answer.headers
        assert "server" not in answer.headers
    lines = json.loads(client.ask("GET", "/jobs/1/lines").text)
    assert lines["pieces"]
    assert len(lines["words"]) == len(lines["roles"])
    cookie = Client(client.port).ask("GET", "/").headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie


@pytest.mark.parametrize(
    "path",
    [
        "/../secret.txt", "/..%2fsecret.txt", "/%2e%2e/%2e%2e/etc/passwd", "/desk.js/../../app.py",
        "/assets/desk.js", "/..\\secret.txt", "/jobs/../lines", "/jobs/1%2f..%2f../lines",
        "/jobs/-1/lines", "/jobs/0/lines", "/jobs/1.0/lines", "/jobs/%31%00/lines",
        "/jobs/99999/lines", "/jobs/" + "9" * 400 + "/lines", "/jobs/%D9%A1/lines",
        "/jobs/1'%20OR%201=1/lines", "/queue.db", "//etc/passwd", "/jobs/1/lines/", "/%", "/%7f",
    ],
)  # fmt: skip
def test_no_path_reaches_a_file(client: Client, path: str) -> None:
    answer = client.ask("GET", path)
    assert answer.status == 404
    assert "secret" not in answer.text.replace("secret.txt", "")
    assert "root:" not in answer.text


@pytest.mark.parametrize(
    ("path", "body", "status"),
    [
        ("/jobs/1/fly", "{}", 404), ("/lanes/1/hold", "{}", 404), ("/lanes/7/pause", "{}", 409),
        ("/jobs/1/move", '{"before": "1; DROP TABLE jobs"}', 409), ("/jobs/1/move", "[]", 400),
        ("/jobs/1/move", '{"before": true}', 409), ("/jobs/1/move", "{", 400),
        ("/jobs/1/move", "[" * 9_000, 400), ("/jobs/1/note", '{"words": 3}', 409),
        ("/jobs/1/again", "{}", 409), ("/jobs/1/done", "{}", 409), ("/jobs/99/hold", "{}", 409),
        ("/jobs/1/note", json.dumps({"words": "x" * 501}), 409),
        ("/jobs/1/hold", "x" * 17_000, 413),
    ],
)  # fmt: skip
def test_acts_that_make_no_sense_are_told(
    client: Client, path: str, body: str, status: int
) -> None:
    answer = client.ask("POST", path, body)
    assert answer.status == status
    assert json.loads(answer.text)["error"]
    assert "Traceback" not in answer.text


def test_a_changing_request_must_come_from_our_own_page(client: Client, folder: Path) -> None:
    own = f"http://127.0.0.1:{client.port}"
    forged: list[dict[str, str | None]] = [
        {"Origin": "http://evil.example"},
        {"Origin": None},
        {"Origin": "null"},
        {"Origin": f"https://127.0.0.1:{client.port}"},
        {"Origin": f"{own}.evil.example"},
        {"Origin": own, "Sec-Fetch-Site": "cross-site"},
        {"Origin": own, "Sec-Fetch-Site": "same-site"},
        {"X-Cutpath-Token": None},
        {"X-Cutpath-Token": "0" * 64},
        {"X-Cutpath-Token": client.token[:-1]},
    ]
    for headers in forged:
        assert client.ask("POST", "/jobs/1/hold", "{}", **headers).status == 403, headers
    assert client.ask("POST", "/jobs/1/hold", "{}", Cookie=None).status == 401
    assert client.ask("POST", "/jobs/1/hold", "{}", Cookie="cutpath-desk-1=x").status == 401
    other = Client(client.port)
    other.enter()
    assert client.ask("POST", "/jobs/1/hold", "{}", X_Cutpath_Token=other.token).status == 403
    for method in ("PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "CONNECT", "FOO"):
        assert client.ask(method, "/jobs/1/hold").status == 405
    for path in ("/jobs/1/hold", "/lanes/1/start"):
        assert client.ask("GET", path).status == 404, "nothing is changed by looking"
    with Queue(folder) as queue:
        assert queue.job(1).state.value == "waiting"
    assert lives(client, held=True)
    assert lives(client, held=False)


def test_a_foreign_page_may_not_read_either(client: Client) -> None:
    for path in ("/events", "/jobs/1/lines"):
        for headers in ({"Origin": "http://evil.example"}, {"Sec-Fetch-Site": "cross-site"}):
            assert client.ask("GET", path, **headers).status == 403
        assert client.ask("GET", path, Cookie=None).status == 401


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:{port}", "127.0.0.1:1", "localhost.evil.example:{port}",
             "192.168.0.9:{port}", "", "127.0.0.1:{port}@evil", "[::1", "a" * 5_000],
)  # fmt: skip
def test_a_name_that_was_made_to_point_here_is_refused(client: Client, host: str) -> None:
    answer = client.ask("GET", "/", Host=host.replace("{port}", str(client.port)))
    assert answer.status in {400, 421}
    assert client.token not in answer.text


def test_localhost_is_a_name_of_this_machine(client: Client) -> None:
    assert client.ask("GET", "/", Host=f"localhost:{client.port}").status == 200


def test_bytes_that_are_no_http_are_refused(client: Client) -> None:
    host = f"Host: 127.0.0.1:{client.port}\r\n".encode()
    for data in (
        b"\x16\x03\x01\x02\x00\x01\x00\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n",
        b"GET /" + b"a" * 70_000 + b" HTTP/1.1\r\nConnection: close\r\n" + host + b"\r\n",
        b"POST /jobs/1/hold HTTP/1.1\r\n" + host + b"Content-Length: -4\r\n"
        b"Connection: close\r\n\r\n",
        b"POST /jobs/1/hold HTTP/1.1\r\n" + host + b"Content-Length: 4\r\n"
        b"Transfer-Encoding: chunked\r\nConnection: close\r\n\r\n0\r\n\r\n",
    ):
        answer = raw(client.port, data)
        assert answer.startswith((b"HTTP/1.1 4", b"")), answer[:80]
        assert b" 200 " not in answer[:20]
    long = b"".join(b"5\r\naaaaa\r\n" for _ in range(9_000)) + b"0\r\n\r\n"
    head = (
        f"POST /jobs/1/note HTTP/1.1\r\nOrigin: http://127.0.0.1:{client.port}\r\n"
        f"Cookie: {client.cookie}\r\nX-Cutpath-Token: {client.token}\r\n"
        "Transfer-Encoding: chunked\r\nConnection: close\r\n"
    ).encode()
    assert b" 413 " in raw(client.port, head + host + b"\r\n" + long)[:20]
    assert lives(client, held=True)
    assert lives(client, held=False)


def test_ten_thousand_requests_are_refused_and_the_desk_lives(folder: Path) -> None:
    with OpenedDesk(folder) as desk:
        client = Client(desk.port)
        client.enter()
        counts: dict[int, int] = {}

        def flood() -> None:
            connection = HTTPConnection("127.0.0.1", desk.port, timeout=30)
            for number in range(2_500):
                connection.request("GET", f"/jobs/{number}/lines")
                answer = connection.getresponse()
                answer.read()
                counts[answer.status] = counts.get(answer.status, 0) + 1
            connection.close()

        crowd = [threading.Thread(target=flood) for _ in range(4)]
        for each in crowd:
            each.start()
        for each in crowd:
            each.join()
        assert set(counts) == {401, 429}
        assert counts[429] > counts[401]
        time.sleep(1)
        assert lives(client, held=True)
        assert lives(client, held=False)
        assert desk.close() == 0
        assert "closed" in "".join(desk.said)
        assert "Traceback" not in "".join(desk.said)


def test_in_the_network_a_code_is_asked_once_a_device(folder: Path) -> None:
    with OpenedDesk(folder, "--lan") as desk:
        code = desk.code()
        client = Client(desk.port, host=f"192.168.7.7:{desk.port}")
        page = client.ask("GET", "/")
        assert page.status == 303
        assert page.headers["location"] == "/enter"
        assert client.ask("GET", "/enter").status == 200
        assert client.ask("GET", "/desk.css").status == 200
        for path in ("/events", "/jobs/1/lines", "/desk.js"):
            assert client.ask("GET", path).status == 401
        assert client.ask("POST", "/jobs/1/hold", "{}").status == 401
        assert client.ask("POST", "/enter", f"code={code}", Origin="http://evil").status == 403
        wrong = client.ask("POST", "/enter", "code=12<script>")
        assert wrong.status == 403
        assert "<script>" not in wrong.text
        assert not client.cookie
        right = client.ask("POST", "/enter", f"code={code.replace(' ', '+')}")
        assert right.status == 303
        assert client.enter().status == 200
        assert lives(client, held=True)
        assert lives(client, held=False)
        other = Client(desk.port, host=f"192.168.7.7:{desk.port}")
        assert other.ask("POST", "/enter", f"code={code}").status == 403
        for _ in range(8):
            last = other.ask("POST", "/enter", "code=00000000")
        assert last.status == 429
        assert client.enter().status == 200, "who is in stays in"
        assert other.ask("GET", "/", Host=f"evil.example:{desk.port}").status == 421


@pytest.mark.skipif(sys.platform != "linux", reason="needs a second address of this machine")
def test_lines_on_which_little_is_said_are_cut_off_and_keep_nobody_out(
    desk: OpenedDesk, client: Client
) -> None:
    own = f"127.0.0.1:{desk.port}"
    halves = [
        b"",
        b"GET / HTTP/1.1\r\nHost: ",
        f"POST /enter HTTP/1.1\r\nHost: {own}\r\nOrigin: http://{own}\r\n".encode()
        + b"Content-Length: 50\r\n\r\ncode=",
    ]
    slow = []
    for half in halves:
        line = socket.create_connection(("127.0.0.1", desk.port), timeout=20)
        line.sendall(half)
        slow.append(line)
    crowd = []
    for _ in range(250):
        try:
            crowd.append(
                socket.create_connection(
                    ("127.0.0.1", desk.port), timeout=5, source_address=("127.0.0.2", 0)
                )
            )
        except OSError:
            break
    assert len(crowd) > 200
    assert client.ask("GET", "/").status == 200, "others are served meanwhile"
    for line in slow:
        line.settimeout(20)
        with contextlib.suppress(ConnectionResetError):
            assert b" 200 " not in line.recv(4_096)
        line.close()
    for line in crowd:
        line.close()
    assert client.ask("GET", "/").status == 200
