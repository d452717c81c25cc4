"""The example's figures as last agreed on, in golden.json.

    python -m tests.golden    renews them; the difference shows what a change has moved

The engine is held to them by `tests/test_golden.py`. A test that shows a figure of the
example takes it from here.
"""

import json
import math
from pathlib import Path

from pennyweight.model.judgement import RESULTS
from pennyweight.model.run import run

FILE = Path(__file__).with_name("golden.json")
FIGURES = ("verdict", "checks_flag", *RESULTS)


def agreed(units="us"):
    """The example's figures by name; what has no answer is None."""
    return json.loads(FILE.read_text("utf-8"))[units]


def worked_out(units="us", inputs=None):
    """The same from the engine."""
    values = run(inputs, units)
    return {name: _plain(values[name].item()) for name in FIGURES}


def _plain(value):
    return None if isinstance(value, float) and math.isnan(value) else value


if __name__ == "__main__":
    figures = {units: worked_out(units) for units in ("us", "metric")}
    FILE.write_text(json.dumps(figures, indent=2) + "\n", "utf-8")
