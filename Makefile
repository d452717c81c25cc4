# make demo   write the example workbook and judge it
# make test   install what the tests need, and run them
# make thorough   the same checks on all their cases
# make bench  times, as ratios within one run
# make fuzz   altered books, wrong calls, plans, commands killed or on a full disk
# make lint   style and types
# make docs   the pages and data files that are built from the code
# make site   the documentation as a website, in site/
# make dist   wheel and source archive, in dist/, tried in a clean environment
# make extension  the LibreOffice extension, in dist/
# make golden  renew the example's figures that tests hold the engine to
# make pictures   the pictures of docs/pictures
# make pictures BOOK=demo/example.xlsx   every page of a book, in pictures/

PYTHON ?= python3
BIN := .venv/bin
WORKERS ?= auto
SHELL := bash
# In CI the versions that are known to pass; elsewhere the newest that fit.
CONSTRAINTS := $(if $(CI),--constraint constraints.txt)
EVERYTHING := '.[test,excel,fast,plot,docs]'
# Shows each package as pip comes to it, and what it installed.
define install
@set -o pipefail; $(BIN)/python -m pip install --disable-pip-version-check \
	$(CONSTRAINTS) $(1) | awk '/^(Collecting|Successfully)/ { print; fflush() }'
endef

.PHONY: demo test thorough bench fuzz lint docs golden site dist pictures packages extension clean

$(BIN)/python:
	@$(PYTHON) -c 'import sys; sys.exit("Python 3.11 or newer is needed; PYTHON=... names another.") if sys.version_info < (3, 11) else None'
	$(PYTHON) -m venv .venv

.venv/installed: $(BIN)/python pyproject.toml
	$(call install,--editable .)
	@touch $@

.venv/tested: $(BIN)/python pyproject.toml constraints.txt
	$(call install,--editable $(EVERYTHING))
	@touch $@

demo: .venv/installed
	@mkdir -p demo
	@$(BIN)/pennyweight new demo/example.xlsx --example --force
	@$(BIN)/pennyweight judge demo/example.xlsx
	@echo
	@echo "The workbook lies at $(CURDIR)/demo/example.xlsx"

packages:
	@sh tests/system_packages.sh

test: .venv/tested packages
	$(BIN)/python -m pytest -n $(WORKERS) --dist loadfile

thorough: .venv/tested packages
	$(BIN)/python -m pytest -n $(WORKERS) --dist loadfile -m "thorough or not thorough"

bench: .venv/tested packages
	$(BIN)/python -m tests.bench

fuzz: .venv/tested
	$(BIN)/python -m tests.fuzz
	$(BIN)/python -m tests.season.many 500 1000
	$(BIN)/python -m tests.documents.many 10000 1
	$(BIN)/python -m tests.fuzz.functions
	$(BIN)/python -m tests.fuzz.plans
	$(BIN)/python -m tests.fuzz.macros
	$(BIN)/python -m tests.fuzz kinds
	$(BIN)/python -m tests.fuzz.saves
	$(BIN)/python -m tests.fuzz.commands
	$(BIN)/python -m tests.fuzz.recalculated

lint: .venv/tested
	$(BIN)/ruff check engine tests docs
	$(BIN)/ruff format --check engine tests docs
	$(BIN)/mypy

docs: .venv/tested
	$(BIN)/python docs/build.py

site: .venv/tested
	$(BIN)/python -m sphinx --fail-on-warning --keep-going --quiet -j auto \
		-d build/site docs site

golden: .venv/tested
	$(BIN)/python -m tests.golden

pictures: .venv/tested packages
	$(BIN)/python -m $(if $(BOOK),tests.oracles.pictures $(BOOK) pictures,tests.docs.pictures)

dist: .venv/tested
	$(BIN)/python -m build --outdir dist
	$(BIN)/python tests/dist.py dist

extension: .venv/installed
	@mkdir -p dist
	$(BIN)/pennyweight calc build dist/pennyweight.oxt --force

clean:
	rm -rf .venv demo pictures site dist build *.egg-info engine/*.egg-info
