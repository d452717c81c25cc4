# make demo   write the example workbook and judge it
# make test   install what the tests need, and run them all
# make bench  times, as ratios within one run
# make fuzz   thousands of altered books, inspected
# make lint   style
# make docs   the pages that are built from the code
# make extension  the LibreOffice extension, in dist/
# make pictures BOOK=demo/example.xlsx   every sheet as a picture, in pictures/

PYTHON ?= python3
BIN := .venv/bin
WORKERS ?= auto

.PHONY: demo test bench fuzz lint docs pictures packages extension clean

$(BIN)/python:
	@$(PYTHON) -c 'import sys; sys.exit("Python 3.11 or newer is needed; PYTHON=... names another.") if sys.version_info < (3, 11) else None'
	$(PYTHON) -m venv .venv

.venv/installed: $(BIN)/python pyproject.toml
	$(BIN)/python -m pip install --quiet --editable .
	@touch $@

.venv/tested: $(BIN)/python pyproject.toml
	$(BIN)/python -m pip install --quiet --editable '.[test,excel,fast]'
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
	$(BIN)/python -m pytest -n $(WORKERS) --dist worksteal

bench: .venv/tested packages
	$(BIN)/python -m tests.bench

fuzz: .venv/tested
	$(BIN)/python -m tests.fuzz

lint: .venv/tested
	$(BIN)/ruff check engine tests
	$(BIN)/ruff format --check engine tests

docs: .venv/tested
	$(BIN)/python docs/build.py

pictures: .venv/tested packages
	$(BIN)/python -m tests.oracles.pictures $(BOOK) pictures

extension: .venv/installed
	@mkdir -p dist
	$(BIN)/pennyweight calc build dist/pennyweight.oxt --force

clean:
	rm -rf .venv demo pictures build *.egg-info engine/*.egg-info
