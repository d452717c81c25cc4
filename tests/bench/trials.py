"""``python -m tests.bench.trials COUNT WAY``: one run, its time and memory, as JSON."""

import json
import sys
import time

from pennyweight.risk.analysis import risk
from pennyweight.risk.study import make_study

from ..memory import peak_megabytes
from ..risk.studies import by_kernel, by_numpy


def main(count, way):
    """Run once to load what is kept, then measure."""
    study = make_study()
    with {"kernel": by_kernel, "numpy": by_numpy}[way]():
        risk(study, 4096)
        began = time.perf_counter()
        found = risk(study, count)
        seconds = time.perf_counter() - began
    print(
        json.dumps(
            {
                "trials": found.trials,
                "seconds": seconds,
                "way": found.method,
                "megabytes": peak_megabytes(),
                "pays": found.figures["pays"].value,
                "error": found.figures["pays"].error,
            }
        )
    )


if __name__ == "__main__":
    main(int(sys.argv[1]), sys.argv[2])
