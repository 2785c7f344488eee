"""A script and a piece of SQL in every text that a page or a program can send: kept as text, or refused."""

from __future__ import annotations

import json
from collections.abc import Iterator
from copy import deepcopy
from typing import TYPE_CHECKING, Any

import pytest
from fastapi.testclient import TestClient
from tests.web.conftest import SMALL
from tests.web.test_team import _routes

from innerleaf.store.history import revisions, verify
from innerleaf.web.app import make_app
from innerleaf.web.desk import JOB_FILE, Desk

if TYPE_CHECKING:
    from fastapi.routing import APIRoute

    from innerleaf.web.guard import Guard

SCRIPT = "<script>alert(1)</script>"
HOSTILE = f"{SCRIPT}'\"; DROP TABLE document; -- {{{{7*7}}}} \\u2028 \x7f"


@pytest.fixture
def app(desk: Desk) -> Guard:
    return make_app(desk, user="Ada")


@pytest.fixture
def asking(app: Guard) -> Iterator[TestClient]:
    with TestClient(app, base_url="http://127.0.0.1:8420", raise_server_exceptions=False) as client:
        yield client


def test_hostile_text_in_every_field_of_the_json_side(asking: TestClient, desk: Desk, small: str) -> None:
    described = asking.get("/openapi.json").json()
    sent = 0
    for path, operations in described["paths"].items():
        for method, operation in operations.items():
            if path.endswith("/events"):
                continue  # it goes on until the work is over
            for request in _requests(described, method, path, operation, small):
                answer = asking.request(**request)
                assert answer.status_code < 500, (request, answer.text)
                _harmless(answer)
                sent += 1
    assert sent > 60
    _store_is_whole(desk, small)


def test_hostile_text_in_every_form_and_address(
    asking: TestClient, app: Guard, desk: Desk, small: str
) -> None:
    known = {"job": small, "wall": "W1", "tab": "material", "room": "kitchen"}
    for route in _routes(app):
        if route.path.startswith("/api/"):
            continue
        for path, query in _addresses(route, known):
            form = dict.fromkeys((one.alias for one in route.dependant.body_params), HOSTILE)
            for method in route.methods or ():
                data = form if method == "POST" else None
                answer = asking.request(method, path, params=query, data=data, follow_redirects=False)
                assert answer.status_code < 500, (method, path, query, answer.text[:300])
                _harmless(answer)
    _store_is_whole(desk, small)


def test_hostile_text_that_is_kept_is_shown_as_text(asking: TestClient, app: Guard, desk: Desk) -> None:
    written = json.dumps(HOSTILE.replace("\x7f", ""))
    text = SMALL.replace("name: Three rooms (invented)", f"name: {written}, place: {written}")
    job = desk.take_in({JOB_FILE: text}, who=HOSTILE, what=HOSTILE).line.document
    saved = asking.put(f"/api/jobs/{job}/walls/W1/name", json={"base": 1, "value": SCRIPT})
    assert saved.status_code == 200, saved.text
    shown = 0
    for route in _routes(app):
        for path, _ in _addresses(
            route, {"job": job, "wall": "W1", "tab": "material", "room": "kitchen"}, only_known=True
        ):
            if "GET" in (route.methods or ()) and not path.startswith("/api/"):
                answer = asking.get(path)
                _harmless(answer)
                shown += "&lt;script&gt;" in answer.text
    assert shown > 5


def _harmless(answer: Any) -> None:
    if answer.headers.get("content-type", "").startswith("text/html"):
        assert SCRIPT not in answer.text, answer.request.url
        assert "'\"; DROP" not in answer.text, answer.request.url
    assert "default-src 'none'" in answer.headers["content-security-policy"]


def _store_is_whole(desk: Desk, job: str) -> None:
    assert verify(desk.engine) == ()
    assert revisions(desk.engine, job)[-1].number == 1


def _addresses(
    route: APIRoute, known: dict[str, str], *, only_known: bool = False
) -> Iterator[tuple[str, dict[str, str]]]:
    """Addresses of a route: what is known of it with hostile queries, and each part of the path hostile."""
    names = [one.alias for one in route.dependant.path_params]
    query = dict.fromkeys((one.alias for one in route.dependant.query_params), HOSTILE)
    if set(names) <= set(known):
        yield _filled(route.path, {name: known[name] for name in names}), {} if only_known else query
    if not only_known:
        for name in names:
            yield _filled(route.path, {other: known.get(other, "x") for other in names} | {name: HOSTILE}), {}


def _filled(path: str, values: dict[str, str]) -> str:
    for name, value in values.items():
        quoted = "".join(f"%{byte:02x}" for byte in value.encode())
        path = path.replace(f"{{{name}}}", quoted).replace(f"{{{name}:path}}", quoted)
    return path


def _requests(described: Any, method: str, path: str, operation: Any, job: str) -> Iterator[dict[str, Any]]:
    """One request for each text in the path, the query and the body."""
    parameters = operation.get("parameters", [])
    inside = {"job": job, "wall": "W1", "field": "name"}
    values = {one["name"]: inside.get(one["name"], "x") for one in parameters if one["in"] == "path"}
    base = {"method": method, "url": _filled(path, values)}
    content = operation.get("requestBody", {}).get("content", {})
    body = (
        _sample(described, content["application/json"]["schema"]) if "application/json" in content else None
    )
    for one in parameters:
        if one["in"] == "path":
            yield base | {"url": _filled(path, values | {one["name"]: HOSTILE}), "json": body}
        elif one["in"] == "query":
            yield base | {"params": {one["name"]: HOSTILE}, "json": body}
    for bad in _spoilt(body):
        yield base | {"json": bad}
    if "multipart/form-data" in content:
        yield base | {"files": [("files", (HOSTILE, HOSTILE))]}
        yield base | {"files": [("files", (JOB_FILE, HOSTILE))]}


def _sample(described: Any, schema: Any) -> Any:
    """A value that a schema allows, its open places filled with a text."""
    if "$ref" in schema:
        return _sample(described, described["components"]["schemas"][schema["$ref"].rpartition("/")[2]])
    if "anyOf" in schema:
        return _sample(described, schema["anyOf"][0])
    if "enum" in schema or "const" in schema:
        return schema.get("enum", [schema.get("const")])[0]
    kind = schema.get("type")
    if kind == "object":
        return {name: _sample(described, part) for name, part in schema.get("properties", {}).items()}
    if kind == "array":
        return [_sample(described, schema.get("items", {}))] * max(1, schema.get("minItems", 1))
    return {"integer": schema.get("minimum", 1), "number": 1.0, "boolean": True}.get(kind, "text")


def _spoilt(value: Any) -> Iterator[Any]:
    """The value with one of its texts hostile, each in turn."""
    if isinstance(value, str):
        yield HOSTILE
    elif isinstance(value, dict | list):
        for key in value if isinstance(value, dict) else range(len(value[:1])):
            for part in _spoilt(value[key]):
                made = deepcopy(value)
                made[key] = part
                yield made
