"""A job through the API: booked whole, read whole, refused with pointers, hidden from strangers."""

import pytest

from crewjobs.models import AuditEntry, Customer, Job, Purpose
from tests import rows
from tests.app.api.asking import api, at, order

pytestmark = pytest.mark.django_db


@pytest.fixture
def office():
    rows.shop()
    return api(rows.dispatcher())


def pointers(answer) -> set[tuple[str, str]]:
    assert answer.status_code == 400, answer.content
    assert answer["Content-Type"] == "application/problem+json"
    return {(each["pointer"], each["code"]) for each in answer.json()["errors"]}


def test_a_whole_work_order_is_one_request(office) -> None:
    answer = office.post(at("jobs/"), order(number="77"))
    assert answer.status_code == 201, answer.content
    job = office.get(at(f"jobs/{answer.json()['id']}/")).json()
    first = job["pieces"][0]
    assert job["number"] == "77"
    assert first["outline_mm"][2] == [2501.9, 647.7]
    assert first["size"] == "8' 2 1/2\" x 2' 1 1/2\""
    assert [cutout["width_mm"] for cutout in first["cutouts"]] == [760]
    assert [support["kind"] for support in first["supports"]] == ["bracket"]
    assert job["seams"][0]["second"] == "B"
    assert [element["kind"] for element in job["route"]] == ["path", "lift"]
    assert job["route"][0]["length_mm"] == 15_000
    assert job["site"]["contacts"][0]["name"] == "Rowan Pike"
    assert job["site"]["hours"][0]["weekday"] == 2
    assert job["visits"][0]["windows"][0]["on"] == "2030-06-05"
    assert job["visits"][0]["p50_min"] > 0
    assert [hold["reason"] for hold in job["holds"]] == ["payment due"]
    assert job["sign_off"] is None


def test_every_wrong_field_is_pointed_at_and_nothing_is_written(office) -> None:
    wrong = order()
    wrong["pieces"][0]["thickness_mm"] = -3
    wrong["pieces"][0]["cutouts"][0]["width_mm"] = "wide"
    wrong["pieces"][1]["kind"] = "roof"
    wrong["site"]["lat"] = "nan"
    wrong["site"]["time_zone"] = "Nowhere/Else"
    wrong["site"]["hours"][0]["ends_at"] = "07:00"
    wrong["visits"][0]["windows"][0]["on"] = "1203-01-01"
    wrong["colour"] = "blue"
    assert pointers(office.post(at("jobs/"), wrong)) == {("/colour", "unknown")}
    del wrong["colour"]
    assert pointers(office.post(at("jobs/"), wrong)) == {
        ("/pieces/0/cutouts/0/width_mm", "invalid"),
        ("/pieces/1/kind", "invalid_choice"),
        ("/site/lat", "invalid"),
        ("/site/time_zone", "zone"),
        ("/site/hours/0/ends_at", "invalid"),
        ("/visits/0/windows/0/on", "year"),
    }
    assert not Job.objects.exists()
    assert not Customer.objects.exists()


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"thickness_mm": -3}, "/pieces/0/thickness_mm"),
        ({"thickness_mm": "98"}, "/pieces/0/thickness_mm"),
        ({"thickness_mm": 1e300}, "/pieces/0/thickness_mm"),
        ({"thickness_mm": True}, "/pieces/0/thickness_mm"),
        ({"depth_mm": 0}, "/pieces/0/depth_mm"),
        ({"length_mm": -1}, "/pieces/0/length_mm"),
        ({"outline_mm": [[0, 0], [9, 0], [9, 9]]}, "/pieces/0/outline_mm"),
        ({"density_kg_m3": -1}, "/pieces/0/density_kg_m3"),
        ({"name": "B"}, ""),
    ],
)
def test_an_impossible_piece_is_pointed_at(office, change, pointer) -> None:
    wrong = order(seams=[])
    wrong["pieces"][0] |= change
    assert {where for where, _ in pointers(office.post(at("jobs/"), wrong))} == {pointer}


def test_what_only_the_action_knows_is_pointed_at_too(office) -> None:
    wrong = order()
    wrong["visits"][0]["skills"] = ["juggling"]
    assert pointers(office.post(at("jobs/"), wrong)) == {("/visits/0/skills", "invalid")}
    assert not Job.objects.exists()


