"""Times the planner against the reference solver, in one run on one machine: race.py PLANNER INSTANCE… [OPTION…]

For each instance and order: what each came to, whether it was proven, seconds, and how many times faster the planner
was. Fails when the planner comes to less, or when `--times N` is given and it is not proven or not N times faster.
The solver has as much time as the planner, and more if it asks for it with `--seconds`.
"""

import argparse
import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from model import Inst
from refsolve import HAUL_FIRST, PREF_FIRST, REPLAN, lex

LEVELS = {"pref_first": PREF_FIRST, "haul_first": HAUL_FIRST, "replan": REPLAN}


def ours(planner, file, instance, seconds):
    """The planner's answers, by order."""
    with tempfile.TemporaryDirectory() as plans:
        command = [planner, "--plans", plans, "--seconds", str(seconds), "--hasty", str(file)]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
        return json.loads((Path(plans) / f"{instance['id']}.json").read_text())


def theirs(instance, levels, seconds):
    """The solver's values, whether all are proven, and its seconds, reading and building included."""
    began = time.monotonic()
    log, _, proven = lex(Inst(instance), levels, seconds)
    return [entry["value"] for entry in log], proven, time.monotonic() - began


def is_behind(values, others, levels):
    """Whether the first level that differs is worse here."""
    for value, other, (_, _, more_is_better, _) in zip(values, others, levels):
        if other is not None and value != other:
            return (value < other) == more_is_better
    return False


def race(planner, file, options):
    """Prints the lines of one instance; answers the faults."""
    instance = json.loads(file.read_text())
    faults = 0
    for planned in ours(planner, file, instance, options.seconds):
        values, levels = [value for _, value in planned["parts"]], LEVELS[planned["order"]]
        is_proven = planned["parts"] == planned["bounds"]
        others, is_other_proven, seconds = theirs(instance, levels, options.seconds)
        times = seconds / max(planned["seconds"], 1e-4)
        is_slow = options.times is not None and not (is_proven and times >= options.times)
        fault = " BEHIND" if is_behind(values, others, levels) else " TOO SLOW" if is_slow else ""
        faults += bool(fault)
        mine = f"{' '.join(map(str, values))} {'proven' if is_proven else 'open'} {planned['seconds']:.2f} s"
        other = f"{' '.join(map(str, others))} {'proven' if is_other_proven else 'open'} {seconds:.2f} s"
        print(f"{instance['id']:<16} {planned['order']:<11} {mine:<38} {other:<38} {times:8.1f} times{fault}", flush=True)
    return faults


def main():
    parser = argparse.ArgumentParser(description="Times the planner against the reference solver.")
    parser.add_argument("planner")
    parser.add_argument("instances", nargs="+", type=Path)
    parser.add_argument("--seconds", type=float, default=60.0, help="most time of each, for one order")
    parser.add_argument("--times", type=float, help="how many times faster it must be, and proven")
    options = parser.parse_args()
    faults = sum(race(options.planner, file, options) for file in options.instances)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
