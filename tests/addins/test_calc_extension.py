"""The extension file, its installer and its doctor, without LibreOffice."""

import io
import json
import re
import shutil
import stat
import subprocess
import sys
import zipfile
from functools import partial
from pathlib import Path
from types import SimpleNamespace
from xml.etree import ElementTree

import pytest

from pennyweight import operating_cost_per_ton
from pennyweight.addins import sheet_jobs
from pennyweight.addins.calc import doctor, install, server
from pennyweight.addins.calc.extension import (
    BUTTONS,
    category,
    extension_bytes,
    methods,
)
from pennyweight.addins.calc.type_library import type_library
from pennyweight.addins.registry import registry
from pennyweight.errors import CallError, WorkbookError
from tests.addins.examples import at_estimates
from tests.books import book_at
from tests.commands import pennyweight

COMPILER = Path("/usr/lib/libreoffice/sdk/bin/unoidl-write")
TYPES = Path("/usr/lib/libreoffice/program/types.rdb")
OOR = "{http://openoffice.org/2001/registry}"


@pytest.fixture(autouse=True)
def own_home(tmp_path, monkeypatch):
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    monkeypatch.delenv("PENNYWEIGHT_PYTHON", raising=False)
    monkeypatch.setenv("PENNYWEIGHT_LOG", str(tmp_path / "reasons.log"))
    return tmp_path


def test_the_same_bytes_every_time():
    assert extension_bytes() == extension_bytes()


def test_every_part_is_named_in_the_manifest():
    with zipfile.ZipFile(io.BytesIO(extension_bytes())) as package:
        manifest = package.read("META-INF/manifest.xml").decode()
        named = set(re.findall(r'full-path="([^"]+)"', manifest))
        assert named == set(package.namelist()) - {
            "META-INF/manifest.xml",
            "description.xml",
        }
        for name in package.namelist():
            if name.endswith((".xml", ".xcu")):
                ElementTree.fromstring(package.read(name))


def test_descriptions_name_every_method_and_argument():
    with zipfile.ZipFile(io.BytesIO(extension_bytes())) as package:
        tree = ElementTree.fromstring(package.read("CalcAddIn.xcu"))
    functions = tree.find(f".//*[@{OOR}name='AddInFunctions']")
    assert [node.get(f"{OOR}name") for node in functions] == list(methods())
    for node, (_, arguments) in zip(functions, methods().items(), strict=True):
        inner = node.find(f"*[@{OOR}name='Parameters']")
        assert [item.get(f"{OOR}name") for item in inner] == [n for n, _ in arguments]


def test_type_library_is_what_the_compiler_makes(tmp_path):
    if not COMPILER.exists():
        pytest.skip("unoidl-write is missing: install libreoffice-dev to compare.")
    body = "\n".join(
        f"  sequence< sequence<any> > {name}({', '.join(map(declared, arguments))});"
        for name, arguments in methods().items()
    )
    source, made = tmp_path / "f.idl", tmp_path / "f.rdb"
    head = "interface XFunctions : com::sun::star::uno::XInterface {"
    source.write_text(f"module dwt {{ {head}\n{body}\n}};\n}};\n")
    subprocess.run([COMPILER, TYPES, source, made], check=True)
    compiled = made.read_bytes()
    comment = re.search(rb"\0(\*\* Created [^\0]*)\0", compiled)[1].decode()
    assert type_library("dwt", "XFunctions", methods(), comment) == compiled


def declared(argument):
    name, kind = argument
    return f"[in] {'any' if kind == 'any' else 'sequence< sequence<any> >'} {name}"


def test_type_library_is_what_the_compiler_once_made():
    """Kept from unoidl-write of LibreOffice 7.4.7, for where it is not installed."""
    sample = {"A": [("a1", "[][]any"), ("a2", "any")], "BC": []}
    comment = "** Created by LibreOffice 7.4.7.2 unoidl-write **"
    kept = Path(__file__).with_name("golden") / "sample.rdb"
    assert type_library("dwt", "XFunctions", sample, comment) == kept.read_bytes()


def test_the_server_keeps_kinds_apart():
    question = [
        "BOND_ENERGY",
        [[[14.0], [None], ["x"], [{"error": "#DIV/0!"}]], [[2000.0]], [[100.0]]],
    ]
    found = server.reply(json.dumps(question))
    assert found[1:] == [
        [{"error": "#N/A"}],
        [{"error": "#VALUE!"}],
        [{"error": "#DIV/0!"}],
    ]
    assert found[0][0] > 10


def test_a_single_blank_word_counts_as_left_out():
    given = [[[1.2]], [[2.4]], [[0.35]], [[0.7]], [[0.0]], [[0.0]], [[0.0]]]
    found = server.reply(json.dumps(["MILL_POWER", given]))
    left_out = server.reply(json.dumps(["MILL_POWER", [*given[:4], None, None, None]]))
    assert found == left_out


