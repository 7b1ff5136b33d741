"""Distances on the ellipsoid, against the library of the algorithm's author."""

import pytest
from geographiclib.geodesic import Geodesic

WGS84 = Geodesic.WGS84


@pytest.mark.parametrize(
    "row, a, b",
    [
        ("h001", (-41.32, 174.81), (40.96, -5.50)),
        ("h003", (40.6, -73.8), (51.6, -0.5)),
        ("h010", (54.0, -1.5), (54.1, -1.5)),
        ("h012", (51.5, 0.0), (51.6, 0.1)),
    ],
)
def test_distances_in_metres_are_the_published_ones(probe, outside, row, a, b):
    outside.check(row, probe("geodesic_km", a, b) * 1000)


def test_the_distance_in_kilometres_is_the_published_one(probe, outside):
    outside.check("h008", probe("geodesic_km", (36.12, -86.67), (33.94, -118.40)))


def any_place(chance):
    return chance.uniform(-90, 90), chance.uniform(-180, 180)


def test_distances_are_those_of_the_library(probe, chance):
    for _ in range(300):
        a, b = any_place(chance), any_place(chance)
        expected_m = WGS84.Inverse(*a, *b)["s12"]
        assert probe("geodesic_km", a, b) * 1000 == pytest.approx(expected_m, abs=0.001)


def test_no_place_within_the_distance_lies_outside_the_box(probe, chance):
    for _ in range(300):
        centre, within_km = any_place(chance), chance.uniform(0, 400)
        south, north, west, east = probe("bounding_box", centre, within_km)
        for azimuth_deg in range(0, 360, 15):
            edge = WGS84.Direct(*centre, azimuth_deg, within_km * 1000)
            assert south <= edge["lat2"] <= north
            assert west <= edge["lon2"] <= east


def test_the_box_of_a_county_is_hardly_larger_than_it_must_be(probe):
    south, north, west, east = probe("bounding_box", (53.8, -1.55), 50)
    north_km = probe("geodesic_km", (53.8, -1.55), (north, -1.55))
    east_km = probe("geodesic_km", (53.8, -1.55), (53.8, east))
    assert north_km < 51 and east_km < 52
