#!/usr/bin/env python3
"""Write walks.csv from places.csv and people.csv. Everything it writes is invented: no pitch was measured.

The model is a story told in numbers, made to look believable on a page. It is not agronomy, and nothing
may be concluded from it about real ground.

Wetness of a pitch on a day is the product of four factors:
  soil (SOIL), drainage (DRAINAGE), time of year (SEASON) and weather of the winter (WEATHER).
Care is one number a club from 0 to 1 (CARE): mowing, feeding, mending, keeping off when it is wet.
Wear is about 1 for a club's first pitch and less for the others, with a fixed draw for each pitch.
Deep-tining (DEEP_TINED) makes one club better from the first autumn after it begins (60 % of the
effect) and fully from the second: less wet, deeper roots, faster infiltration.

From these the mean of each criterion on that day:
  bare ground        season x wear x (0.5 + 1.1 wet) x (1.5 - 0.9 care); sand loses some in a dry autumn
  live weeds         3 + 15 (1 - care), a little more in April
  ground cover       what bare ground, half of the weeds and a few per cent of dead grass leave
  sward height       season's height, plus up to 6 mm for care
  evenness           gap under the straightedge: 6 + 15 wet x wear x (1.4 - 0.8 care)
  root depth         55 + 70 care - 40 wet, less in February, more with deep-tining
  stick penetration  4 + 17 wet
  hardness           98 - 45 wet, less on sand, in some clubs only
  infiltration       soil's rate x drainage's factor, spread log-normally, in some clubs only
A walk shifts every mean by a few per cent (another day, another pair of eyes), cover and bare ground
together. Three readings of ten lie in worn ground (the middle and the scrum lines), where there is more
bare ground; each scatters round its place's mean.

Each pitch has a random stream of its own, seeded by club and pitch, so that changing one pitch leaves
the others as they were. Run it from anywhere: python3 demo-seed/make_walks.py
"""

import csv
import math
import random
from datetime import date, timedelta
from pathlib import Path

HERE = Path(__file__).resolve().parent
SEED = "turfring demo region 1"
LAST_DAY = date(2026, 11, 15)

# How wet the soil lies, 0 to 1; infiltration of the undrained soil, mm/h.
SOIL = {
    "clay": (1.00, 2.0),
    "clay_loam": (0.78, 5.0),
    "silt_loam": (0.62, 7.0),
    "loam": (0.42, 13.0),
    "sandy_loam": (0.22, 28.0),
    "sand": (0.08, 65.0),
}
# Factor on wetness; factor on infiltration.
DRAINAGE = {
    "none": (1.00, 1.0),
    "slit": (0.78, 2.0),
    "pipe": (0.72, 1.3),
    "pipe_and_slit": (0.52, 2.6),
}
# Wetness factor, mean bare ground %, sward mm.
SEASON = {
    "october": (0.55, 4.0, 48.0),
    "november": (0.78, 7.0, 43.0),
    "february": (1.00, 14.0, 36.0),
    "april": (0.50, 10.0, 52.0),
}
# Wetness of the winter that begins in this year.
WEATHER = {2023: 1.18, 2024: 1.00, 2025: 0.84, 2026: 1.02}

CARE = {
    "Tansyford RFC": 0.48,
    "Mardlebeck RUFC": 0.50,
    "Quagthorpe RFC": 0.25,
    "Oxlemere Rugby Club": 0.70,
    "Fennowby RFC": 0.78,
    "Larkenshaw RUFC": 0.66,
    "Pellowthorpe RFC": 0.45,
    "Dunnockby RFC": 0.35,
    "Yaffleton Rugby Club": 0.85,
    "Pinderscroft RFC": 0.74,
    "Wherrowby RUFC": 0.30,
    "Cloverlund RFC": 0.92,
    "Teaselworth RFC": 0.30,
    "Plovergarth RUFC": 0.60,
    "Siskinholme Rugby Club": 0.55,
    "Ottersike RFC": 0.20,
    "Curlewdyke RUFC": 0.65,
    "Medlarwick RFC": 0.68,
    "Bitternholm RFC": 0.62,
    "Spindlethorpe RUFC": 0.40,
    "Vetchingham RFC": 0.80,
    "Sedgewold RFC": 0.42,
    "Linnetby Rugby Club": 0.50,
    "Hobblethwaite RFC": 0.32,
    "Godwitley RUFC": 0.45,
    "Campionstow RFC": 0.72,
}
DEEP_TINED = {"Mardlebeck RUFC": date(2025, 5, 10)}

