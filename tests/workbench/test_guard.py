"""Who may ask the pages: only this computer's browser, from pages of ours, with requests of a bounded size."""

from __future__ import annotations

from typing import Any

import pytest

from tipline.workbench.guard import MOST_SENT, Guard

PORT = 8123
OWN = {"host": f"127.0.0.1:{PORT}"}
FROM_US = {**OWN, "origin": f"http://127.0.0.1:{PORT}"}


def asked(
    headers: dict[str, str], method: str = "GET", kind: str = "http", body: tuple[bytes, ...] = (b"",)
) -> tuple[int, dict[str, str], int]:
    """Give the status, the headers, and how many bytes came through to the pages."""
    sent: list[dict[str, Any]] = []
    had = [0]
    pieces = list(body)

    async def pages(scope: Any, receive: Any, send: Any) -> None:
        while scope["type"] == "http":
            message = await receive()
            had[0] += len(message.get("body", b""))
            if message["type"] == "http.disconnect" or not message["more_body"]:
                break
        if scope["type"] == "http":
            await send({"type": "http.response.start", "status": 200, "headers": []})
        else:
            await send({"type": "websocket.accept"})

    async def receive() -> dict[str, Any]:
        if kind == "websocket":
            return {"type": "websocket.connect"}
        return {"type": "http.request", "body": pieces.pop(0), "more_body": bool(pieces)}

    async def send(message: Any) -> None:
        sent.append(message)

    pairs = [(name.encode(), value.encode()) for name, value in headers.items()]
    answering: Any = Guard(pages, PORT)({"type": kind, "method": method, "headers": pairs}, receive, send)  # type: ignore[arg-type]
    with pytest.raises(StopIteration):  # nothing here waits, and a browser's loop may run in this thread already
        answering.send(None)
    first = sent[0]
    status = first.get("status") or {"websocket.accept": 101, "websocket.close": first.get("code")}[first["type"]]
    return status, {name.decode(): value.decode() for name, value in first.get("headers", ())}, had[0]


def test_its_own_pages_are_answered_and_load_nothing_from_elsewhere() -> None:
    status, headers, _ = asked(OWN)
    assert status == 200
    assert headers["content-security-policy"].startswith("default-src 'self'; ")
    assert "http:" not in headers["content-security-policy"]
    assert asked({"host": f"localhost:{PORT}"})[0] == 200
    assert asked(FROM_US, "POST")[0] == 200
    assert asked(FROM_US, kind="websocket")[0] == 101


@pytest.mark.parametrize(
    "host", ["", "evil.example", f"evil.example:{PORT}", "127.0.0.1", "127.0.0.1:80", "[::1]:8123"]
)
@pytest.mark.parametrize("kind", ["http", "websocket"])
def test_a_foreign_host_is_refused(host: str, kind: str) -> None:
    assert asked({"host": host, "origin": f"http://{host}"}, kind=kind)[0] in (421, 1008)


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "null", f"https://127.0.0.1:{PORT}", "http://127.0.0.1:9", ""]
)
def test_a_foreign_page_can_neither_send_nor_listen(origin: str) -> None:
    foreign = {**OWN, "origin": origin}
    assert asked(foreign, "POST")[0] == 403
    assert asked(foreign, "GET")[0] == 403
    assert asked(foreign, kind="websocket")[0] == 1008


def test_who_does_not_say_where_from_changes_nothing() -> None:
    assert asked(OWN, "POST")[0] == 403
    assert asked(OWN, "DELETE")[0] == 403
    assert asked(OWN, kind="websocket")[0] == 1008
    assert asked({**OWN, "sec-fetch-site": "cross-site"})[0] == 403
    assert asked({**OWN, "sec-fetch-site": "same-origin"})[0] == 200


def test_what_is_too_large_is_not_let_in() -> None:
    gigabyte = {**FROM_US, "content-length": str(10**9)}
    assert asked(gigabyte, "POST")[::2] == (413, 0)
    assert asked({**FROM_US, "content-length": "-1"}, "POST")[0] == 413
    piece = b"x" * 500_000
    assert asked(FROM_US, "POST", body=(piece,) * 4)[2] == MOST_SENT
    assert asked(FROM_US, "POST", body=(piece,) * 40)[2] == MOST_SENT  # it never said how much
