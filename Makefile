# Recipes of fairpull. `make demo`, `make test` and `make check` need Python 3.11 or newer and make, nothing else;
# the first run fetches what lock/ names, later runs need no network.

VENV   := .venv
PY     := $(VENV)/bin/python
PYTHON ?=
PIP    := $(PY) -m pip install --quiet --disable-pip-version-check --no-input
CODE   := $(foreach folder,src tests tools benchmarks simulations,$(if $(wildcard $(folder)/*.py $(folder)/*/*.py),$(folder)))
TESTS  ?= tests
JOBS   ?= 2

# Compiled files make every later start faster, whatever the caller's environment says.
unexport PYTHONDONTWRITEBYTECODE
# Nothing of the caller's Python may leak into ours.
unexport PYTHONPATH PYTHONHOME
# Test workers share the cores; one more thread each inside the linear algebra only makes them wait for each other.
one_thread := OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1 MKL_NUM_THREADS=1 POLARS_MAX_THREADS=2

.DEFAULT_GOAL := help
.DELETE_ON_ERROR:
.NOTPARALLEL:
.PHONY: help setup demo test check format format-check lint types imports docs docs-write simulate bench lock hooks browser postgres clean

help: ## say what can be made
	@sed -n 's/^\([a-z-]*\):.*## /  make \1: /p' Makefile

# --- set-up: each stamp is a file, so that what is installed once is not asked for again ---

$(PY):
	@sh tools/make_venv.sh $(VENV) $(PYTHON)

$(VENV)/.run: lock/run.txt | $(PY)
	@echo "installing what fairpull needs into $(VENV) (once) ..."
	@$(PIP) --no-deps --require-hashes --use-pep517 -r lock/run.txt
	@touch $@

$(VENV)/.self: pyproject.toml | $(VENV)/.run
	@$(PIP) --no-deps --no-build-isolation -e .
	@touch $@

$(VENV)/.dev: lock/dev.txt | $(VENV)/.run
	@echo "installing what tests and checks need into $(VENV) (once) ..."
	@$(PIP) --no-deps --require-hashes --use-pep517 -r lock/dev.txt
	@touch $@

setup: $(VENV)/.run $(VENV)/.dev $(VENV)/.self ## install everything, run nothing

browser:
	@sh tools/find_browser.sh

postgres:
	@sh tools/find_postgres.sh

# --- what a person wants ---

demo: $(VENV)/.run $(VENV)/.self ## make two days of raw logs and a book of them, judge it, print the verdicts
	@$(VENV)/bin/fairpull demo

test: setup browser postgres ## run every test; the runner's own line is the last one
	@$(one_thread) $(PY) -m pytest -rfEs -n $(JOBS) --dist worksteal $(TESTS)

check: format-check lint types imports docs test ## everything that must pass before a change lands

# --- the parts of check ---

format: setup ## lay the code out
	@$(PY) -m ruff format $(CODE)

format-check: setup
	@$(PY) -m ruff format --check --quiet $(CODE) || { echo "format: run 'make format'"; exit 1; }

lint: setup ## look for mistakes and over-long functions
	@$(PY) -m ruff check $(CODE)

types: setup ## check types of source, tests and tools
	@$(PY) -m mypy $(CODE)

imports: setup ## check that rooms only look down
	@$(VENV)/bin/lint-imports --no-logo

docs: setup ## stale pages fail; every command block of the docs is run
	@$(PY) -m tools.findings_page --check
	@$(PY) -m tools.commands_page --check
	@$(one_thread) $(PY) -m pytest tests/house/test_docs_run.py

docs-write: setup ## write the pages that are made from the source
	@$(PY) -m tools.findings_page
	@$(PY) -m tools.commands_page

# --- long runs, by hand ---

simulate: setup ## the full simulation of the statistics (long); writes docs/coverage.md
	@$(one_thread) $(PY) -m simulations.coverage

bench: setup ## speed as ratios in one run
	@$(PY) -m benchmarks

# --- house-keeping ---

lock: setup ## pin the newest versions that fit pyproject.toml
	@sh tools/make_lock.sh $(VENV)

hooks: setup ## let git call the recipes before each commit
	@$(PY) -m pre_commit install

clean: ## remove the environment and what was made
	rm -rf $(VENV) demo-day build dist .mypy_cache .ruff_cache .pytest_cache .import_linter_cache .hypothesis