NEVER_WALKED = {
    ("Tansyford RFC", "Training pitch"),
    ("Larkenshaw RUFC", "Outfield"),
    ("Wherrowby RUFC", "Staithe pitch"),
    ("Curlewdyke RUFC", "School pitch"),
    ("Hobblethwaite RFC", "Bank pitch"),
    ("Campionstow RFC", "Ropewalk pitch"),
    ("Campionstow RFC", "Green"),
}
FIRST_WALK = {("Ottersike RFC", "Only pitch"): date(2025, 9, 1)}
LAST_WALK = {
    ("Linnetby Rugby Club", "Broom pitch"): date(2025, 6, 1),
    ("Godwitley RUFC", "Second pitch"): date(2025, 6, 1),
}
# Clubs that can borrow an impact hammer, and clubs that own infiltration rings.
WITH_HAMMER = {"Mardlebeck RUFC", "Oxlemere Rugby Club", "Fennowby RFC", "Yaffleton Rugby Club",
               "Cloverlund RFC", "Medlarwick RFC", "Campionstow RFC", "Vetchingham RFC"}
WITH_RINGS = {"Tansyford RFC", "Mardlebeck RUFC", "Cloverlund RFC", "Yaffleton Rugby Club",
              "Larkenshaw RUFC", "Curlewdyke RUFC", "Campionstow RFC", "Pinderscroft RFC"}

WORN_SHARE = 0.3
WORN, UNWORN = 1.8, 0.66  # factors on bare ground; their weighted mean is about 1


