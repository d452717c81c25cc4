"""The most memory that this process has held."""

import re
import resource
import sys
from pathlib import Path

UNITS = 1024 * 1024 if sys.platform == "darwin" else 1024
"""In a megabyte: the Mac tells the peak of memory in bytes, Linux in kilobytes."""


def peak_megabytes():
    """Most memory that this process has held.

    What the system counts for the process also holds its parent's before it began;
    Linux tells its own.
    """
    status = Path("/proc/self/status")
    if status.exists():
        own = re.search(r"VmHWM:\s+(\d+) kB", status.read_text())
        return int(own[1]) / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / UNITS
