"""Draws small rounds by chance, the same every time, for the planner to plan and the checker to judge.

draw.py first COUNT FOLDER          new rounds
draw.py wet INSTANCES PLANS FOLDER  the same some days later: what was planned stands, and grounds have closed
"""

import json
import random
import sys
from pathlib import Path

from model import Inst

WISH_POINTS = (5, 3, 2, 1)


def some(chance, values, share):
    return [value for value in values if chance.random() < share]


def drawn(number):
    """A round of up to nine requests for up to three machines, in up to seven days."""
    chance = random.Random(number)
    grain, days = chance.choice(("half", "half", "day")), chance.randint(2, 7)
    slots = range(days * (2 if grain == "half" else 1))
    names = [f"c{index}" for index in range(chance.randint(3, 7))]
    spots = [(chance.randint(0, 500), chance.randint(0, 500)) for _ in names]
    road = [[abs(a - c) + abs(b - d) for c, d in spots] for a, b in spots]
    machines = [f"m{index}" for index in range(chance.randint(1, 3))]
    return {
        "id": f"drawn-{number:05}",
        "kind": "plan",
        "granularity": grain,
        "days": days,
        "start_date": "2026-05-04",
        "params": {"handover_min": 30},
        "places": [
            {"id": name, "crews": chance.choice((0, 1, 1, 1, 2)), "crew_slots": some(chance, slots, 0.8)} for name in names
        ],
        "road_hm": road,
        "machines": [
            {
                "id": name,
                "start_place": chance.choice(names),
                "end_place": chance.choice(names),
                "delivery": chance.choice(("haul", "haul", "supplier")),
                "available_slots": some(chance, slots, 0.9),
            }
            for name in machines
        ],
        "requests": [
            request(chance, f"r{index}", (names, road), machines, (grain, days)) for index in range(chance.randint(3, 9))
        ],
    }


def request(chance, name, clubs, machines, grid):
    (names, road), (grain, days) = clubs, grid
    slots = range(days * (2 if grain == "half" else 1))
    club = chance.randrange(len(names))
    helpers = chance.sample(range(len(names)), 2)
    wishes = chance.sample(range(days), min(days, chance.randint(0, 4)))
    return {
        "id": name,
        "club": names[club],
        "work_min": chance.randint(60, 700),
        "allowed_slots": some(chance, slots, 0.85),
        "guaranteed": chance.random() < 0.2,
        "machines": some(chance, machines, 0.8),
        "crews": [
            {"club": names[helper], "hm": 2 * road[club][helper]} for helper in dict.fromkeys([club, *helpers])
        ],
        "weight": 10 * chance.randint(1, 5) + chance.randint(-9, 9),
        "pref_points": {str(day): points * chance.choice((1, 2, 3)) for day, points in zip(wishes, WISH_POINTS)},
    }


def wet(instance, plan):
    """The round again: a few slots are over, and some that had not begun may not have all their slots any more."""
    chance, inst = random.Random(instance["id"]), Inst(instance)
    now = chance.randrange(inst.T)
    begun = {block["request"] for block in plan if block["start_slot"] < now}
    later = {**instance, "id": instance["id"] + "-wet", "kind": "replan", "confirmed": plan, "now_slot": now}
    later["requests"] = [
        {**wish, "allowed_slots": some(chance, wish["allowed_slots"], 0.7)}
        if wish["id"] not in begun and chance.random() < 0.5
        else wish
        for wish in instance["requests"]
    ]
    return later


def write(folder, instances):
    folder.mkdir(parents=True, exist_ok=True)
    for instance in instances:
        (folder / f"{instance['id']}.json").write_text(json.dumps(instance))


def main(what, *rest):
    if what == "first":
        return write(Path(rest[1]), map(drawn, range(int(rest[0]))))
    files = sorted(Path(rest[0]).glob("*.json"))
    pairs = [(json.loads(file.read_text()), json.loads((Path(rest[1]) / file.name).read_text())) for file in files]
    return write(Path(rest[2]), [wet(instance, plans[0]["plan"]) for instance, plans in pairs])


if __name__ == "__main__":
    main(*sys.argv[1:])
