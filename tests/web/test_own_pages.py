"""What a user says once, said on a phone: paddler, shore contact, craft and limits."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape

import httpx
import pytest

from safety_check.settings.settings import load_settings
from tests.hostile import HOSTILE, as_shown
from tests.live import Live, at_home, new_user, running
from tests.report.reading import Reader

KAYAK = {"name": "my kayak", "kind": "sit-on-top-kayak", "default": "yes"}
ALL = {"life_jacket": "worn", "wearing": "none", "company": "alone", "light": "yes"}


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Live]:
    with at_home(tmp_path_factory.mktemp("home")), running(session=new_user()) as made:
        yield made


def said(answer: httpx.Response) -> str:
    return Reader(answer.text).text


def error_at(answer: httpx.Response, field: str) -> str:
    """Return the error at a field, which is marked, described by it and has the focus."""
    assert answer.status_code == 422, said(answer)
    control = next(
        attributes
        for tag, attributes in Reader(answer.text).tags
        if tag in ("input", "select") and attributes.get("id") == field
    )
    assert control["aria-invalid"] == "true"
    assert f"{field}-error" in (control["aria-describedby"] or "").split()
    assert "autofocus" in control
    found = re.search(rf'id="{field}-error">(.*?)</span>', answer.text, re.DOTALL)
    assert found is not None
    assert "--" not in found[1]  # no option of the command line
    return unescape(re.sub(r"<[^>]+>", "", found[1]))


def test_a_new_user_sees_what_is_missing_and_each_line_leads_to_its_page(fresh: Live) -> None:
    answer = fresh.client.get("/own")
    for part in (
        "No water has been added yet.",
        "whether you wear a life jacket",
        "whether you go alone",
        "what you wear in cold water",
        "carry a white light",
    ):
        assert part in said(answer)
    links = [attributes["href"] for tag, attributes in Reader(answer.text).tags if tag == "a"]
    assert {"/waters/add", "/paddler", "/contact", "/craft", "/limits"} <= set(links)
    for link in {str(link) for link in links if str(link).startswith("/")}:
        assert fresh.client.get(link).status_code == 200
    assert "/own" in fresh.client.get("/").text


def test_what_the_paddler_brings_is_declared_and_taken_back(fresh: Live) -> None:
    done = fresh.send("/paddler", **ALL, self_rescue="no", within_capacity="")
    assert done.url.path == "/own"
    declared = load_settings().paddler
    assert (declared.life_jacket, declared.light, declared.self_rescue) == ("worn", True, False)
    assert declared.within_capacity is None
    assert "life jacket." not in said(done)
    assert "worn and fastened" in said(done)
    fresh.send("/paddler", **ALL | {"life_jacket": ""})
    assert load_settings().paddler.life_jacket is None
    assert "whether you wear a life jacket" in said(fresh.client.get("/own"))
    assert "one of the options" in error_at(fresh.send("/paddler", life_jacket="maybe"),
                                            "life_jacket")  # fmt: skip


@pytest.mark.parametrize("jacket", ["carried", "none"])
def test_a_life_jacket_that_is_not_worn_is_said_to_rule_a_go_out(fresh: Live, jacket: str) -> None:
    fresh.send("/paddler", **ALL | {"life_jacket": jacket})
    assert "Without a life jacket that you wear, every check is NO-GO." in said(
        fresh.client.get("/own")
    )


def test_the_shore_contact_is_stored_and_removed(fresh: Live) -> None:
    fresh.send("/contact", emergency_name="A. Shore", emergency_phone="555 0100", colours="yellow")
    contact = load_settings().user.contact
    assert (contact.emergency_name, contact.emergency_phone) == ("A. Shore", "555 0100")
    assert "A. Shore" in said(fresh.client.get("/own"))
    fresh.send("/contact", emergency_name="", emergency_phone="555 0100")
    assert load_settings().user.contact.emergency_name == ""


def test_a_craft_is_added_changed_and_removed_with_its_limits(fresh: Live) -> None:
    done = fresh.send("/craft", **KAYAK, cruise_speed="2.7", cruise_speed_unit="mph",
                      length="3,6", length_unit="m")  # fmt: skip
    assert done.status_code == 422  # a decimal comma is not guessed
    fresh.send("/craft", **KAYAK, cruise_speed="2.7", cruise_speed_unit="mph", troll="1.0",
               troll_unit="mph", troll_fast="2.0")  # fmt: skip
    own = load_settings().user
    assert own.craft["my kayak"].cruise_speed == "2.7 mph"
    assert own.craft["my kayak"].troll == "1.0-2.0 mph"
    assert own.default_craft == "my kayak"
    form = fresh.client.get("/craft", params={"craft": "my kayak"}).text
    for value in ("2.7", "1.0", "2.0"):
        assert f'value="{value}"' in form
    fresh.send("/limits/one", quantity="wind_speed", craft="my kayak", marginal="5",
               marginal_unit="mph")  # fmt: skip
    fresh.send("/craft", **KAYAK, known="my kayak", cruise_speed="2.9", cruise_speed_unit="mph")
    assert load_settings().user.craft["my kayak"].troll is None
    fresh.send("/craft/remove", craft="my kayak")
    left = load_settings().user
    assert (left.craft, left.limit, left.default_craft) == ({}, [], None)
    assert fresh.send("/craft/remove", craft="my kayak").status_code == 422


@pytest.mark.parametrize(
    ("changes", "field", "part"),
    [
        ({"cruise_speed": "fast", "cruise_speed_unit": "mph"}, "cruise_speed", "not a number"),
        (
            {"cruise_speed": "9", "cruise_speed_unit": "mph"},
            "cruise_speed",
            "can hold that for hours",
        ),
        ({"beam": "0", "beam_unit": "in"}, "beam", "greater than zero"),
        ({"troll": "3", "troll_fast": "2", "troll_unit": "mph"}, "troll", "slower speed first"),
        ({"name": " "}, "name", "printable characters"),
        ({"name": "two\nlines"}, "name", "printable characters"),
    ],
)
def test_a_figure_that_cannot_be_is_refused_at_its_field_and_the_form_stays(
    fresh: Live, changes: dict[str, str], field: str, part: str
) -> None:
    before = load_settings().user
    answer = fresh.send("/craft", **{**KAYAK, "length": "11.5", "length_unit": "ft", **changes})
    assert part in error_at(answer, field)
    assert 'value="11.5"' in answer.text
    assert load_settings().user == before


@pytest.mark.thorough
def test_every_limit_that_can_be_set_has_its_form_with_units(fresh: Live) -> None:
    page = fresh.client.get("/limits", params={"craft": "canoe"})
    links = [
        unescape(str(attributes["href"]))
        for tag, attributes in Reader(page.text).tags
        if tag == "a" and str(attributes["href"]).startswith("/limits/one")
    ]
    assert len(links) > 10
    for link in links:
        form = fresh.client.get(link)
        assert form.status_code == 200, link
        assert '<select name="marginal_unit"' in form.text
        assert 'inputmode="decimal"' in form.text


def test_a_limit_is_set_shown_and_reset(fresh: Live) -> None:
    limit = {"quantity": "wind_speed", "craft": "canoe"}
    done = fresh.send("/limits/one", **limit, marginal="6", marginal_unit="mph", no_go="3",
                      no_go_unit="Bft")  # fmt: skip
    assert done.url.path == "/limits"
    assert "caution from 6 mph, no-go from 7.6 mph; higher is worse (yours)" in said(done)
    form = fresh.client.get("/limits/one", params=limit).text
    assert re.search(r'name="no_go"[^>]*value="3"', form)
    assert "<option selected>Bft</option>" in form
    fresh.send("/limits/one", **limit, reset="yes")
    assert load_settings().user.limit == []


@pytest.mark.parametrize(
    ("typed", "field", "part"),
    [
        ({"marginal": "", "no_go": ""}, "marginal", "Give a caution, a no-go, or both"),
        ({"marginal": "windy"}, "marginal", "not a number with a unit"),
        ({"marginal": "30", "no_go": "40"}, "loosen", "looser than the default"),
        ({"marginal": "9", "no_go": "4"}, "no_go", "before the caution"),
    ],
)
def test_a_limit_that_is_not_allowed_is_refused_at_its_field(
    fresh: Live, typed: dict[str, str], field: str, part: str
) -> None:
    units = {"marginal_unit": "mph", "no_go_unit": "mph"}
    answer = fresh.send("/limits/one", quantity="wind_speed", craft="canoe", **units, **typed)
    assert part in error_at(answer, field)
    assert load_settings().user.limit == []


def test_a_looser_limit_that_is_confirmed_says_so(fresh: Live) -> None:
    limit = {"quantity": "wind_speed", "craft": "canoe"}
    done = fresh.send("/limits/one", **limit, marginal="30", marginal_unit="mph", no_go="40",
                      no_go_unit="mph", loosen="yes")  # fmt: skip
    assert "(yours, looser than the default)" in said(done)
    fresh.send("/limits/one", **limit, reset="yes")


def test_an_unknown_limit_is_no_server_error(fresh: Live) -> None:
    for quantity in ("", "fog", "no_such", "w" * 500):
        answer = fresh.client.get("/limits/one", params={"quantity": quantity, "craft": "canoe"})
        assert answer.status_code == 422
    assert fresh.client.get("/limits", params={"craft": "kanoo"}).status_code == 422
    assert fresh.client.get("/limits", params={"water": "nowhere"}).status_code == 422


@pytest.mark.one_in(4)
@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_stay_text(fresh: Live, name: str) -> None:
    text = HOSTILE[name][:55]
    plain = {tag for tag, _ in Reader(fresh.client.get("/own").text).tags} | {"bdi", "li", "ul"}
    fresh.send("/contact", name=text, vehicle=text)
    fresh.send("/craft", **KAYAK | {"name": text})
    answer = fresh.client.get("/own")
    assert answer.status_code == 200
    assert {tag for tag, _ in Reader(answer.text).tags} <= plain
    assert " ".join(as_shown(text).split()) in said(answer)
    for craft in list(load_settings().user.craft):
        page = fresh.client.get("/craft", params={"craft": craft})
        assert page.status_code == 200
        fresh.send("/craft/remove", craft=craft)
    assert load_settings().user.craft == {}
    fresh.send("/contact", name="", vehicle="")