COST = (30.0, 0.2, 6.0, 0.0, 32.0, 1.5, 9000.0, 200.0)
"""Arguments of the operating cost; the crew is blank."""


@pytest.mark.parametrize(
    ("question", "blank"),
    [
        (["JUDGE", [["crew"]], [[0.0]], None, None], "crew"),
        (["JUDGE", [["wage"]], [[0.0]], [["margin_per_ton"]], None], "wage"),
        (["TURNING", [["wage"]], [[0.0]], None], "wage"),
        (["MARGIN_TABLE", [[3000.0]], [[None]], None, None, None, None], "ore_grade"),
        (["SETTLED_ASSAY", [[0.3]], [[0.4]], [[0.05]], [[0.0]], None], "umpire"),
        (["OPERATING_COST_PER_TON", *[[[n]] for n in COST], None], "crew"),
        (["TWO_INPUTS", [["wage"]], [[0.0]], [["crew"]], [[2.0]], *[None] * 4], "wage"),
        (["SCALED_COST", [[1e6]], [[10.0]], [[20.0]], [[0.0]], None], "exponent"),
    ],
)
def test_a_single_blank_number_is_not_zero(question, blank):
    name, *given = question
    assert server.reply(json.dumps([name, given])) == [[{"error": "#N/A"}]]
    ((said,),) = server.reply(json.dumps(["REASON", [None]]))
    assert f"{blank} is blank" in said


def test_jobs_of_the_toolbar_say_what_is_wrong(tmp_path):
    path = str(book_at(tmp_path / "claim.xlsx"))
    for given, said in (
        (["job quote", [path, ""]], "No file was chosen"),
        (["job compare", [path, ""]], "No other workbook was chosen"),
        (["job judge", [str(tmp_path / "none.xlsx"), ""]], "none.xlsx"),
    ):
        assert said in server.reply(json.dumps(given))["said"]
    found = server.reply(json.dumps(["job judge", [path, ""]]))
    assert found["said"] == "Pays. See the sheet Judgement."
    assert ["Verdict", "pays"] in found["rows"]
    found = []
    lines = [json.dumps(["job judge", [str(tmp_path / "none.xlsx"), ""]]).encode()]
    server.main(lines, SimpleNamespace(write=found.append, flush=lambda: None))
    assert "said" in json.loads(found[0])


def test_the_toolbar_and_its_handler_fit():
    with zipfile.ZipFile(io.BytesIO(extension_bytes())) as package:
        bar = ElementTree.fromstring(package.read("Addons.xcu"))
        handler = package.read("ProtocolHandler.xcu").decode()
        ElementTree.fromstring(handler)
        component = package.read("component.py").decode()
        manifest = package.read("META-INF/manifest.xml").decode()
        parts = set(package.namelist()) - {"META-INF/manifest.xml", "description.xml"}
    assert all(f'full-path="{name}"' in manifest for name in parts)
    addresses = [v.text for v in bar.iter("value") if (v.text or "").startswith("vnd.")]
    assert addresses == [f"vnd.pennyweight:{job}" for job in BUTTONS]
    assert BUTTONS.keys() == sheet_jobs.JOBS.keys() | {"renew"}
    assert (
        "vnd.pennyweight:*" in handler and 'PROTOCOL = "vnd.pennyweight:"' in component
    )


def test_zero_is_said_by_its_text():
    given = [[[n]] for n in COST]
    given[3] = [["0"]]
    ((cost,),) = server.reply(json.dumps(["OPERATING_COST_PER_TON", [*given, None]]))
    assert cost == operating_cost_per_ton(*COST)


def test_zero_in_a_range_is_zero():
    given = [[["royalty_rate"], [None]], [[0.0], [None]], [["margin_per_ton"]], None]
    ((margin,),) = server.reply(json.dumps(["JUDGE", given]))
    assert margin == at_estimates({"royalty_rate": 0.0})["margin_per_ton"]


def test_the_server_answers_line_by_line():
    lines = [b'["VERSION", []]', b'["FINE_GOLD", [[[100.0]], [[900.0]]]]']
    answers = io.BytesIO()
    server.main(lines, answers)
    first, second = answers.getvalue().splitlines()
    assert json.loads(second) == [[90.0]]
    assert isinstance(json.loads(first)[0][0], str)


def test_every_function_is_within_reach_of_the_server():
    for name in methods():
        assert f"DWT_{name}" in registry()


def program(folder, body):
    """A stand-in for LibreOffice's installer of extensions."""
    path = folder / "unopkg"
    path.write_text(f"#!{sys.executable}\nimport sys\n{body}\n")
    path.chmod(path.stat().st_mode | stat.S_IEXEC)
    return path