def test_a_changed_job_is_refused_to_who_read_an_older_one(office) -> None:
    job = rows.job()
    where = at(f"jobs/{job.pk}/")
    answer = office.patch(where, {"title": "Galley", "version": job.version})
    assert answer.json()["title"] == "Galley"
    assert answer.json()["version"] > job.version
    stale = office.patch(where, {"title": "Island", "version": job.version})
    assert (stale.status_code, stale.json()["title"]) == (409, "Conflict")
    assert pointers(office.patch(where, {"stage": "ready"})) == {("/stage", "unknown")}


def test_a_job_is_held_released_and_cancelled(office) -> None:
    where = f"jobs/{rows.job().pk}/"
    held = office.post(at(f"{where}holds/"), {"reason": "site not ready", "note": "no cabinets"})
    assert held.status_code == 201
    assert office.post(at(f"{where}holds/"), {"reason": "site not ready"}).status_code == 409
    assert office.get(at("jobs/"), {"held": "true"}).json()["results"][0]["holds"] == [
        "site not ready"
    ]
    assert office.delete(at(f"{where}holds/{held.json()['id']}/")).status_code == 204
    assert office.get(at("jobs/"), {"held": "true"}).json()["results"] == []
    cancelled = office.post(at(f"{where}cancel/"), {"reason": "sold the house"})
    assert cancelled.json()["cancelled_at"]
    verbs = {line["verb"] for line in office.get(at(f"{where}log/")).json()["results"]}
    assert verbs == {"job.hold", "job.release", "job.cancel"}


def test_a_stage_is_refused_with_every_reason_at_once(office) -> None:
    job = rows.job(stage="in fabrication")
    answer = office.post(at(f"jobs/{job.pk}/stage/"), {"stage": "ready"})
    assert answer.status_code == 409
    assert answer["Content-Type"] == "application/problem+json"
    said = answer.json()["findings"]
    assert {finding["severity"] for finding in said} == {"stop"}
    assert all(finding["message"] for finding in said)


def test_new_sizes_and_a_new_way_in_are_taken_over_whole(office) -> None:
    job = rows.job()
    stone = {"pieces": order()["pieces"][1:], "cabinet_run_mm": "10'"}
    changed = office.put(at(f"jobs/{job.pk}/pieces/"), stone)
    assert [piece["name"] for piece in changed.json()["pieces"]] == ["B"]
    assert changed.json()["cabinet_run_mm"] == 3048
    route = office.put(at(f"jobs/{job.pk}/route/"), [{"kind": "door", "width_mm": "32 in"}])
    assert route.json()[0]["width_mm"] == 812.8
    wrong = office.put(at(f"jobs/{job.pk}/route/"), [{"kind": "door"}, {"kind": "moat"}])
    assert pointers(wrong) == {("/1/kind", "invalid_choice")}


def test_findings_and_hours_of_a_job_are_read(office) -> None:
    where = f"jobs/{office.post(at('jobs/'), order()).json()['id']}/"
    assert office.get(at(f"{where}findings/")).status_code == 200
    [hours] = office.get(at(f"{where}hours/")).json()
    total = sum(line["minutes"] for line in hours["hours_lines"])
    assert total == pytest.approx(hours["p50_min"], abs=1e-6)


def test_lists_are_filtered_searched_and_paged(office) -> None:
    for number in range(1, 5):
        rows.job(str(number), title=f"Kitchen {number}", due_on=f"2026-07-0{number}")
    rows.job("9", stage="ready", priority="urgent")

    def found(**query) -> set[str]:
        answer = office.get(at("jobs/"), query)
        assert answer.status_code == 200, answer.content
        return {job["number"] for job in answer.json()["results"]}

    assert found(stage=["ready", "planned"]) == {"9"}
    assert found(priority="urgent") == {"9"}
    assert found(due_from="2026-07-02", due_to="2026-07-03") == {"2", "3"}
    assert found(text="kitchen 4") == {"4"}
    assert found(held="false", cancelled="false") == {"1", "2", "3", "4", "9"}
    assert found(cancelled="true") == set()
    assert pointers(office.get(at("jobs/"), {"stage": "melted"})) == {("/stage", "invalid_choice")}
    page = office.get(at("jobs/"), {"page_size": 2}).json()
    seen = [job["number"] for job in page["results"]]
    while page["next"]:
        page = office.get(page["next"]).json()
        seen += [job["number"] for job in page["results"]]
    assert sorted(seen) == ["1", "2", "3", "4", "9"]


