"""The shelf and the service record over HTTP: saved field by field, with a line for each slip."""

import json

SCRIPT = "<script>alert(1)</script>"


def save(http, ref, path, value, seen):
    data = {"path": path, "value": value, "seen": seen}
    return http.post(f"/case/{ref}/field", data=data)


def test_a_first_visit_offers_two_ways(http):
    page = http.get("/").text
    assert "Begin a case" in page
    assert "demonstration" in page


def test_a_field_is_saved_as_typed(http, case):
    answer = save(http, case, "/fill/run/distance", "9 300 mi", 1)
    assert answer.status_code == 200
    assert "saved" in answer.text
    kept = http.get(f"/api/cases/{case}").json()
    assert kept["case"]["fill"] == {"run": {"distance": "9 300 mi"}}
    assert f'value="{kept["version"]}"' in answer.text


def test_lines_ticks_days_and_numbers(http, case):
    entered = {
        "/fill/duty": "short trips\n\n  towing ",
        "/owner/consent/name": "yes",
        "/fill/drained": "2026-09-04",
        "/engine/cylinders": "4",
        "/inspector/risk": "0,05",
    }
    for path, value in entered.items():
        version = http.get(f"/api/cases/{case}").json()["version"]
        assert save(http, case, path, value, version).status_code == 200, path
    kept = http.get(f"/api/cases/{case}").json()["case"]
    assert kept["fill"]["duty"] == ["short trips", "towing"]
    assert kept["owner"]["consent"] == {"name": True}
    assert kept["fill"]["drained"] == "2026-09-04"
    assert kept["engine"]["cylinders"] == 4
    assert kept["inspector"]["risk"] == 0.05


def test_an_empty_field_is_cleared(http, case):
    save(http, case, "/oil/name", "Quay oil", 1)
    version = http.get(f"/api/cases/{case}").json()["version"]
    save(http, case, "/oil/name", "", version)
    assert "name" not in http.get(f"/api/cases/{case}").json()["case"].get("oil", {})


def test_a_slip_is_named_and_nothing_is_written(http, case):
    before = http.get(f"/api/cases/{case}").json()
    for path, value in (
        ("/fill/run/distance", "9 300 L"),
        ("/fill/run/distance", "far"),
        ("/engine/cylinders", "many"),
        ("/fill/drained", "yesterday"),
        ("/title", ""),
        ("/no/such", "field"),
    ):
        answer = save(http, case, path, value, before["version"])
        assert answer.status_code == 422, (path, value)
        assert "wrong" in answer.text
    assert http.get(f"/api/cases/{case}").json() == before


def test_two_people_on_one_field_do_not_overwrite_each_other(http, case):
    save(http, case, "/oil/name", "Quay oil", 1)
    both_saw = http.get(f"/api/cases/{case}").json()["version"]
    assert save(http, case, "/oil/name", "First", both_saw).status_code == 200
    answer = save(http, case, "/oil/name", "Second", both_saw)
    assert answer.status_code == 409
    assert "nothing was overwritten" in answer.text
    assert save(http, case, "/oil/grade", "5W-30", both_saw).status_code == 200


def test_script_in_a_text_stays_text(http, case):
    for path in ("/engine/name", "/fill/notes", "/oil/name", "/title"):
        version = http.get(f"/api/cases/{case}").json()["version"]
        assert save(http, case, path, SCRIPT, version).status_code == 200
    for page in (f"/case/{case}/service", "/", f"/?q={SCRIPT}"):
        text = http.get(page, follow_redirects=True).text
        assert SCRIPT not in text


def test_the_shelf_says_what_a_case_waits_for(http, case):
    assert "waits for <b>service</b>" in http.get("/").text
    listed = http.get("/api/cases").json()["cases"]
    assert next(one for one in listed if one["ref"] == case)["waits_for"] == "service"


def test_a_case_goes_into_the_bin_and_out_again(http, case):
    http.post(f"/case/{case}/bin")
    assert case not in json.dumps(http.get("/api/cases").json())
    assert save(http, case, "/oil/name", "late", 9).status_code == 409
    http.post(f"/case/{case}/unbin")
    assert case in json.dumps(http.get("/api/cases").json())


def test_search_words_and_conditions(http, case):
    save(http, case, "/fill/run/distance", "9 300 mi", 1)
    assert case in http.get("/?q=pil fill.run.distance>14000km").text
    assert case not in http.get("/?q=fill.run.distance>16000km").text
    assert http.get("/?q=no.such>1").status_code == 422
    assert http.get("/?after=nonsense").status_code == 422


def test_what_is_not_there_is_said_so(http):
    for page in ("/case/nowhere/service", "/nothing"):
        answer = http.get(page)
        assert answer.status_code == 404
        assert "<h1>" in answer.text
    assert http.get("/api/cases/nowhere").json()["error"]


def test_half_a_character_is_no_fault_of_ours(http, case):
    body = '{"seen": 1, "changes": {"/oil/name": "\\ud800"}}'
    answer = http.patch(
        f"/api/cases/{case}", content=body, headers={"content-type": "application/json"}
    )
    assert answer.status_code == 422
