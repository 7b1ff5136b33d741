"""Splits, price breaks and pooled orders, against exact fractions and textbook tables."""

import math
from fractions import Fraction

VAT_RATES = [0, 500, 2000]


def largest_remainder(total, weights):
    """The same rule in exact fractions, written from its definition."""
    quotas = [Fraction(total * weight, sum(weights)) for weight in weights]
    parts = [math.floor(quota) for quota in quotas]
    by_remainder = sorted(
        range(len(weights)), key=lambda place: (parts[place] - quotas[place], place)
    )
    for place in by_remainder[: total - sum(parts)]:
        parts[place] += 1
    return parts


def test_seats_fall_as_in_the_worked_examples(probe, outside):
    votes = [47_000, 16_000, 15_800, 12_000, 6_100, 3_100]
    outside.check("g001", *probe("largest_remainder", 10, votes))
    people = [int(count) for count in outside.rows["g002"]["inputs"].split()]
    outside.check("g002", *probe("largest_remainder", 60, people))
    counties = [int(count) for count in outside.rows["g003"]["inputs"].split(",")]
    outside.check("g003", *probe("largest_remainder", 42, counties))


def test_a_cost_is_split_in_proportion_to_the_penny(probe, outside):
    pence = probe("largest_remainder", 300_000, [1500, 2200, 3000])
    outside.check("g014", *(part / 100 for part in pence))


def test_splits_are_those_of_exact_fractions(probe, chance):
    for _ in range(300):
        weights = [chance.randrange(0, 60) for _ in range(chance.randint(1, 20))]
        weights[0] += 1
        total = chance.choice([chance.randrange(0, 100), chance.randrange(0, 10**15)])
        parts = probe("largest_remainder", total, weights)
        assert parts == largest_remainder(total, weights), (total, weights)


def test_prices_are_those_that_make_the_textbook_totals(probe, outside):
    """A year's cost of ordering, keeping and buying, whose last two hang on the price found."""
    demand, per_order, keeping = 800, 60, 0.30
    prices = [1, 1, [(0, 5300), (50, 5150), (100, 4950), (200, 4800), (500, 4700)]]
    totals = []
    for quantity in [79, 100, 200, 500]:
        price = probe("price_at", prices, quantity) / 100
        ordering = per_order * demand / quantity
        totals.append(ordering + keeping * price * quantity / 2 + price * demand)
    outside.check("g019", *totals)


def test_prices_are_those_that_make_the_textbook_quantities(probe, outside):
    demand, per_order, keeping = 5000, 49, 0.20
    prices = [1, 1, [(0, 500), (1000, 480), (2000, 475)]]
    found = (probe("price_at", prices, quantity) / 100 for quantity in [999, 1000, 2000])
    outside.check("g016", *(math.sqrt(2 * demand * per_order / (keeping * each)) for each in found))


def any_order(chance):
    """A price list, a VAT rate and the lines of some clubs."""
    unit_kg = chance.choice([1, 20, 25, 1000])
    pack_kg = unit_kg * chance.randint(1, 3)
    from_kg, price = 0, chance.randint(3000, 9000)
    prices = [(from_kg, price)]
    for _ in range(chance.randint(0, 3)):
        from_kg, price = from_kg + chance.randint(1, 40) * pack_kg, price - chance.randint(0, 900)
        prices.append((from_kg, price))
    lines = [chance.randint(0, 40) * pack_kg for _ in range(chance.randint(1, 15))]
    return [unit_kg, pack_kg, prices], chance.choice(VAT_RATES), lines


def test_an_order_is_shared_as_exact_fractions_share_it(probe, chance):
    for _ in range(300):
        prices, rate, lines = any_order(chance)
        unit_kg, _, breaks = prices
        price = [pence for from_kg, pence in breaks if from_kg <= sum(lines)][-1]
        goods = [Fraction(line * price, unit_kg) for line in lines]
        vat = math.floor(sum(goods) * rate / 10_000)
        vat_parts = largest_remainder(vat, lines) if vat else [0] * len(lines)
        order = probe("share_order", prices, rate, lines)
        assert (order["price_pence"], order["vat_pence"]) == (price, vat)
        assert order["goods_pence"] == sum(goods)
        assert order["shares"] == [list(share) for share in zip(goods, vat_parts)]


def test_no_club_pays_more_than_alone(probe, chance):
    for _ in range(100):
        prices, rate, lines = any_order(chance)
        order = probe("share_order", prices, rate, lines)
        for line, share in zip(lines, order["shares"]):
            assert sum(share) <= sum(probe("stand_alone", prices, line, rate))
