"""Ranks, quantiles, standard errors and scores, against numpy and scipy."""

import math

import numpy
import pytest
from scipy import stats

# A scale on which the score is the measure itself.
STRAIGHT = [(0, 0), (100, 100)]

SMALL = [15, 20, 35, 40, 50]
SMALL_SHARES = [0.05, 0.30, 0.40, 0.50, 0.75, 1]
TEN = list(range(1, 11))
TEN_SHARES = [0.25, 0.50, 0.75, 0.90]
LOPSIDED = sorted([1, 12, 14, 3, 96, 111])
QUARTERS = [0.25, 0.50, 0.75]


def test_quantiles_are_those_of_the_published_definitions(probe, outside):
    outside.check("f007", *(probe("quantile_type7", SMALL, share) for share in SMALL_SHARES))
    outside.check("f008", *(probe("quantile_type8", SMALL, share) for share in SMALL_SHARES))
    outside.check("f012", *(probe("quantile_type8", TEN, share) for share in TEN_SHARES))
    outside.check("f013", *(probe("quantile_type7", LOPSIDED, share) for share in QUARTERS))


@pytest.mark.parametrize(
    "ours, theirs", [("quantile_type7", "linear"), ("quantile_type8", "median_unbiased")]
)
def test_quantiles_are_those_of_numpy(probe, chance, ours, theirs):
    for _ in range(200):
        figures = sorted(chance.uniform(0, 100) for _ in range(chance.randint(1, 40)))
        share = chance.random()
        expected = numpy.quantile(figures, share, method=theirs)
        assert probe(ours, figures, share) == pytest.approx(expected, rel=1e-12)


def test_ranks_are_those_of_scipy(probe, chance):
    for _ in range(200):
        others = [chance.randint(0, 30) for _ in range(chance.randint(1, 40))]
        own = chance.randint(-2, 32)
        expected = stats.percentileofscore(others, own, kind="mean")
        assert probe("percentile_rank", own, others) == pytest.approx(expected, abs=1e-9)


def only_criterion(probe, key, scale, readings):
    """What a walk says that measured only this, by a scheme that scores only this."""
    return probe("score_walk", [(key, 1, scale)], [(key, readings)])["criteria"][0]


@pytest.mark.parametrize(
    "row, hits, points",
    [
        ("d067", 120, 150),
        ("d068", 20, 25),
        ("d069", 75, 150),
        ("d071", 135, 150),
        ("d072", 70, 100),
    ],
)
def test_the_standard_error_of_cover_is_the_binomial_one(probe, outside, row, hits, points):
    """Of hits and misses the two differ only by the divisor: n there, n - 1 here."""
    readings = [100] * hits + [0] * (points - hits)
    found = only_criterion(probe, "ground_cover", STRAIGHT, readings)
    binomial = found["mean_se"] * math.sqrt((points - 1) / points)
    outside.check(row, binomial, stats.norm.ppf(0.975) * binomial)


def test_the_standard_error_of_hardness_is_the_published_one(probe, outside):
    """Twenty readings whose standard deviation is 137 g."""
    off = 137 * math.sqrt(19 / 20)
    readings = [500 - off, 500 + off] * 10
    found = only_criterion(probe, "hardness", [(0, 0), (1000, 100)], readings)
    outside.check("d036", found["mean_se"])


def test_means_and_their_errors_are_those_of_scipy(probe, chance):
    for _ in range(200):
        readings = [chance.uniform(0, 100) for _ in range(chance.randint(2, 30))]
        found = only_criterion(probe, "ground_cover", STRAIGHT, readings)
        assert found["mean"] == pytest.approx(numpy.mean(readings), rel=1e-12)
        assert found["sd"] == pytest.approx(numpy.std(readings, ddof=1), rel=1e-9)
        assert found["mean_se"] == pytest.approx(stats.sem(readings), rel=1e-9)


def any_scale(chance):
    measures = sorted(chance.sample(range(101), chance.randint(2, 6)))
    return [(measure, chance.randint(0, 100)) for measure in measures]


def slope(scale, place):
    """By a small step either way; no place drawn by chance lies that near a corner."""
    step = 1e-7
    before, after = numpy.interp([place - step, place + step], *zip(*scale))
    return (after - before) / (2 * step)


def test_scores_are_those_of_numpy(probe, chance):
    keys = ["ground_cover", "live_weeds", "bare_ground", "sward_height", "stick_penetration"]
    for _ in range(200):
        scheme = [(key, chance.uniform(0.1, 9), any_scale(chance)) for key in keys]
        readings = [
            (key, [chance.uniform(0, 100) for _ in range(chance.randint(2, 12))]) for key in keys
        ]
        weights = numpy.array([weight for _, weight, _ in scheme])
        weights /= weights.sum()
        scores, errors = [], []
        for (_, _, scale), (_, values) in zip(scheme, readings):
            mean = numpy.mean(values)
            scores.append(numpy.interp(mean, *zip(*scale)))
            errors.append(slope(scale, mean) * stats.sem(values))
        found = probe("score_walk", scheme, readings)
        assert found["score"] == pytest.approx(weights @ scores, abs=1e-9)
        assert found["score_se"] == pytest.approx(numpy.linalg.norm(weights * errors), rel=1e-4)
