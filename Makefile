# All that is needed: make, and Python 3.11 or newer. Everything is made inside this folder.

SHELL := /bin/bash
.SHELLFLAGS := -eu -o pipefail -c
.DELETE_ON_ERROR:
.SUFFIXES:
MAKEFLAGS += --no-builtin-rules --no-print-directory
.DEFAULT_GOAL := help

# The first of these that is new enough; another: make site PYTHON=/path/to/python3.12
CANDIDATES := python3 python3.13 python3.12 python3.11 python3.14 python
ifndef PYTHON
PYTHON := $(shell for name in $(CANDIDATES); do \
  "$$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null && echo "$$name" && break; done)
endif

VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip --disable-pip-version-check --no-input -qq

# Material prints a notice about another program's plans on every run; DEVELOPERS.md has ours.
export NO_MKDOCS_2_WARNING := 1

.PHONY: help site test check search mutants fuzz generate serve bench lock clean

help:
	@echo 'make site    proof the build log, then build it into site/'
	@echo 'make test    all tests, lint and types'
	@echo 'make check   lint, types and the quick tests: no browser, nothing slow (under a minute)'
	@echo 'make generate  write what is made from the code: manual pages, schemas, the table of floors'
	@echo 'make search  the properties of the tests with many new random examples (some minutes)'
	@echo 'make mutants changes the code a little and tells what no test notices (SEED=7 SIZE=40 AREA=physics)'
	@echo 'make fuzz    look for texts that break a reader, guided by the code they reach (some minutes)'
	@echo "             (make fuzz FUZZ='--seconds 3600 --keep page' searches one for longer and keeps what it learns)"
	@echo 'make serve   show the build log in a browser while you write it'
	@echo 'make bench   how long things take, as ratios of one run, and the page of it (hours, or EPISODES="20 100")'
	@echo 'make lock    work the locks out anew after a change to pyproject.toml'
	@echo '             (make lock UPGRADE=--upgrade takes the newest versions)'
	@echo 'make clean   remove all that was made, the environment too'

# --- the environment ---------------------------------------------------------------
# Made when it is missing, when a lock has changed, or when the folder has been moved.

ifneq ($(shell cat $(VENV)/.home 2>/dev/null),$(CURDIR))
$(VENV)/.locked: FORCE
endif

$(VENV)/.locked: requirements-build.lock requirements.lock
	@if [ -z '$(PYTHON)' ] || ! $(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then \
	  echo 'Python 3.11 or newer is needed and was not found (tried: $(or $(PYTHON),$(CANDIDATES))).' >&2; \
	  echo 'Name one: make $(firstword $(MAKECMDGOALS)) PYTHON=/path/to/python3.11' >&2; exit 1; fi
	@if ! $(PYTHON) -c 'import ensurepip, venv' 2>/dev/null; then \
	  echo '$(PYTHON) has no venv module; on Debian and Ubuntu: apt-get install python3-venv' >&2; exit 1; fi
	@echo 'Preparing $(VENV) with '"$$($(PYTHON) --version)"' (half a minute, once) …'
	@rm -f $(VENV)/.ready
	@grep -qxF '$(CURDIR)' $(VENV)/.home 2>/dev/null && $(BIN)/python -m pip --version >/dev/null 2>&1 || { \
	  $(PYTHON) -m venv --clear $(VENV); echo '$(CURDIR)' > $(VENV)/.home; }
	@$(PIP) install --require-hashes -r requirements-build.lock
	@$(PIP) install --require-hashes --no-build-isolation --use-pep517 -r requirements.lock
	@touch $@

# The plugin first: where an older one had both packages, replacing it takes away what the other brings.
$(VENV)/.ready: $(VENV)/.locked pyproject.toml plugins/pyproject.toml
	@$(PIP) install --no-deps --no-build-isolation -e plugins
	@$(PIP) install --no-deps --no-build-isolation -e .
	@touch $@

.PHONY: FORCE
FORCE:

# --- the work ----------------------------------------------------------------------

site: $(VENV)/.ready
	@$(BIN)/python -m buildlog.cli proof
	@$(BIN)/python -m mkdocs build --quiet --clean --strict
	@echo 'The site is in $(CURDIR)/site. To read it: make serve, then open the address it prints.'

# As many processes as there are cores take the test files in turn; conftest.py puts those of minutes first.
PYTEST = $(BIN)/python -m pytest -n auto --dist loadfile --no-loadscope-reorder

# Every check runs even when an earlier one has failed, so that one run tells all.
test: $(VENV)/.ready
	@failed=; \
	$(BIN)/python -m ruff check --quiet . || failed="$$failed lint"; \
	$(BIN)/python -m ruff format --quiet --check . || failed="$$failed format"; \
	$(BIN)/python -m mypy || failed="$$failed types"; \
	$(PYTEST) || failed="$$failed tests"; \
	if [ -n "$$failed" ]; then echo "Failed:$$failed" >&2; exit 1; fi

# Never part of test, which fails for what was changed and not by chance: what is found here becomes an @example.
search: $(VENV)/.ready
	@BUILDLOG_SEARCH=1 $(BIN)/python -m pytest -m 'hypothesis and not bench'

# For one who writes tests: never part of test, since what is told wants a look. The first run takes long.
mutants: $(VENV)/.ready
	@nice -n 10 $(BIN)/python -m tests.mutants.run --seed $(or $(SEED),1) --size $(or $(SIZE),20) $(AREA:%=--area %) $(if $(NEAR),--near)

# atheris is libFuzzer for Python: made for Linux alone, and no one version is for all our Pythons. So it is in
# no lock and has a folder of its own. What breaks a reader is written where `make test` tries it again.
ATHERIS := .cache/fuzz/packages

fuzz: $(VENV)/.ready
	@PYTHONPATH=$(ATHERIS) $(BIN)/python -c 'import atheris' 2>/dev/null || { \
	  rm -rf $(ATHERIS) && $(PIP) install --target $(ATHERIS) 'atheris>=3'; }
	@PYTHONPATH=$(ATHERIS) $(BIN)/python -m tests.fuzz.run $(FUZZ)

# What to run while working: a failing test is fixed soonest by who has just broken it.
check: $(VENV)/.ready
	@failed=; \
	$(BIN)/python -m ruff check --quiet . || failed="$$failed lint"; \
	$(BIN)/python -m ruff format --quiet --check . || failed="$$failed format"; \
	$(BIN)/python -m mypy || failed="$$failed types"; \
	BUILDLOG_QUICK=1 $(PYTEST) -m 'not bench and not browser and not slow' || failed="$$failed tests"; \
	if [ -n "$$failed" ]; then echo "Failed:$$failed" >&2; exit 1; fi

generate: $(VENV)/.ready
	@$(BIN)/python -m tests.generated

serve: $(VENV)/.ready
	@$(BIN)/python -m mkdocs serve

# Never part of test: times say nothing about whether the code is right.
bench: $(VENV)/.ready
	@$(BIN)/python -W ignore -m tests.bench.run
	@$(BIN)/python -m tests.bench.growth $(if $(EPISODES),--episodes $(EPISODES))
	@$(BIN)/python -m pytest -m bench || echo 'A bound was missed. On a machine that has other work to do, that says little.'

# pip-tools has an environment of its own: nothing here depends on it.
COMPILE = $(LOCK_BIN)/python -m piptools compile --quiet --generate-hashes --strip-extras --allow-unsafe \
  --no-emit-index-url --no-emit-find-links --no-emit-trusted-host --cache-dir .cache/lock/cache $(UPGRADE)
LOCK_BIN := .cache/lock/venv/bin

lock: export CUSTOM_COMPILE_COMMAND := make lock
lock:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info[:2] != (3, 11))' || { \
	  echo 'The locks are made with Python 3.11, the oldest we run on: make lock PYTHON=python3.11' >&2; exit 1; }
	@[ -x $(LOCK_BIN)/pip-compile ] || { $(PYTHON) -m venv --clear .cache/lock/venv && \
	  $(LOCK_BIN)/python -m pip --disable-pip-version-check --no-input -qq install 'pip-tools>=7.5'; }
	@$(COMPILE) --only-build-deps --build-deps-for editable -o requirements-build.lock pyproject.toml
	@grep -v '"buildlog-proof' plugins/pyproject.toml > .cache/lock/pyproject.toml
	@$(COMPILE) --extra pages --extra test --extra dev -o requirements.lock pyproject.toml .cache/lock/pyproject.toml

clean:
	@rm -rf $(VENV) .cache site build dist *.egg-info plugins/build plugins/*.egg-info .pytest_cache .mypy_cache .ruff_cache .hypothesis
	@find buildlog plugins tests -name __pycache__ -type d -prune -exec rm -rf {} +
