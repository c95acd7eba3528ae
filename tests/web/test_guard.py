"""Who may speak to the bench: a table of requests, and the same over real sockets."""

import socket

import httpx
import pytest
from starlette.datastructures import Headers

from lees.web.guard import Rules, refusal
from truth.benches import open_bench

RULES = Rules(frozenset(("127.0.0.1", "localhost")))
HERE = "127.0.0.1:8421"


@pytest.mark.parametrize(
    ("method", "headers", "status"),
    [
        ("GET", {"host": HERE}, None),
        ("GET", {"host": "LOCALHOST"}, None),
        ("GET", {"host": "rebound.example:8421"}, 421),
        ("GET", {"host": "127.0.0.1.rebound.example"}, 421),
        ("GET", {}, 421),
        ("GET", {"host": HERE, "origin": "https://elsewhere.example"}, None),
        ("POST", {"host": HERE}, None),
        ("POST", {"host": HERE, "origin": f"http://{HERE}"}, None),
        ("POST", {"host": HERE, "origin": "http://127.0.0.1:9999"}, 403),
        ("POST", {"host": HERE, "origin": f"https://{HERE}"}, 403),
        ("POST", {"host": HERE, "origin": "null"}, 403),
        ("POST", {"host": HERE, "sec-fetch-site": "same-origin"}, None),
        ("POST", {"host": HERE, "sec-fetch-site": "same-site"}, 403),
        ("POST", {"host": HERE, "sec-fetch-site": "cross-site"}, 403),
        ("DELETE", {"host": HERE, "sec-fetch-site": "cross-site"}, 403),
        ("PATCH", {"host": HERE, "origin": "https://elsewhere.example"}, 403),
    ],
)
def test_who_is_refused(method, headers, status):
    refused = refusal(method, "http", Headers(headers), RULES)
    assert (refused[0] if refused else None) == status


def test_two_host_headers_are_refused():
    headers = Headers(raw=[(b"host", HERE.encode()), (b"host", b"rebound.example")])
    assert refusal("GET", "http", headers, RULES)[0] == 421


def test_every_answer_carries_the_policy(http):
    for path in ("/", "/no-such-page", "/static/bench.css", "/api/cases", "/openapi.json"):
        policy = http.get(path).headers["content-security-policy"]
        assert "script-src 'self'" in policy
        assert "unsafe" not in policy


def test_another_name_is_refused(bench):
    answer = httpx.get(bench.address, headers={"host": "rebound.example"})
    assert answer.status_code == 421


def test_a_form_of_another_site_is_refused(http):
    answer = http.post("/cases", data={"title": "Stolen"}, headers={"origin": "https://a.example"})
    assert answer.status_code == 403
    assert "Stolen" not in http.get("/api/cases").text


def status_of(bench, head, body=b""):
    """Return the status that a raw request gets; the address of the bench stands for HOST."""
    host, port = bench.address.removeprefix("http://").split(":")
    with socket.create_connection((host, int(port)), timeout=20) as line:
        line.sendall(head.replace("HOST", f"{host}:{port}").encode() + b"\r\n\r\n" + body)
        return int(line.recv(4096).split(b" ")[1])


def test_a_large_body_is_refused_by_its_length(bench):
    head = "POST /cases HTTP/1.1\r\nHost: HOST\r\nContent-Length: 100000000"
    assert status_of(bench, head) == 413
    huge = "POST /case/x/report/file HTTP/1.1\r\nHost: HOST\r\nContent-Length: 100000000"
    assert status_of(bench, huge) == 413


def test_a_large_body_is_refused_as_it_comes(http):
    def pieces():
        for _ in range(40):
            yield b"title=" + b"x" * 50_000

    form = {"content-type": "application/x-www-form-urlencoded"}
    answer = http.post("/cases", content=pieces(), headers=form)
    assert answer.status_code == 413


def test_a_sender_who_stops_is_let_go(tmp_path):
    rules = Rules(frozenset(("127.0.0.1",)), patience_s=0.3)
    with open_bench(tmp_path / "archive", rules) as bench:
        head = (
            "POST /cases HTTP/1.1\r\nHost: HOST\r\n"
            "Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 20"
        )
        assert status_of(bench, head, b"title=") == 408
        assert httpx.get(bench.address).status_code == 200


@pytest.mark.parametrize(
    "path",
    [
        "/static/../bench.py",
        "/static/%2e%2e/pages.py",
        "/static/..%2fpages.py",
        "/static/fonts/../../letter.py",
        "/static//etc/passwd",
        "/static/%00",
    ],
)
def test_no_way_out_of_the_static_folder(bench, path):
    head = f"GET {path} HTTP/1.1\r\nHost: HOST\r\nConnection: close"
    assert status_of(bench, head) in (400, 404)
