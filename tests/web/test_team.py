"""In a team people sign in and may do what their work asks for; every route says what it asks."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import pytest
from fastapi.routing import APIRoute
from fastapi.testclient import TestClient
from tests.web.conftest import AT

from innerleaf.store.people import Role, invite, join, people
from innerleaf.web.app import make_app
from innerleaf.web.desk import Desk
from innerleaf.web.people import MAY, Action, May, may_fetch

if TYPE_CHECKING:
    from fastapi.dependencies.models import Dependant

PASSWORD = "plumb, level and square"
ADDRESS = "http://127.0.0.1:8420"
Sign = Callable[[Role], TestClient]
# What anybody may ask for without being known.
NOTHING_SENT = {"sent_at": AT.isoformat(), "entries": []}
OPEN = {"/manner", "/sw.js", "/sign-in", "/sign-out", "/join/{word}"}


@pytest.fixture
def app(desk: Desk) -> Any:
    """A server of a team."""
    return make_app(desk, user="nobody", team=True)


@pytest.fixture
def signed_in(app: Any, desk: Desk) -> Sign:
    """A client of somebody of each role."""

    def client_of(role: Role) -> TestClient:
        join(desk.engine, invite(desk.engine, role, by="test", at=AT), role, PASSWORD, at=AT)
        client = TestClient(app, base_url=ADDRESS, follow_redirects=False)
        answer = client.post("/sign-in", data={"name": role, "password": PASSWORD})
        assert answer.status_code == 303
        return client

    return client_of


def _routes(app: Any) -> list[APIRoute]:
    found: list[APIRoute] = []

    def walk(routes: Any) -> None:
        for route in routes:
            if isinstance(route, APIRoute):
                found.append(route)
            else:
                inner = getattr(route, "routes", None) or getattr(
                    getattr(route, "original_router", None), "routes", []
                )
                walk(inner)

    walk(app.app.app.routes)
    return found


def _asks(dependant: Dependant) -> set[Action]:
    below = {action for part in dependant.dependencies for action in _asks(part)}
    return below | ({dependant.call.action} if isinstance(dependant.call, May) else set())


def test_every_route_says_what_it_asks_of_whoever_calls_it(app: Any) -> None:
    routes = _routes(app)
    assert len(routes) > 30
    for route in routes:
        asks = _asks(route.dependant)
        changes = not (route.methods or set()) <= {"GET", "HEAD"}
        records = "/site/records" in route.path or "/site/photos" in route.path
        if route.path in OPEN:
            assert asks == set(), route.path
        elif route.path.startswith("/people"):
            assert asks == {Action.INVITE}, route.path
        else:
            assert Action.LOOK in asks, route.path
            elsewhere = "/runs" in route.path or route.path == "/api/rooms/close"  # no job changes
            form = route.path.endswith(("/new", "/parts")) or "/begin" in route.path  # for those who may send
            assert (Action.EDIT in asks) == (form or (changes and not elsewhere and not records)), route.path
            assert (Action.RECORD in asks) == (records and changes), route.path


@pytest.mark.parametrize("role", list(Role))
def test_the_roles_may_what_their_work_asks_for(signed_in: Sign, desk: Desk, small: str, role: Role) -> None:
    client = signed_in(role)
    may = MAY[role]
    walls = f"/api/jobs/{small}/walls/W2"
    tried = [
        (Action.LOOK, client.get(walls)),
        (Action.LOOK, client.get(f"/jobs/{small}")),
        (Action.LOOK, client.get(f"/jobs/{small}/walls/W1/proof")),
        (Action.MONEY, client.get(f"/jobs/{small}/numbers/price")),
        (Action.MONEY, client.get(f"/api/jobs/{small}/files.zip")),
        (Action.MONEY, client.post(f"/api/jobs/{small}/runs", json={"kind": "numbers"})),
        (Action.EDIT, client.put(f"{walls}/length", json={"base": 1, "value": 3100})),
        (Action.EDIT, client.post("/api/jobs/blank")),
        (Action.EDIT, client.post("/jobs/new/blank")),
        (Action.LOOK, client.get(f"/site/{small}")),
        (Action.RECORD, client.post(f"/api/jobs/{small}/site/records", json=NOTHING_SENT)),
        (Action.INVITE, client.get("/people")),
        (Action.INVITE, client.post("/people/invite", data={"role": "reader"})),
    ]
    for action, answer in tried:
        assert (answer.status_code < 400) == (action in may), (action, answer.url)
        assert answer.status_code in (200, 201, 202, 303) if action in may else answer.status_code == 403
    assert client.get("/api/me").json()["may"] == sorted(action.name.lower() for action in may)
    assert desk.open(small).revision.line.who == (role if Action.EDIT in may else "Ada")


@pytest.mark.parametrize("role", list(Role))
@pytest.mark.parametrize(
    ("kind", "name", "prices"),
    [
        ("sheets", "quotation.pdf", True),
        ("sheets", "plan.json", True),
        ("sheets", "takeoff.xlsx", True),
        ("sheets", "order.pdf", True),
        ("sheets", "sheets.pdf", False),
        ("sheets", "cut-list.pdf", False),
        ("sheets", "walls/W1.html", False),
        ("numbers", "report.json", True),
        ("proof", "report.json", False),
    ],
)
def test_prices_are_for_those_who_may_see_them(
    signed_in: Sign, desk: Desk, role: Role, kind: str, name: str, prices: bool
) -> None:
    signed_in(role)
    (person,) = people(desk.engine)
    assert may_fetch(person, kind, name) == (Action.MONEY in MAY[role] or not prices)


def test_who_is_not_signed_in_gets_nothing(app: Any, small: str) -> None:
    client = TestClient(app, base_url=ADDRESS, follow_redirects=False)
    assert client.get("/api/jobs").status_code == 401
    assert client.get(f"/api/jobs/{small}").status_code == 401
    page = client.get(f"/jobs/{small}")
    assert page.status_code == 401
    assert "Three rooms" not in page.text
    assert client.put(f"/api/jobs/{small}/walls/W1/length", json={"base": 1, "value": 1}).status_code == 401
    client.cookies.set("innerleaf", "guess")
    assert client.get("/api/jobs").status_code == 401


def test_a_new_session_at_each_sign_in_and_none_after_signing_out(signed_in: Sign) -> None:
    client = signed_in(Role.READER)
    first = client.cookies["innerleaf"]
    client.post("/sign-in", data={"name": "reader", "password": PASSWORD})
    assert client.cookies["innerleaf"] != first
    before = client.cookies["innerleaf"]
    client.post("/sign-out")
    client.cookies.set("innerleaf", before)
    assert client.get("/api/jobs").status_code == 401


def test_the_cookie_is_for_our_pages_only(signed_in: Sign) -> None:
    client = signed_in(Role.READER)
    cookie = client.post("/sign-in", data={"name": "reader", "password": PASSWORD}).headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=strict" in cookie


@pytest.mark.parametrize(
    ("wanted", "gone_to"),
    [
        ("/jobs/x", "/jobs/x"),
        ("//elsewhere.example", "/"),
        ("http://elsewhere.example", "/"),
        ("/\\elsewhere", "/"),
    ],
)
def test_signing_in_leads_to_our_own_pages_only(signed_in: Sign, wanted: str, gone_to: str) -> None:
    client = signed_in(Role.READER)
    answer = client.post("/sign-in", data={"name": "reader", "password": PASSWORD, "on": wanted})
    assert answer.headers["location"] == gone_to


def test_wrong_passwords_are_counted(app: Any, signed_in: Sign) -> None:
    signed_in(Role.READER)
    client = TestClient(app, base_url=ADDRESS)
    tries = [
        client.post("/sign-in", data={"name": "reader", "password": "wrong"}).status_code for _ in range(7)
    ]
    assert tries == [401] * 5 + [429] * 2


def test_an_invitation_leads_to_an_account(signed_in: Sign, app: Any) -> None:
    page = signed_in(Role.ESTIMATOR).post("/people/invite", data={"role": "installer"}).text
    link = page.split("<code>")[1].split("</code>")[0]
    client = TestClient(app, base_url=ADDRESS, follow_redirects=False)
    assert "installer" in client.get(link).text
    assert client.post(link, data={"name": "Ivo", "password": "short"}).status_code == 422
    assert client.post(link, data={"name": "Ivo", "password": PASSWORD}).status_code == 303
    assert client.get("/api/me").json()["name"] == "Ivo"
    assert TestClient(app, base_url=ADDRESS).get(link).status_code == 404
