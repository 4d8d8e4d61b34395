"""Tides of the Norwegian Mapping Authority: a recording, other units and datums, and fuzz."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.errors import DataError
from safety_check.model.moving_water import TidePrediction
from safety_check.sources.http.error_messages import NothingToReport
from safety_check.sources.kartverket.tides import parse, query
from tests.properties import cases
from tests.recordings import shared_folder
from tests.sources.spoiled import NO_JSON, at, provenance

GOOD = """<tide><locationdata><location name="INVENTED" code="INV" delay="0" factor="1.07"/>
<reflevelcode>CD</reflevelcode><data type="prediction" unit="cm">
<waterlevel value="281.2" time="2026-06-01T16:40:00+01:00" flag="high"/>
<waterlevel value="95.2" time="2026-06-01T23:02:00+01:00" flag="low"/>
</data></locationdata></tide>"""


def parsed(text: str | bytes) -> TidePrediction:
    return parse(text if isinstance(text, bytes) else text.encode(), provenance())


def test_a_recorded_table_of_high_and_low_water():
    body = (shared_folder("recorded", "tides", "kartverket") /
            "locationdata_valid_tab_20191231.xml").read_bytes()  # fmt: skip

    found = parsed(body)

    # centimetres and +01:00 in the answer
    assert len(found.events) == 12
    first, last = found.events[0], found.events[-1]
    assert (first.time, first.high) == (at("2019-12-31T15:40"), True)
    assert (last.time, last.high) == (at("2020-01-03T11:46"), False)
    assert [first.height, last.height] == pytest.approx([2.812, 1.348])
    assert found.station.label == "TROMSØ"
    assert found.station.distance == 0.0  # the service computes the tide of the place itself
    assert found.provenance.model == "TROMSØ"


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ('unit="cm"', 'unit="m"'),
        (">CD<", ">MSL<"),
        ('flag="low"', 'flag="middle"'),
        ('value="95.2"', 'value="n/a"'),
        ("2026-06-01T23:02:00+01:00", "2026-06-01T23:02:00"),
        ("2026-06-01T23:02:00+01:00", "2026-06-01T16:40:00+01:00"),
        ('type="prediction"', 'type="observation"'),
    ],
)
def test_another_unit_datum_or_row_is_refused(one, other):
    assert one in GOOD
    with pytest.raises(DataError, match="can be read as high or"):
        parsed(GOOD.replace(one, other))


def test_a_place_without_tide_has_none():
    with pytest.raises(NothingToReport, match="outside"):
        parsed('<tide><locationdata><nodata info="Position outside area"/></locationdata></tide>')


def test_entities_are_refused():
    with pytest.raises(DataError, match="refused"):
        parsed('<!DOCTYPE t [<!ENTITY a "b">]>' + GOOD)


def test_what_is_asked_is_rounded_in_utc_and_above_chart_datum():
    asked = query(69.64921, 18.95532, np.array(["2026-06-01T12"], dtype="datetime64[s]"))

    assert (asked["lat"], asked["lon"]) == ("69.649", "18.955")
    assert (asked["fromtime"], asked["totime"]) == ("2026-05-31T00:00", "2026-06-02T23:59")
    assert (asked["refcode"], asked["tzone"], asked["dst"]) == ("cd", "0", "0")


@pytest.mark.parametrize("case", NO_JSON)
def test_what_is_no_answer_is_refused(case):
    with pytest.raises(DataError, match="a service"):
        parsed(NO_JSON[case])


@cases(150)
@given(st.binary(max_size=60) | st.integers(0, len(GOOD)).map(lambda at: GOOD[:at].encode()))
def test_any_bytes_are_events_or_refused(body):
    try:
        found = parsed(body)
    except DataError:
        return
    assert len(found.events) == 2
