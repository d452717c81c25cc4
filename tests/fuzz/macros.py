"""Every macro function, called wrongly: ``python -m tests.fuzz.macros``."""

import sys

from ..addins.calc_office import CalcOffice
from ..addins.test_vba_functions import refused_alike, vba_functions


def main(size=30):
    """Hold all bad calls to the engine, some functions at a time; give their number."""
    office, names = CalcOffice(extension=False), list(vba_functions())
    try:
        return sum(
            refused_alike(office, names[start : start + size])
            for start in range(0, len(names), size)
        )
    finally:
        office.end()


if __name__ == "__main__":
    sys.stdout.write(f"{main():,} calls refused or answered alike\n")
