"""Whatever a program sends by the description of the JSON side, it is answered as described."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import schemathesis
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi import checks as openapi
from tests.web.conftest import SMALL

from innerleaf.store.history import revisions, verify
from innerleaf.web.app import make_app
from innerleaf.web.desk import JOB_FILE, Desk

if TYPE_CHECKING:
    from schemathesis import Case

CHECKS = [
    not_a_server_error,
    openapi.status_code_conformance,
    openapi.content_type_conformance,
    openapi.response_headers_conformance,
    openapi.response_schema_conformance,
]
FEW = settings(
    max_examples=12,
    deadline=None,
    derandomize=True,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)


def _described(desk: Desk) -> Any:
    hosts = frozenset({"testserver", "localhost", "127.0.0.1"})
    return schemathesis.openapi.from_asgi("/openapi.json", make_app(desk, user="Ada", hosts=hosts))


def test_no_request_makes_it_fail(desk: Desk) -> None:
    job = desk.take_in({JOB_FILE: SMALL}, who="Ada").line.document
    tried = 0
    for found in _described(desk).get_all_operations():
        operation = found.ok()
        if operation.path.endswith("/events"):
            continue  # it goes on until the work is over, and nobody works here

        @FEW
        @given(case=operation.as_strategy(), known=st.booleans())
        def answered_as_described(case: Case[Any], known: bool) -> None:
            if known:  # a path that leads somewhere reaches further than one made up
                case.path_parameters = {**(case.path_parameters or {}), **_there(case, job)}
            answer = case.call()
            assert answer.status_code < 500, (case.method, case.formatted_path, answer.text)
            case.validate_response(answer, checks=CHECKS)

        answered_as_described()
        tried += 1
    assert tried > 15
    assert verify(desk.engine) == ()
    assert revisions(desk.engine, job)[-1].who == "Ada"


def _there(case: Case[Any], job: str) -> dict[str, str]:
    known = {"job": job, "wall": "W1"}
    return {name: value for name, value in known.items() if name in (case.path_parameters or {})}
