"""Whether an area is about a place: polygons, circles, codes, and what can't be placed."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety_check.sources.cap.message import Area, Circle, Info, Named
from safety_check.sources.warning_services.placing import (
    Placement,
    place_area,
    place_info,
    trip_places,
)
from safety_check.sources.warning_services.services import load_file
from safety_check.sources.warning_services.zones import known_zones, zones_named
from tests.sources.fake_warnings import near

KIEL = (54.40, 10.20)
SQUARE = np.array(near(*KIEL))


def placed(area: Area, *places: tuple[float, float], elevation: float | None = None) -> Placement:
    return place_area(area, trip_places(places or (KIEL,), elevation))


def test_a_polygon_holds_a_place_inside_and_within_the_tolerance():
    # Half a square is 0.2 degrees of latitude, 22.2 km; the tolerance is 2 km.
    assert placed(Area("", (SQUARE,))) == Placement.HERE
    assert placed(Area("", (SQUARE,)), (KIEL[0] + 0.2 + 0.017, KIEL[1])) == Placement.HERE
    assert placed(Area("", (SQUARE,)), (KIEL[0] + 0.2 + 0.019, KIEL[1])) == Placement.ELSEWHERE


def test_any_place_of_the_trip_is_enough():
    far = (KIEL[0] + 1.0, KIEL[1])

    assert placed(Area("", (SQUARE,)), far, KIEL) == Placement.HERE


def test_an_area_that_the_trip_may_reach_holds_although_the_launch_is_outside():
    south = (KIEL[0] - 0.2 - 0.045, KIEL[1])  # 5 km outside

    assert place_area(Area("", (SQUARE,)), trip_places((south,), reach=5_200.0)) == Placement.HERE
    assert place_area(Area("", (SQUARE,)), trip_places((south,), reach=4_800.0)) == (
        Placement.ELSEWHERE
    )
    assert trip_places((south,), reach=5_200.0).zones >= trip_places((south,)).zones


def test_a_circle_reaches_as_far_as_its_radius_and_the_tolerance():
    def around(radius: float) -> Area:
        return Area("", circles=(Circle(KIEL[1], KIEL[0] + 0.1, radius),))  # 11.1 km away

    assert placed(around(9_200.0)) == Placement.HERE
    assert placed(around(9_000.0)) == Placement.ELSEWHERE


def test_a_polygon_beyond_the_antimeridian_holds_a_place_on_either_side():
    ring = np.array(near(-17.0, 180.1))

    assert placed(Area("", (ring,)), (-17.0, 179.95)) == Placement.HERE
    assert placed(Area("", (ring,)), (-17.0, -179.8)) == Placement.HERE
    assert placed(Area("", (ring,)), (-17.0, 178.0)) == Placement.ELSEWHERE


def test_a_polygon_that_crosses_itself_counts_with_its_hull():
    crossed = SQUARE[[0, 1, 3, 2, 0]]  # a bow tie, whose waist is the middle
    beside = (KIEL[0], KIEL[1] - 0.15)  # in no half of it, 9.7 km from its waist

    assert placed(Area("", (crossed,)), beside) == Placement.HERE


@pytest.mark.parametrize(
    ("name", "code"), [("EMMA_ID", "DE808"), ("emma_id", "DE808"), ("WARNCELLID", "501000007")]
)
def test_a_code_of_the_zone_here_holds_the_place(name, code):
    named = zones_named(name, code)
    assert named <= known_zones()

    here = placed(Area("", geocodes=(Named(name, code),)))

    assert here == (Placement.HERE if named & trip_places([KIEL]).zones else Placement.ELSEWHERE)


def test_a_code_of_another_zone_is_elsewhere():
    assert placed(Area("", geocodes=(Named("EMMA_ID", "DE801"),))) == Placement.ELSEWHERE


def test_the_same_zone_in_a_known_and_an_unknown_system_is_placed_by_the_known_one():
    codes = (Named("EMMA_ID", "DE801"), Named("invented", "17"))

    assert placed(Area("", geocodes=codes)) == Placement.ELSEWHERE


@pytest.mark.parametrize(
    "area",
    [
        Area("nothing to place it by"),
        Area("", geocodes=(Named("EMMA_ID", "XX999"),)),
        Area("", geocodes=(Named("EMMA_ID", "DE801"), Named("EMMA_ID", "XX999"))),
        Area("", geocodes=(Named("invented", "17"),)),
        Area("", (SQUARE + 5.0,), unread=("a second polygon",)),
        Area("", unread=("a polygon",)),
    ],
)
def test_what_is_not_known_in_full_may_be_here(area):
    assert placed(area) == Placement.UNKNOWN


def test_an_unreadable_part_beside_a_known_part_here_is_here():
    assert placed(Area("", (SQUARE,), unread=("a polygon",))) == Placement.HERE


def test_an_area_far_above_the_water_does_not_concern_it():
    summits = Area("", (SQUARE,), altitude_m=1500.0)

    assert placed(summits, elevation=400.0) == Placement.ELSEWHERE
    assert placed(summits, elevation=1450.0) == Placement.HERE
    assert placed(summits) == Placement.HERE  # the water's height is not known


def test_a_block_without_an_area_may_be_here_and_the_gravest_area_decides():
    trip = trip_places([KIEL])
    far, unclear, here = Area("", (SQUARE + 5.0,)), Area(""), Area("", (SQUARE,))

    def info(*areas: Area) -> Info:
        return Info("en", "Met", "wind", areas=areas)

    assert place_info(info(), trip) == Placement.UNKNOWN
    assert place_info(info(far), trip) == Placement.ELSEWHERE
    assert place_info(info(far, unclear), trip) == Placement.UNKNOWN
    assert place_info(info(unclear, here, far), trip) == Placement.HERE


def test_every_other_name_of_a_zone_has_a_shape():
    import json

    from safety_check.settings.folders import shipped_file

    listed = json.loads(shipped_file("warning_zones.json").read_text(encoding="utf-8"))
    zones = {
        zone for codes in listed.values() for named in codes.values() for zone in named.split()
    }

    assert len(listed) >= 5
    assert zones <= known_zones()


def test_the_shipped_shapes_are_small():
    from safety_check.settings.folders import shipped_file

    files = ("countries.npz", "warning_zones.npz", "warning_zones.json")
    size = sum(shipped_file(name).stat().st_size for name in files)

    assert size < 3_000_000  # bytes, as much as the wheel may hold of them


# Where each zone is, its EMMA_ID shape of the recorded subset: regression of our simplification.
@given(st.sampled_from(sorted(known_zones())), st.floats(0.0, 360.0))
def test_a_zone_is_also_asked_a_little_beyond_its_edge(zone, bearing):
    from safety_check.sources.warning_services import zones as module

    outlines = module._outlines()
    part = int(np.flatnonzero(outlines.names == zone)[0])
    first = outlines.first_point[outlines.first_ring[part]]
    east, north = outlines.longitude[first] * 0.001, outlines.latitude[first] * 0.001
    apart = load_file().zones.tolerance - 400.0  # m; simplified to 220 m, rounded to 110 m
    moved = (
        north + apart / 111_195.0 * np.cos(np.radians(bearing)),
        east + apart / 111_195.0 * np.sin(np.radians(bearing)) / np.cos(np.radians(north)),
    )

    assert zone in trip_places([moved]).zones


@pytest.mark.parametrize(("height", "here"), [(500.0, True), (500.1, False), (0.0, True)])
def test_an_area_may_begin_a_hundred_metres_above_the_water(height, here):
    found = placed(Area("", (SQUARE,), altitude_m=height), elevation=400.0)

    assert found == (Placement.HERE if here else Placement.ELSEWHERE)


def test_the_reach_is_that_of_the_launch_alone():
    south, far = (KIEL[0] - 0.2 - 0.045, KIEL[1]), (KIEL[0] - 2.0, KIEL[1])  # 5 km outside; far off

    assert place_area(Area("", (SQUARE,)), trip_places((south, far), reach=5_200.0)) == (
        Placement.HERE
    )
    assert place_area(Area("", (SQUARE,)), trip_places((far, south), reach=5_200.0)) == (
        Placement.ELSEWHERE
    )


def test_a_code_of_the_zone_here_is_enough_beside_others():
    [zone, *_] = trip_places([KIEL]).zones
    codes = (Named("invented", "17"), Named("EMMA_ID", "DE801"), Named("EMMA_ID", zone))

    assert placed(Area("", geocodes=codes)) == Placement.HERE
