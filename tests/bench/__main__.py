"""``python -m tests.bench``: every measurement, as ratios within this one run."""

import importlib

for part in ("processes", "scenarios", "addins", "sharing"):
    try:
        module = importlib.import_module(f"tests.bench.{part}")
    except ModuleNotFoundError:
        continue
    print(f"\n{module.__doc__.splitlines()[0]}\n")
    module.report()
