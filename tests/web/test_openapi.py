"""The description is right OpenAPI, and requests made from it find no 5xx and no answer that it doesn't describe."""

from __future__ import annotations

import warnings
from typing import Any

import httpx
import pytest

from railwright import __version__
from railwright.web.openapi import REQUESTS, description
from web.served import Served

schemathesis = pytest.importorskip("schemathesis", reason="schemathesis isn't installed (extra: test)")


def test_every_question_is_described_by_the_schema_that_checks_it() -> None:
    found = description(__version__)
    assert found["openapi"].startswith("3.1")
    for name, schema in REQUESTS.items():
        posted = found["paths"][f"/api/{name}"]["post"]
        assert posted["requestBody"]["content"]["application/json"]["schema"] is schema
        assert schema["additionalProperties"] is False


def test_the_description_is_had_without_the_token_and_holds_none(served: Served) -> None:
    reply = httpx.get(f"{served.home}/openapi.json")
    assert reply.status_code == 200
    assert served.token not in reply.text
    assert reply.json() == description(__version__)


@pytest.mark.long
def test_requests_made_from_the_description_find_no_server_error(served: Served) -> None:
    """schemathesis (MIT): right and wrong requests; status, kind and shape of each answer against the description."""
    from hypothesis import HealthCheck, Phase, settings
    from schemathesis.checks import CHECKS

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        schema = schemathesis.openapi.from_dict(description(__version__))
        schema.config.update(base_url=served.home)
        names = (
            "not_a_server_error",
            "status_code_conformance",
            "content_type_conformance",
            "response_schema_conformance",
        )
        checks = [CHECKS.get_one(name) for name in names]
        count = 0
        for found in schema.get_all_operations():
            operation = found.ok()

            @settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.generate])
            def tried(case: Any) -> None:
                nonlocal count
                count += 1
                case.call_and_validate(headers=served.bearer, checks=checks)

            from hypothesis import given

            for mode in (schemathesis.GenerationMode.POSITIVE, schemathesis.GenerationMode.NEGATIVE):
                given(case=operation.as_strategy(generation_mode=mode))(tried)()
    assert count > 300
    assert served.process.poll() is None
    assert "Traceback" not in served.log.read_text(encoding="utf-8")
