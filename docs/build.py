"""Build the pages that come from the code: the functions, and every line's source.

Run with ``make docs``. A test holds the pages against what this would write.
"""

import contextlib
import io
import json
import sys
from collections import defaultdict
from pathlib import Path

import pytest
from docstrings import example_call, statements

import pennyweight
from pennyweight.addins import model_blocks
from pennyweight.addins.registry import MODEL_FILE
from pennyweight.errors import CannotTrace
from pennyweight.model.inputs import INPUTS, amount
from pennyweight.model.mill_model import MODEL
from pennyweight.model.units import shown
from pennyweight.trade import function_contract_terms
from pennyweight.trade.catalogue import call_of, catalogue, sheet_formula, topic_of
from pennyweight.trade.function_contract_terms import (
    FUNCTIONS_FILE,
    contract_of,
    read_contract,
)
from pennyweight.workbook.cell_formulas import formulas_of

HERE = Path(__file__).parent
STUB = HERE.parent / "engine" / "pennyweight" / "__init__.pyi"
LABELS = ("read", "package", "derived", "memory", "practice", "built")


class Evidence:
    """Collects the evidence marks of the tests without running them."""

    def __init__(self):
        self.labels = defaultdict(set)

    def pytest_collection_finish(self, session):
        """Read every mark."""
        for item in session.items:
            for mark in item.iter_markers("evidence"):
                self.labels[mark.args[0]].add(mark.args[1])


def evidence():
    """Best label of each function, from the marks in the tests."""
    found = Evidence()
    tests = str(HERE.parent / "tests" / "trade")
    with contextlib.redirect_stdout(io.StringIO()):
        pytest.main(
            ["--collect-only", "-p", "no:cacheprovider", tests], plugins=[found]
        )
    return {
        name: min(labels, key=LABELS.index) for name, labels in found.labels.items()
    }


def functions_page(best):
    """Every trade function: signature, summary, formula, source, evidence."""
    functions = catalogue()
    counts = [sum(label == kind for label in best.values()) for kind in LABELS]
    parts = [
        "# The trade functions\n",
        "Built from the docstrings by `make docs`. `pennyweight functions NAME` prints "
        "one with its arguments and ranges.\n",
        "Best evidence behind each, counted from the tests: "
        + ", ".join(f"{k} {n}" for k, n in zip(LABELS, counts, strict=True))
        + ". *read*: inputs and answer seen in the publication; *package*: an "
        "independent library; *derived*: geometry or algebra worked in the test; "
        "*memory*: recalled from the publication; *practice*: common practice without "
        "a source; *built*: our own vector, for consistency only.\n",
    ]
    topic = ""
    for name, function in functions.items():
        if topic_of(function) != topic:
            topic = topic_of(function)
            parts.append(f"\n## {topic}\n")
        parts.append(_function(name, function, best.get(name, "none")))
    return "\n".join(parts)


def _function(name, function, label):
    terms = contract_of(function)
    try:
        text = sheet_formula(function)
        formula = f"`{text}`" if len(text) < 400 else "long; it is printed on demand"
    except CannotTrace:
        formula = "none"
    return (
        f"**{name}**`{call_of(function).removeprefix(name)}`  \n{terms.summary}  \n"
        f"Formula: {formula}  \nSource: {terms.source} Evidence: {label}.\n"
    )


def lines_page():
    """Every line of the model: label, unit, what it reads, its formula."""
    parts = [
        "# The lines of the model\n",
        "Built from the code by `make docs`. Formulas are those of the first period, "
        "in a workbook in US customary units.\n",
    ]
    sheet = section = ""
    for line in sorted(MODEL.lines.values(), key=lambda line: line.sheet):
        if line.sheet != sheet:
            sheet = line.sheet
            parts.append(f"\n## {sheet}\n")
        if line.section != section:
            section = line.section
            parts.append(f"\n### {section}\n")
        unit = shown(line.unit, "us")
        parts.append(f"**{line.label}**{', ' + unit if unit else ''}: {line.note}  ")
        if not line.entry:
            text = formulas_of(line.name)[0]
            parts.append(f"`{line.name}` `{text}`\n")
    return "\n".join(parts)


def inputs_page():
    """Every input: example, range, basis, meaning."""
    parts = [
        "# The inputs\n",
        "Built from the table of inputs by `make docs`; US customary units.\n",
    ]
    section = ""
    for name, entry in INPUTS.items():
        if entry.over and not name.endswith("_01"):
            continue
        if entry.section != section:
            section = entry.section
            parts.append(f"\n## {section}\n")
            parts.append("| input | example | allowed | meaning | basis |")
            parts.append("|---|---|---|---|---|")
        parts.append(_input(name, entry))
    return "\n".join(parts) + "\n"


def _input(name, entry):
    allowed, example = "; ".join(entry.choices), entry.example
    if entry.numeric:
        least, most = (amount(bound, entry, "us") for bound in entry.within("us"))
        allowed, example = f"{least} to {most}", amount(entry.example, entry, "us")
    label = entry.label.removesuffix(" 1") if entry.over else entry.label
    return (
        f"| {label} (`{name}`) | {example} | {allowed} | {entry.description} | "
        f"{entry.basis} ({entry.status}) |"
    )


def contracts(functions, of=statements):
    """What the docstrings of functions state, one function a line."""
    stated = {
        function.__name__: json.dumps(of(function), ensure_ascii=False)
        for function in functions
    }
    lines = ",\n".join(f'"{name}": {text}' for name, text in stated.items())
    return f"{{\n{lines}\n}}\n"


def with_example(function):
    """What a docstring states, and the first call of its examples."""
    return {**statements(function), "example": example_call(function)}


def public_names():
    """The types of the public names, for editors and type checkers."""
    modules = defaultdict(list)
    for name, module in pennyweight.PLACES.items():
        modules[module].append(name)
    for name, function in catalogue().items():
        modules[f"trade.{topic_of(function)}"].append(name)
    lines = ['"""Public names, with their types; built by make docs."""', ""]
    lines.append("from . import plots as plots")
    for module, names in sorted(modules.items()):
        inside = "".join(f"    {name} as {name},\n" for name in sorted(names))
        lines.append(f"from .{module} import (\n{inside})")
    return "\n".join([*lines, "", "__version__: str", ""])


def data_files():
    """The data that the engine reads in place of docstrings."""
    return {
        FUNCTIONS_FILE: contracts(catalogue().values(), with_example),
        MODEL_FILE: contracts(model_blocks.FUNCTIONS),
        STUB: public_names(),
    }


def pages():
    """The built pages."""
    return {
        HERE / "functions.md": functions_page(evidence()),
        HERE / "lines.md": lines_page(),
        HERE / "inputs.md": inputs_page(),
    }


def renew(built, check):
    """Write the files that are out of date, and give their names."""
    stale = [
        file
        for file, text in built.items()
        if not file.exists() or file.read_text(encoding="utf-8") != text
    ]
    for file in stale:
        if not check:
            file.write_text(built[file], encoding="utf-8")
            sys.stdout.write(f"{file.relative_to(HERE.parent)}\n")
    return [file.name for file in stale]


def main():
    """Write the files; with ``--check`` only say which are out of date."""
    check = "--check" in sys.argv
    # The pages are built with the data, which therefore comes first.
    stale = renew(data_files(), check)
    for read in (function_contract_terms._statements, read_contract, contract_of):
        read.cache_clear()
    if not (check and stale):
        stale += renew(pages(), check)
    if check:
        sys.exit(f"Out of date: {', '.join(stale)}. Run make docs." if stale else 0)


if __name__ == "__main__":
    main()