@pytest.mark.parametrize(("root", "everybody"), [(False, False), (True, True)])
def test_install_hands_the_extension_over(own_home, monkeypatch, root, everybody):
    monkeypatch.setattr(install, "is_root", lambda: root)
    told = own_home / "told"
    path = program(own_home, f"open({str(told)!r}, 'w').write(' '.join(sys.argv[1:]))")
    monkeypatch.setenv("PENNYWEIGHT_UNOPKG", str(path))
    said = install.install(everybody)
    order = told.read_text().split()
    assert order[0] == "add"
    assert ("--shared" in order) == everybody
    assert zipfile.is_zipfile(order[-1])
    assert install.remembered() == sys.executable
    assert "Restart" in said[1]


def test_root_touches_other_users_only_when_asked(own_home, monkeypatch):
    monkeypatch.setattr(install, "is_root", lambda: True)
    for call in (install.install, install.uninstall):
        with pytest.raises(CallError, match="--everybody"):
            call()
    assert not (own_home / ".pennyweight").exists()


@pytest.mark.parametrize(
    ("body", "first"),
    [
        ("", "Removed from LibreOffice."),
        ("sys.exit('There is no such extension deployed')", "It was not installed."),
    ],
)
def test_uninstall_leaves_nothing(own_home, monkeypatch, body, first):
    monkeypatch.setattr(install, "is_root", lambda: False)
    monkeypatch.setenv("PENNYWEIGHT_UNOPKG", str(program(own_home, body)))
    install.install() if not body else install.remember()
    assert install.uninstall()[0] == first
    assert install.remembered() is None
    assert not list((own_home / ".pennyweight").iterdir())


def test_a_removal_that_fails_is_reported(own_home, monkeypatch):
    path = program(own_home, "sys.exit('LibreOffice is running')")
    monkeypatch.setenv("PENNYWEIGHT_UNOPKG", str(path))
    with pytest.raises(WorkbookError, match=r"is running[\s\S]*Close LibreOffice"):
        install.uninstall(True)


def test_categories_are_those_that_libreoffice_knows():
    known = {"Financial", "Statistical", "Technical", "Add-In"}
    assert {category(entry) for entry in registry().values()} == known
    assert category(registry()["DWT_NET_PRESENT_VALUE"]) == "Financial"
    assert category(registry()["DWT_POWER_DRAWN"]) == "Technical"


def test_a_refusal_is_reported_with_the_other_way(own_home, monkeypatch):
    monkeypatch.setattr(install, "is_root", lambda: False)
    path = program(own_home, "sys.exit('busy')")
    monkeypatch.setenv("PENNYWEIGHT_UNOPKG", str(path))
    with pytest.raises(WorkbookError, match=r"busy[\s\S]*Tools, Extensions, Add"):
        install.install()


def test_no_libreoffice(own_home, monkeypatch):
    monkeypatch.setattr(install, "is_root", lambda: False)
    monkeypatch.setattr(install, "unopkg", lambda: None)
    with pytest.raises(WorkbookError, match="was not found"):
        install.install()
    states = {found.what: found.state for found in doctor.examine()}
    assert states["LibreOffice"] == "error"


def test_doctor_finds_no_fault(own_home, monkeypatch):
    path = program(own_home, "print('Identifier: pennyweight.functions')")
    (own_home / "pythonloader.py").write_text("")
    monkeypatch.setenv("PENNYWEIGHT_UNOPKG", str(path))
    install.remember()
    assert {found.state for found in doctor.examine()} == {"ok"}


def test_doctor_names_each_fault(own_home, monkeypatch):
    monkeypatch.setattr(doctor, "SYSTEM_PLACES", ())
    box = own_home / "flatpak"
    box.mkdir()
    monkeypatch.setenv("PENNYWEIGHT_UNOPKG", str(program(box, "print('none')")))
    found = {item.what: item for item in doctor.examine()}
    assert {item.state for item in found.values()} == {"error"}
    assert "sandboxed" in found["LibreOffice"].message
    assert "calc install" in found["Extension"].fix
    install.remember("/nowhere/python")
    assert "not there any more" in doctor.examine()[-1].message
    bare = shutil.which("python3", path="/usr/bin")
    if bare:
        monkeypatch.setattr(doctor, "QUESTION", "import nothing_of_the_kind")
        install.remember(bare)
        assert "nothing_of_the_kind" in doctor.examine()[-1].message


def test_build_command(own_home):
    build = partial(pennyweight, "calc", "build", cwd=own_home)
    assert build("a.oxt").returncode == 0
    assert (own_home / "a.oxt").read_bytes() == extension_bytes()
    assert build("a.oxt").returncode == 2
    assert build("a.zip").returncode == 2
