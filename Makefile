# Everything a fresh clone needs: `make demo` and `make test` set themselves up first, once.

VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/.ready
LOCK := requirements/lock.txt

# The first Python that is new enough; PYTHON=/path/to/python on the command line chooses another.
NEW_ENOUGH := import sys; sys.exit(sys.version_info < (3, 11))
ifndef PYTHON
PYTHON := $(shell for python in python3 python3.13 python3.12 python3.11 python; do \
	if $$python -c '$(NEW_ENOUGH)' >/dev/null 2>&1; then echo $$python; break; fi; done)
endif

.DEFAULT_GOAL := help
PACKS := $(addprefix examples/packs/,half-wave.toml centre-tap.toml bridge.toml bridge-with-choke.toml \
	bridge-with-regulator.toml dual-rail.toml full-wave-doubler.toml half-wave-doubler.toml)

.PHONY: help setup demo packs test test-long lint lock clean

help: ## what can be asked for
	@sed -n 's/^\([a-z-]*\):.*## /  make \1	/p' Makefile

setup: $(READY) ## Python environment in .venv (the others do this by themselves)

$(READY): $(LOCK) pyproject.toml
	@if [ -z "$(PYTHON)" ] || ! $(PYTHON) -c '$(NEW_ENOUGH)' >/dev/null 2>&1; then \
		echo "railwright needs Python 3.11 or later, which is not here: install it (Debian, Ubuntu: sudo apt-get install python3 python3-venv)." >&2; exit 1; fi
	@if ! $(PYTHON) -c 'import venv, ensurepip' >/dev/null 2>&1; then \
		echo "$(PYTHON) has no venv module with pip in it: install it (Debian, Ubuntu: sudo apt-get install python3-venv)." >&2; exit 1; fi
	@if [ ! -x $(BIN)/python ] || ! $(BIN)/python -c '$(NEW_ENOUGH); import pip' >/dev/null 2>&1; then \
		echo "Making $(VENV) with $$($(PYTHON) --version) ..."; $(PYTHON) -m venv --clear $(VENV); fi
	@echo "Installing the packages of $(LOCK) ..."
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes --only-binary :all: -r $(LOCK) || \
		{ echo "The packages could not be installed (pip says why above): look at the network connection, then run make again." >&2; exit 1; }
	@$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation --editable .
	@touch $(READY)

demo: $(READY) ## readings of two harbour supplies, and their pictures in demo/
	@mkdir -p demo
	@for name in signal-lamp beacon-receiver; do \
		$(BIN)/railwright solve examples/supplies/$$name.toml || exit 1; \
		$(BIN)/railwright figure examples/supplies/$$name.toml board -o demo/$$name.svg || exit 1; \
		$(BIN)/railwright figure examples/supplies/$$name.toml board -o demo/$$name.png || exit 1; \
		echo; done
	@echo "The pictures are in demo/: signal-lamp and beacon-receiver, each as .svg (any browser) and .png."

packs: $(READY) ## lesson packs of the eight standard circuits, for UK and US courses, in packs/
	@$(BIN)/railwright packs $(PACKS) -o packs

lint: $(READY) ## style, types and the order of the house
	$(BIN)/ruff check .
	$(BIN)/mypy
	$(BIN)/lint-imports --no-cache

test: lint ## everything but the long tests
	$(BIN)/python -m pytest -n 2 -m "not long"

test-long: $(READY) ## the long tests
	@$(BIN)/python -m pytest -n 2 -m long; status=$$?; \
		if [ $$status -eq 5 ]; then echo "There are no long tests yet."; else exit $$status; fi

lock: ## pin the newest versions, with hashes, for every Python from 3.11 on
	@command -v uv >/dev/null || { echo "uv is not here: install it (pip install uv)." >&2; exit 1; }
	uv pip compile pyproject.toml --extra all --extra test --universal --python-version 3.11 --upgrade --quiet \
		--generate-hashes --no-emit-index-url --no-emit-find-links --no-header --no-annotate --output-file $(LOCK)

clean: ## remove what was made, the environment too
	rm -rf $(VENV) demo build dist .mypy_cache .pytest_cache .ruff_cache .hypothesis .import_linter_cache
