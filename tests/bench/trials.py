"""``python -m tests.bench.trials COUNT WAY``: one run, its time and memory, as JSON."""

import json
import re
import resource
import sys
import time
from pathlib import Path

from pennyweight.chance.risk import risk
from pennyweight.chance.study import make_study


def peak_megabytes():
    """Most memory that this process has held.

    What the system counts for the process also holds its parent's before it began;
    Linux tells its own.
    """
    status = Path("/proc/self/status")
    if status.exists():
        own = re.search(r"VmHWM:\s+(\d+) kB", status.read_text())
        return int(own[1]) / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def main(count, way):
    """Run once to load what is kept, then measure."""
    study = make_study()
    risk(study, 4096, way=way)
    began = time.perf_counter()
    found = risk(study, count, way=way)
    seconds = time.perf_counter() - began
    print(
        json.dumps(
            {
                "trials": found.trials,
                "seconds": seconds,
                "way": found.way,
                "megabytes": peak_megabytes(),
                "pays": found.figures["pays"].value,
                "error": found.figures["pays"].error,
            }
        )
    )


if __name__ == "__main__":
    main(int(sys.argv[1]), sys.argv[2])
