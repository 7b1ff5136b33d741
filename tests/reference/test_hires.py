"""Splitting a hire: against hires reckoned elsewhere, published games, and a library of games."""

import json
from pathlib import Path

import pytest
from coopgt.shapley_value import calculate

# Hires of planned rounds with their totals, stand-alone costs and equal-discount shares, reckoned with exact
# fractions by the author of the planning instances.
HIRES = json.loads(Path(__file__).with_name("hires.json").read_text(encoding="utf-8"))


def stints_of(hire, club):
    return [stint for stint in hire["stints"] if stint[0] == club]


def asked(hire, stints):
    terms = (hire["hire_pence"], hire["per_day_pence"], hire["clubs_haul"])
    return terms, hire["haul_pence_per_km"], stints, hire["road_hm"]


@pytest.mark.parametrize("hire", HIRES, ids=[hire["id"] for hire in HIRES])
def test_a_hire_is_split_as_reckoned_elsewhere(probe, hire):
    clubs = range(len(hire["alone_pence"]))
    alone = [probe("hire_alone", *asked(hire, stints_of(hire, club))) for club in clubs]
    assert alone == hire["alone_pence"]
    haul = probe("hire_haul_pence", *asked(hire, hire["stints"]))
    assert hire["hire_pence"] + haul == hire["total_pence"]
    shares = probe("equal_discount", hire["total_pence"], alone)
    assert shares == hire["shares_pence"]
    assert hire["worth_it"] == (hire["total_pence"] <= sum(alone))
    assert not hire["worth_it"] or all(share <= own for share, own in zip(shares, alone))


def groups(clubs):
    """Every group of clubs, in the order of their bits."""
    return [tuple(club for club in range(clubs) if group >> club & 1) for group in range(2**clubs)]


def airport(costs):
    return [max((costs[club] for club in group), default=0) for group in groups(len(costs))]


@pytest.mark.parametrize(
    "row, costs",
    [
        ("g006", [8, 11, 13, 18]),
        ("g007", [1500, 2200, 3000]),
        ("g008", [1500, 2200, 3500]),
        ("g009", [200, 400, 600]),
    ],
)
def test_shapley_is_that_of_the_airport_game(probe, outside, row, costs):
    thousandths = probe("shapley", len(costs), [cost * 1000 for cost in airport(costs)])
    outside.check(row, *(share / 1000 for share in thousandths))


def test_shapley_of_the_airport_game_lies_in_the_core(probe, outside):
    costs = airport([8, 11, 13, 18])
    found = probe("worst_excess", 4, costs, probe("shapley", 4, costs))
    outside.check("g011", "yes" if found is None else "no")


def test_shapley_and_its_worst_group_are_those_of_the_library(probe, chance):
    for _ in range(60):
        clubs = chance.randint(2, 6)
        costs = [0] + [chance.randint(0, 90_000) for _ in range(2**clubs - 1)]
        names = groups(clubs)
        # There the clubs are counted from 1.
        of_group = {tuple(club + 1 for club in name): cost for name, cost in zip(names, costs)}
        expected = calculate(of_group)
        shares = probe("shapley", clubs, costs)
        assert sum(shares) == costs[-1]
        assert all(abs(share - exact) <= 1.0001 for share, exact in zip(shares, expected))
        excess = [
            sum(shares[club] for club in group) - cost for group, cost in zip(names, costs)
        ]
        worst = probe("worst_excess", clubs, costs, shares)
        assert (worst[1] if worst else 0) == max(0, *excess[1:-1])


def test_values_and_repairs_are_those_of_the_printed_tables(probe, outside):
    outside.check("b032", *(100 * probe("value_left", years) for years in [10, 12, 15]))
    outside.check("b047", probe("repairs_so_far", 2000))
