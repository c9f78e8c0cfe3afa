"""Nobody but the maker's own page may ask: key, host, origin, size, place."""

import pytest
from starlette.testclient import TestClient

from sim.page.guard import LARGEST_BODY, Guard
from sim.page.routes import application
from tests.page.conftest import KEY, PORT, ask


@pytest.mark.parametrize(
    ("path", "headers", "status"),
    [
        (f"/{KEY}/ask/state", {"origin": "http://evil.example"}, 403),
        (f"/{KEY}/ask/state", {}, 403),
        ("/another-key/ask/state", {"origin": f"http://127.0.0.1:{PORT}"}, 403),
        ("/ask/state", {"origin": f"http://127.0.0.1:{PORT}"}, 403),
        (f"/{KEY}/ask/state", {"origin": f"http://127.0.0.1:{PORT}", "host": "evil.example"}, 421),
        (f"/{KEY}/ask/nothing", {"origin": f"http://127.0.0.1:{PORT}"}, 404),
    ],
)
def test_others_are_refused_and_the_server_goes_on(page, client, path, headers, status):
    stranger = TestClient(Guard(application(page), KEY, PORT), base_url=f"http://127.0.0.1:{PORT}")
    assert stranger.post(path, json={}, headers=headers).status_code == status
    assert ask(client, "state")[1] == 200


def test_a_body_that_is_too_large_is_refused(client):
    assert client.post(f"/{KEY}/ask/text", content=b"x" * (LARGEST_BODY + 1)).status_code == 413
    pieces = (b"x" * 100_000 for _ in range(2 + LARGEST_BODY // 100_000))
    assert client.post(f"/{KEY}/ask/text", content=pieces).status_code == 413
    assert ask(client, "state")[1] == 200


@pytest.mark.parametrize(
    "name", ["../secret.toml", "/etc/passwd", "..\\secret.toml", "sub/lure.toml", ".hidden.toml", "x.txt"]
)
def test_only_a_design_of_the_folder_can_be_opened(client, lure, name):
    (lure.parent.parent / "secret.toml").write_text("name = 'secret'")
    answer, status = ask(client, "begin", kind="file", name=name)
    assert status in (403, 404)
    assert "secret" not in str(answer.get("text", ""))


@pytest.mark.parametrize("path", ["..%2fapp.py", "%2e%2e/app.py", "../app.py", "static/../../app.py"])
def test_nothing_but_the_pages_own_files_is_handed_out(client, path):
    response = client.get(f"/{KEY}/{path}")
    assert response.status_code in (403, 404)
    assert "import" not in response.text


def test_the_page_may_load_nothing_from_elsewhere(client):
    headers = client.get(f"/{KEY}/").headers
    assert "default-src 'none'" in headers["content-security-policy"]
    assert headers["referrer-policy"] == "no-referrer"


@pytest.mark.parametrize(
    "given",
    [{"revision": "x"}, {"moved": 3}, {"changes": [1]}, {"moved": {"a": {}}}, {"changes": {"a.b": "1 mm"}}],
)
def test_a_request_that_cannot_be_read_is_refused_in_words(client, given):
    answer, status = ask(client, "edit", **given)
    assert 400 <= status < 500
    assert answer["message"]


def test_an_answer_holds_no_number_that_json_has_not(client):
    response = client.post(f"/{KEY}/ask/state", json={})
    assert "NaN" not in response.text
    assert "Infinity" not in response.text
