"""The values from outside this project, and the count of those checked.

`values.csv` holds one row a value or short list of values: what it is, from which inputs, in
which unit, how far off is still right, who published it, and how it was confirmed.
"""

import csv
from pathlib import Path

VALUES = Path(__file__).with_name("values.csv")


class OutsideValues:
    """The rows by their id; every comparison is counted."""

    def __init__(self):
        with VALUES.open(newline="", encoding="utf-8") as file:
            self.rows = {row["id"]: row for row in csv.DictReader(file)}
        self.checked = 0
        self.unused = set(self.rows)

    def check(self, row_id, *found):
        """Holds what was found against the first values of a row, each within its tolerance."""
        wanted = self._values(row_id)
        assert len(found) <= len(wanted), f"{row_id} has only {len(wanted)} values"
        for ours, theirs in zip(found, wanted):
            self._compare(row_id, ours, theirs)

    def take(self, row_id):
        """The first value of a row, to be used as a limit."""
        self._count(row_id)
        return self._values(row_id)[0]

    def text(self, row_id):
        """The whole value of a row as it is written, to be used as a pattern."""
        self._count(row_id)
        return self.rows[row_id]["value"]

    def _values(self, row_id):
        return [_number_or_text(value) for value in self.rows[row_id]["value"].split(";")]

    def _compare(self, row_id, ours, theirs):
        self._count(row_id)
        row = self.rows[row_id]
        told = f"{row_id} {row['quantity']} ({row['inputs']}): {ours}, not {theirs} {row['unit']}"
        if isinstance(theirs, str) or row["tolerance"] in ("exact", "range"):
            assert ours == theirs, told
        else:
            assert abs(ours - theirs) <= float(row["tolerance"]), told

    def _count(self, row_id):
        self.checked += 1
        self.unused.discard(row_id)


def _number_or_text(value):
    try:
        return float(value)
    except ValueError:
        return value
