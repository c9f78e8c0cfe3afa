"""What must not grow and whom the server must not forget: many edits, many connections, slow requests."""

import gc
import os
import socket
import threading
import urllib.request
from itertools import islice

import pytest

from sim.page import routes
from sim.page.serve import _Crowded, serve
from sim.page.workspace import KEPT_TEXT, Workspace, _last
from tests.page.conftest import KEY
from tests.properties.sizes import NIGHTLY

EDITS = 1000 if NIGHTLY else 20
BEFORE = 10  # edits after which all is loaded
MOST_GROWTH = 50e6 if NIGHTLY else 10e6  # bytes


def memory():
    """What this process holds, bytes."""
    gc.collect()
    with open("/proc/self/statm", encoding="ascii") as file:
        return int(file.read().split()[1]) * os.sysconf("SC_PAGE_SIZE")


@pytest.mark.skipif(not os.path.exists("/proc/self/statm"), reason="counts memory as Linux tells it")
def test_a_thousand_edits_do_not_make_the_server_grow(page):
    def edit(k):
        back = {"tie_on.lip.at.back": {"value": -0.0001 * (100 + k % 50), "dimension": "length"}}
        page.edit({"moved": back, "revision": page.open.revision})

    for k in range(BEFORE):
        edit(k)
    before = memory()
    for k in range(BEFORE, BEFORE + EDITS):
        edit(k)
    assert page.open.revision == BEFORE + EDITS
    assert memory() - before < MOST_GROWTH


def test_a_draft_holds_the_last_steps_and_no_more_than_it_has_room_for(lure, drafts):
    assert _last(["a", "b"]) == ["a", "b"]
    assert _last(["x" * KEPT_TEXT, "y"]) == ["y"]
    assert _last(["x", "y" * (2 * KEPT_TEXT)]) == ["y" * (2 * KEPT_TEXT)]
    assert _last([]) == []
    space = Workspace(lure, drafts)
    for k in range(12):
        space.write(space.text.split("# pad")[0] + "# pad " + str(k) * 60_000, k)
    (draft,) = drafts.iterdir()
    assert draft.stat().st_size < 3 * KEPT_TEXT
    again = Workspace(lure, drafts)
    assert again.text == space.text
    again.step_back(0)
    assert again.text == space.undo[-1]


@pytest.fixture
def served(page):
    """Port of a served page."""
    ready, address = threading.Event(), []

    def say(text):
        address.append(text)
        ready.set()

    threading.Thread(target=serve, args=(page, 0, say, False, KEY), daemon=True).start()
    assert ready.wait(30)
    return int(address[0].split(":")[2].split("/")[0])


def asked(port, data=b"{}", seconds=60):
    host = f"http://127.0.0.1:{port}"
    request = urllib.request.Request(f"{host}/{KEY}/ask/state", data, {"Origin": host}, method="POST")
    with urllib.request.urlopen(request, timeout=seconds) as response:
        return response.status


def test_a_thousand_connections_that_say_nothing_do_not_keep_the_page_from_being_served(served):
    many = []
    try:
        for _ in range(1000):
            many.append(socket.create_connection(("127.0.0.1", served), timeout=60))
        assert asked(served) == 200
        for one in islice(many, 0, None, 2):
            try:
                one.sendall(b"GET /another-key/ HTTP/1.1\r\nHost: elsewhere\r\n\r\n")
            except OSError:
                continue  # closed already, to make room
        assert asked(served) == 200
    finally:
        for one in many:
            one.close()


def test_nothing_that_is_answered_waits_for_word_that_what_came_before_has_arrived(served, monkeypatch):
    at_once, taken_up = [], _Crowded.connection_made

    def watched(connection, transport):
        taken_up(connection, transport)
        own = transport.get_extra_info("socket")
        at_once.append(own.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))

    monkeypatch.setattr(_Crowded, "connection_made", watched)
    assert asked(served) == 200
    assert at_once
    assert all(at_once)


def test_a_body_of_fifty_megabytes_is_refused_before_it_is_read_and_the_server_goes_on(served):
    with socket.create_connection(("127.0.0.1", served), timeout=60) as one:
        one.sendall(
            f"POST /{KEY}/ask/text HTTP/1.1\r\nHost: 127.0.0.1:{served}\r\nOrigin: http://127.0.0.1:{served}\r\n"
            f"Content-Length: 50000000\r\n\r\n".encode()
        )
        assert one.recv(12) == b"HTTP/1.1 413"
    assert asked(served) == 200


def test_a_request_that_never_comes_to_its_end_is_given_up(served, monkeypatch):
    monkeypatch.setattr(routes, "SLOWEST", 0.2)
    with socket.create_connection(("127.0.0.1", served), timeout=60) as one:
        one.sendall(
            f"POST /{KEY}/ask/state HTTP/1.1\r\nHost: 127.0.0.1:{served}\r\nOrigin: http://127.0.0.1:{served}\r\n"
            f"Content-Length: 20\r\n\r\n{{".encode()
        )
        assert one.recv(12) == b"HTTP/1.1 408"
    assert asked(served) == 200
