"""Field work, tines and areas: what a machine covers, opens, and on how much ground."""

from fractions import Fraction
from itertools import product

import pytest
from asking import Refused

YARD_M = 0.9144


def test_field_capacity_is_that_of_the_worked_examples(probe, outside):
    capacity = "effective_field_capacity_ha_per_h"
    outside.check("b001", probe(capacity, 4.5, 2.7, 0.72))
    outside.check("b003", probe(capacity, 5, 20, 1))
    outside.check("b004", probe(capacity, 5, 20, 0.925))


def test_hours_are_those_of_the_worked_examples(probe, outside):
    outside.check("b002", probe("hours_for_area", 150_000, 0.8748))
    for row, speed_km_h, width_m in [("b072", 1.5, 1.6), ("b073", 2.0, 2.0)]:
        capacity = probe("effective_field_capacity_ha_per_h", speed_km_h, width_m, 0.75)
        outside.check(row, probe("hours_for_area", 7000, capacity))


def test_hours_are_the_exact_quotient(probe, chance):
    for _ in range(200):
        area_m2, speed_km_h = chance.randint(100, 20_000), chance.randint(1, 120) / 8
        width_m, efficiency = chance.randint(4, 96) / 8, chance.randint(20, 64) / 64
        capacity = probe("effective_field_capacity_ha_per_h", speed_km_h, width_m, efficiency)
        metres_an_hour = Fraction(speed_km_h) * 1000
        exact = area_m2 / (metres_an_hour * Fraction(width_m) * Fraction(efficiency))
        assert probe("hours_for_area", area_m2, capacity) == pytest.approx(float(exact), rel=1e-12)


@pytest.mark.parametrize(
    "row, across_mm, forward_mm",
    [
        ("b062", 65, 65),
        ("b063", 75, 75),
        ("b064", 100, 100),
        ("b065", 130, 130),
        ("b066", 130, 100),
    ],
)
def test_holes_are_those_of_plane_geometry(probe, outside, row, across_mm, forward_mm):
    outside.check(row, probe("holes_per_m2", across_mm, forward_mm))


def test_holes_are_as_many_as_can_be_counted(probe):
    """Counts the holes on a plot of 13 m squared, which every spacing here divides."""
    side_mm = 13_000
    for across_mm, forward_mm in product([50, 65, 100, 130], repeat=2):
        counted = len(range(0, side_mm, across_mm)) * len(range(0, side_mm, forward_mm))
        on_the_plot = probe("holes_per_m2", across_mm, forward_mm) * (side_mm / 1000) ** 2
        assert on_the_plot == pytest.approx(counted, rel=1e-12)


def test_the_share_of_turf_opened_is_that_of_plane_geometry(probe, outside):
    outside.check("b068", probe("surface_affected_percent", 18, 100, 100))


def test_a_tine_wider_than_its_spacing_is_refused(probe):
    with pytest.raises(Refused, match="overlap"):
        probe("surface_affected_percent", 60, 50, 100)


def test_the_limits_of_a_rugby_field_are_those_of_the_law(probe, outside):
    limits = probe("rugby_field_limits_m")
    sides = [limits["length"], limits["width"], limits["in_goal"]]
    outside.check("c048", *(f"{least:g}-{most:g}" for least, most in sides), limits["perimeter"])


def test_areas_are_those_the_sand_sums_and_the_football_table_use(probe, outside):
    limits = probe("rugby_field_limits_m")
    length_m = limits["length"][1] + 2 * limits["in_goal"][1]
    largest_m2 = probe("rectangle_m2", length_m, limits["width"][1])
    # The row gives the tonnes for 5 mm of sand at 1602 kg/m3 on this area.
    outside.check("c042", largest_m2 * 0.005 * 1.602)
    outside.check("c059", probe("rectangle_m2", 110 * YARD_M, 70 * YARD_M))