def test_a_crew_sees_its_own_jobs_and_no_others() -> None:
    rows.shop()
    ours = rows.placement(crew=rows.crew()).visit
    theirs = rows.placement(rows.visit(rows.job("1002")), crew=rows.crew("Crew Birch")).visit
    crew = api(rows.lead(rows.crew()))
    assert [job["number"] for job in crew.get(at("jobs/")).json()["results"]] == ["1001"]
    assert crew.get(at(f"jobs/{ours.job_id}/")).status_code == 200
    for path in ("", "log/", "findings/", "hours/", "pieces/", "route/", "visits/", "sign-off/"):
        answer = crew.get(at(f"jobs/{theirs.job_id}/{path}"))
        assert answer.status_code in ({403} if path == "log/" else {404}), path
    assert crew.get(at(f"visits/{theirs.pk}/")).status_code == 404
    assert crew.get(at(f"customers/{theirs.job.customer_id}/")).status_code == 404
    piece = theirs.job.pieces.get(name="A")
    assert crew.post(at(f"pieces/{piece.pk}/inspections/"), {"passed": True}).status_code == 404
    assert crew.post(at("jobs/"), order()).status_code == 403
    assert not AuditEntry.objects.exists()


def test_pieces_are_inspected_and_made_again(office) -> None:
    piece = rows.job().pieces.get(name="A")
    where = f"pieces/{piece.pk}/"
    sent = {"passed": True, "measurements": {"length": "96 in"}}
    passed = office.post(at(f"{where}inspections/"), sent)
    assert passed.json()["measurements"] == {"length": 2438.4}
    remake = office.post(at(f"{where}remakes/"), {"reason": "broken", "ready_on": "2098-01-01"})
    assert remake.status_code == 201, remake.content
    made = office.post(at(f"remakes/{remake.json()['id']}/made/"))
    assert made.json()["made_at"]
    assert len(office.get(at(f"{where}remakes/")).json()) == 1


def test_open_items_trades_and_the_text_to_sign(office) -> None:
    where = f"jobs/{rows.job().pk}/"
    item = office.post(at(f"{where}open-items/"), {"what": "polish a chip"}).json()
    assert office.post(at(f"open-items/{item['id']}/accept/")).json()["is_accepted"]
    work = office.post(at(f"{where}trade-work/"), {"trade": "water", "what": "connect"}).json()
    later = "2030-01-01T12:00:00-06:00"
    told = office.put(at(f"trade-work/{work['id']}/earliest/"), {"earliest_at": later})
    assert told.json()["earliest_at"] == "2030-01-01T18:00:00Z"
    naive = office.put(at(f"trade-work/{work['id']}/earliest/"), {"earliest_at": later[:-6]})
    assert pointers(naive) == {("/earliest_at", "offset")}
    text = office.get(at(f"{where}sign-off/")).json()
    assert "polish a chip" in text["document"]
    assert text["sign_off"] is None
    signed = office.post(at(f"{where}sign-off/"), {"signer_name": "Mara", "way": "typed"})
    assert (signed.status_code, bool(signed.json()["findings"])) == (409, True)
    assert office.post(at(f"open-items/{item['id']}/close/")).json()["closed_at"]
    assert office.post(at(f"trade-work/{work['id']}/done/")).json()["done_at"]


def test_a_feed_is_made_renewed_and_ended(office, client) -> None:
    crew = rows.crew()
    made = office.post(at("feeds/"), {"purpose": "crew feed", "crew": str(crew.pk)})
    assert made.status_code == 201, made.content
    path = made.json()["url"].split("8000")[1]
    assert client.get(path).status_code == 200
    where = f"feeds/{made.json()['id']}/"
    assert office.post(at(f"{where}rotate/")).status_code == 201
    assert client.get(path).status_code == 404
    [kept] = office.get(at("feeds/")).json()
    assert "url" not in kept
    assert office.delete(at(f"feeds/{kept['id']}/")).status_code == 204
    assert office.get(at("feeds/")).json() == []
    lead = api(rows.lead(crew))
    assert lead.post(at("feeds/"), {"purpose": "person feed"}).status_code == 201
    assert lead.post(at("feeds/"), {"purpose": "shop feed"}).status_code == 403
    assert pointers(lead.post(at("feeds/"), {"purpose": str(Purpose.SIGN_OFF)})) == {
        ("/purpose", "invalid_choice")
    }
