"""What every check here is given: the probe, the outside values, and seeded chance."""

import random

import pytest
from asking import Probe, probe_path
from outside import OutsideValues

OUTSIDE = OutsideValues()

# Any number does, as long as it stays: a failure must come again.
SEED = 20270504


@pytest.fixture(scope="session")
def probe():
    probe = Probe(probe_path())
    yield probe
    probe.close()


@pytest.fixture(scope="session")
def outside():
    return OUTSIDE


@pytest.fixture
def chance():
    return random.Random(SEED)


def pytest_terminal_summary(terminalreporter):
    terminalreporter.write_line(f"outside values checked: {OUTSIDE.checked}")
    if OUTSIDE.unused:
        terminalreporter.write_line(f"rows not checked: {' '.join(sorted(OUTSIDE.unused))}")
