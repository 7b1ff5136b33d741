"""Judges plans by the reference's own rules: python3 check.py INSTANCES PLANS.

For each instance and order: no rule broken, and the parts are what the planner said they are.
"""

import json
import sys
from pathlib import Path

from model import Inst, check_replan, replan_parts, score


def judge(instance, planned):
    """Faults of one plan."""
    inst = Inst(instance)
    if instance["kind"] == "replan":
        errors, parts = check_replan(inst, planned["plan"]), replan_parts(inst, planned["plan"])
    else:
        errors, parts = score(inst, planned["plan"])
    said = dict(planned["parts"])
    return errors + [f"{name} is {parts[name]}, not {value}" for name, value in said.items() if parts[name] != value]


def main(instances, plans):
    files = [instances] if instances.is_file() else sorted(instances.glob("*.json"))
    passed = failed = 0
    for file in files:
        instance = json.loads(file.read_text())
        answer = plans / f"{instance['id']}.json"
        if not answer.exists():
            continue
        for planned in json.loads(answer.read_text()):
            faults = judge(instance, planned)
            passed, failed = passed + (not faults), failed + bool(faults)
            for fault in faults:
                print(f"{instance['id']} {planned['order']}: {fault}")
    print(f"{passed} passed, {failed} failed")
    return 1 if failed or not passed else 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), Path(sys.argv[2])))
