"""Parts of an answer by name: the same on every address, and as the description has them."""

from typing import Any

import pytest
from flask.testing import FlaskClient
from jsonschema import Draft202012Validator

from noonhold_service.description.request_examples import REQUESTS
from noonhold_service.description.study_examples import STUDY_REQUESTS

QUICK = ("warm_up", "year", "comparison")
ASKED: dict[str, Any] = {
    "/v1/projections": REQUESTS["typical_day"].document,
    **{STUDY_REQUESTS[name][0]: STUDY_REQUESTS[name][1].document for name in QUICK},
}


@pytest.mark.parametrize("address", ASKED)
def test_a_part_is_a_part_of_the_whole_and_as_described(client: FlaskClient, address: str) -> None:
    spec = client.get("/openapi.json").get_json()
    content = spec["paths"][address]["post"]["responses"]["200"]["content"]["application/json"]
    whole, part = (each["$ref"] for each in content["schema"]["anyOf"])
    assert part == whole + "Part"
    answer = client.post(address, json=ASKED[address]).get_json()
    asked = client.post(f"{address}?fields=assumptions,cautions", json=ASKED[address]).get_json()
    assert asked == {name: answer[name] for name in answer if name in ("assumptions", "cautions")}
    summary = client.post(f"{address}?fields=summary", json=ASKED[address]).get_json()
    assert summary and summary.items() <= answer.items() and summary != answer
    for found, schema in ((answer, whole), (asked, part), (summary, part)):
        Draft202012Validator({**spec, "$ref": schema}).validate(found)
    extra = Draft202012Validator({**spec, "$ref": part})
    assert not extra.is_valid(asked | {"unheard_of": 1})


def test_the_description_names_the_parts_that_may_be_asked_for(client: FlaskClient) -> None:
    spec = client.get("/openapi.json").get_json()
    for address in ASKED:
        (fields,) = [
            each
            for each in spec["paths"][address]["post"]["parameters"]
            if each["name"] == "fields"
        ]
        assert "summary" in fields["schema"]["pattern"]
        told = client.post(f"{address}?fields=unheard_of", json=ASKED[address])
        assert told.status_code == 422 and told.get_json()["type"] == "/problems/invalid-query"