def read(name):
    with open(HERE / name, newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def walkers_by_club():
    walkers = {}
    for person in read("people.csv"):
        if person["role"] in ("grounds_lead", "volunteer"):
            walkers.setdefault(person["club"], []).append(person["email"])
    return walkers


def walk_days(rng, key):
    """The days this pitch is walked, with the time of year and the year its winter began."""
    days = []
    for year in (2023, 2024, 2025):
        visits = [
            ("october", date(year, 10, 4) + timedelta(rng.randrange(26))),
            ("february", date(year + 1, 2, 2) + timedelta(rng.randrange(25))),
            ("april", date(year + 1, 4, 17) + timedelta(rng.randrange(13))),
        ]
        if rng.random() < 0.45:
            visits.pop(rng.choice((0, 1, 1, 2)))
        days += [(season, day, year) for season, day in visits]
    late = date(2026, 10, 3) + timedelta(rng.randrange(44))
    keeps_up = rng.random() < 0.88 or key[0] == "Tansyford RFC"
    if keeps_up:
        days.append(("october" if late.month == 10 else "november", late, 2026))
    first, last = FIRST_WALK.get(key, date.min), LAST_WALK.get(key, LAST_DAY)
    return [(season, day, year) for season, day, year in days if first <= day <= last]


def deep_tining(club, day):
    """How much of the effect of deep-tining is there: 0, 0.6 or 1."""
    began = DEEP_TINED.get(club)
    if began is None or day < began:
        return 0.0
    return 0.6 if (day - began).days < 365 else 1.0


def means(pitch, wear, season, day, year):
    """The mean of each criterion for a pitch on a day."""
    soil_wet, soil_rate = SOIL[pitch["soil"]]
    drain_wet, drain_rate = DRAINAGE[pitch["drainage"]]
    season_wet, season_bare, season_sward = SEASON[season]
    care = CARE[pitch["club"]]
    tined = deep_tining(pitch["club"], day)

    wet = soil_wet * drain_wet * season_wet * WEATHER[year] * (1 - 0.35 * tined)
    bare = season_bare * wear * (0.5 + 1.1 * wet) * (1.5 - 0.9 * care) * (1 - 0.3 * tined)
    sandy = pitch["soil"] in ("sand", "sandy_loam")
    if sandy and season in ("october", "november"):
        bare += 5.0 if pitch["soil"] == "sand" else 2.0
    weeds = 3 + 15 * (1 - care) + (2.5 if season == "april" else 0)
    return {
        "ground_cover": max(20.0, 100 - bare - 0.5 * weeds - 3),
        "live_weeds": weeds,
        "bare_ground": bare,
        "sward_height": season_sward + 6 * care,
        "evenness": 6 + 15 * wet * wear * (1.4 - 0.8 * care),
        "root_depth": 55 + 70 * care - 40 * wet - (12 if season == "february" else 0) + 28 * tined,
        "stick_penetration": 4 + 17 * wet,
        "hardness": 98 - 45 * wet - (12 if pitch["soil"] == "sand" else 0) - 6 * tined,
        "infiltration": soil_rate * drain_rate * (1 + 1.2 * tined) * (0.7 if season == "february" else 1),
    }


def values(rng, criterion, mean, count):
    """Readings that scatter round a mean, in the precision a volunteer writes down."""
    worn_count = round(WORN_SHARE * count)
    places = [WORN] * worn_count + [UNWORN] * (count - worn_count)
    rng.shuffle(places)
    found = []
    for worn in places:
        if criterion == "ground_cover":
            value = 100 - (100 - mean) * worn * rng.gammavariate(8, 0.125)
        elif criterion == "bare_ground":
            value = mean * worn * rng.gammavariate(8, 0.125)
        elif criterion == "live_weeds":
            value = mean * rng.gammavariate(4, 0.25)
        elif criterion == "infiltration":
            value = mean * math.exp(rng.gauss(0, 0.45))
        else:
            spread = {"sward_height": 0.11, "evenness": 0.28, "root_depth": 0.16,
                      "stick_penetration": 0.20, "hardness": 0.12}[criterion]
            value = mean * (1 + rng.gauss(0, spread))
        found.append(written(criterion, value))
    return found


def written(criterion, value):
    if criterion in ("ground_cover", "live_weeds", "bare_ground"):
        return str(min(100, max(0, round(value))))
    if criterion == "root_depth":
        return str(max(10, 5 * round(value / 5)))
    if criterion == "stick_penetration":
        return f"{max(1.0, round(2 * value) / 2):g}"
    if criterion == "infiltration" and value < 10:
        return f"{max(0.5, round(2 * value) / 2):g}"
    return str(max(1, round(value)))


def walk_pitch(pitch, position, walkers):
    """Every walk of one pitch: (day, club, pitch, walker, [(criterion, values)])."""
    key = (pitch["club"], pitch["pitch"])
    rng = random.Random(f"{SEED}|{key[0]}|{key[1]}")
    wear = (1.05 if position == 0 else 0.85) * rng.uniform(0.88, 1.14)
    walks = []
    for season, day, year in walk_days(rng, key):
        criteria = []
        thinner = 1 + rng.gauss(0, 0.07)
        for criterion, mean in means(pitch, wear, season, day, year).items():
            if criterion == "hardness" and not (key[0] in WITH_HAMMER and rng.random() < 0.6):
                continue
            if criterion == "infiltration" and not (key[0] in WITH_RINGS and rng.random() < 0.5):
                continue
            count = rng.randint(8, 25) if criterion == "ground_cover" else rng.randint(5, 10)
            if criterion == "ground_cover":
                seen = 100 - (100 - mean) * thinner
            elif criterion == "bare_ground":
                seen = mean * thinner
            else:
                seen = mean * (1 + rng.gauss(0, 0.05))
            criteria.append((criterion, values(rng, criterion, seen, count)))
        everyone = walkers[key[0]]
        walker = everyone[0] if rng.random() < 0.6 else rng.choice(everyone)
        walks.append((day, *key, walker, criteria))
    return walks


def main():
    walkers = walkers_by_club()
    walks, count_in_club = [], {}
    for pitch in read("places.csv"):
        position = count_in_club.get(pitch["club"], 0)
        count_in_club[pitch["club"]] = position + 1
        if (pitch["club"], pitch["pitch"]) not in NEVER_WALKED:
            walks += walk_pitch(pitch, position, walkers)
    walks.sort(key=lambda walk: walk[:3])
    with open(HERE / "walks.csv", "w", newline="", encoding="utf-8") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(("walk", "club", "pitch", "walked_on", "walked_by", "criterion", "values"))
        for number, (day, club, pitch, walker, criteria) in enumerate(walks, start=1):
            for criterion, readings in criteria:
                out.writerow((f"w{number:04}", club, pitch, day, walker, criterion, " ".join(readings)))


if __name__ == "__main__":
    main()
