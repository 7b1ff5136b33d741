"""Calendar files as phones read them, and the clock changes they must survive.

CALENDAR_SAMPLES names a folder of `.ics` files that the server wrote. A file whose name begins
with `bookings` holds bookings only, so that all of them begin and end at midnight or noon in
London, whatever the clocks do.
"""

import os
import re
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from icalendar import Calendar

LONDON = ZoneInfo("Europe/London")
FOLDER = os.environ.get("CALENDAR_SAMPLES")
SAMPLES = sorted(Path(FOLDER).glob("*.ics")) if FOLDER else []
BOOKINGS = [path for path in SAMPLES if path.name.startswith("bookings")]
TEXT_LINE = re.compile(r"(?:SUMMARY|DESCRIPTION|LOCATION|COMMENT)(?:;[^:]*)?:(.*)")



def each_of(paths):
    """Runs a check for each file, or says why there is none to check."""
    why = "no such file in CALENDAR_SAMPLES" if FOLDER else "CALENDAR_SAMPLES names no folder"
    skipped = pytest.mark.skip(reason=f"{why}: nothing to read")
    nothing = pytest.param(None, marks=skipped, id="none")
    named = [pytest.param(path, id=path.name) for path in paths]
    return pytest.mark.parametrize("path", named or [nothing])


@pytest.mark.parametrize("row, year", [("h013", 2026), ("h014", 2027), ("h016", 2029)])
def test_the_clocks_change_when_the_outside_says(outside, row, year):
    """What the samples are read with knows the clock changes."""
    hours = (datetime(year, 1, 1, tzinfo=UTC) + timedelta(hours=hour) for hour in range(8760))
    changes = [
        hour.strftime("%Y-%m-%dT%H:%MZ")
        for hour in hours
        if offset(hour) != offset(hour - timedelta(minutes=1))
    ]
    outside.check(row, *changes)


def offset(instant):
    return instant.astimezone(LONDON).utcoffset()


@pytest.mark.skipif(not FOLDER, reason="CALENDAR_SAMPLES names no folder: nothing to read")
def test_there_are_calendars_to_read():
    assert SAMPLES, f"no .ics file in {FOLDER}"


@each_of(SAMPLES)
def test_lines_are_folded_and_end_as_the_standard_says(outside, path):
    raw = path.read_bytes()
    assert raw.endswith(b"\r\n")
    lines = raw.removesuffix(b"\r\n").split(b"\r\n")
    limit = outside.take("h026")
    for line in lines:
        assert b"\r" not in line and b"\n" not in line
        assert 0 < len(line) <= limit, line


@each_of(SAMPLES)
def test_texts_are_escaped_as_the_standard_says(outside, path):
    escapes = {r"\n", r"\;", r"\,", "\\\\"}
    assert all(escape in outside.text("h025") for escape in escapes)
    for line in unfolded(path):
        text = TEXT_LINE.fullmatch(line)
        if text:
            bare = re.sub(r"\\[nN;,\\]", "", text[1])
            assert not re.search(r"[\\;,]", bare), line


@each_of(SAMPLES)
def test_another_library_reads_every_event(path):
    calendar = Calendar.from_ical(path.read_bytes())
    assert calendar["VERSION"] == "2.0" and calendar["PRODID"]
    assert not calendar.errors
    events = calendar.walk("VEVENT")
    uids = [str(event["UID"]) for event in events]
    assert all(uids) and len(set(uids)) == len(uids)
    for event in events:
        assert not event.errors
        assert event["DTSTAMP"].dt.utcoffset() == timedelta(0)
        begins, ends = event["DTSTART"].dt, event["DTEND"].dt
        assert type(begins) is type(ends) and begins < ends
        assert type(begins) is date or begins.tzinfo, "a time without a zone moves with the phone"


@each_of(BOOKINGS)
def test_bookings_begin_and_end_on_a_half_day_in_london(path):
    for event in Calendar.from_ical(path.read_bytes()).walk("VEVENT"):
        for instant in (event["DTSTART"].dt, event["DTEND"].dt):
            if isinstance(instant, datetime):
                local = instant.astimezone(LONDON)
                assert local.strftime("%H:%M:%S") in ("00:00:00", "12:00:00"), local


def unfolded(path):
    return path.read_bytes().replace(b"\r\n ", b"").decode().split("\r\n")
