# Two commands do everything: `make demo` and `make test`. A fresh machine needs python3 (3.11+), pip, make, git.
SHELL := /bin/sh
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PY := $(BIN)/python
STAMP := $(VENV)/.stamps
SOURCES := $(shell find src -name '*.py' -o -name '*.toml' -o -name '*.html' -o -name '*.json')
unexport PYTHONDONTWRITEBYTECODE

.PHONY: setup setup-dev demo test quick lint benchmark docs words lock calibration clean

setup: $(STAMP)/runtime
setup-dev: $(STAMP)/dev

$(STAMP)/venv:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || \
	  { echo "Turnback needs Python 3.11 or newer; set PYTHON=path/of/python3.11 and run make again." >&2; exit 2; }
	@$(PYTHON) -m venv $(VENV) || \
	  { echo "python3 cannot make a virtual environment; install your system's python3-venv package and run make again." >&2; exit 2; }
	@mkdir -p $(STAMP) && touch $@

$(STAMP)/runtime: $(STAMP)/venv requirements.lock pyproject.toml
	$(PY) -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements.lock
	$(PY) -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation --editable .
	$(PY) -m compileall -q src $(VENV)/lib > /dev/null || true
	@touch $@

$(STAMP)/dev: $(STAMP)/runtime requirements-dev.lock
	$(PY) -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements-dev.lock
	$(PY) -m compileall -q src tests $(VENV)/lib > /dev/null || true
	@touch $@

demo: setup
	@$(BIN)/turnback brief examples/demo.toml --out out/demo

test: setup-dev
	@sh tools/chromium.sh
	@sh tools/peers.sh
	@$(PY) -m tools.oracle_data
	@$(PY) -m tools.oracle_recordings
	@find src -name '*.nb[ci]' -delete
	$(PY) -m pytest -n 2 --dist loadfile

# The inner loop leaves whole flights, commands and made pages to `make test`.
quick: setup-dev
	$(PY) -m pytest -n 2 --dist loadfile -m "not slow and not browser" --ignore=tests/flows \
	  --ignore-glob='tests/assess/test_brief_*' --ignore-glob='tests/test_cli_*' --ignore=tests/test_cli.py \
	  --ignore=tests/report/test_pseudo_language.py --ignore=tests/report/test_pdf.py --ignore=tests/report/test_page_whole.py --ignore=tests/assess/test_walk_fit.py \
	  --ignore=tests/assess/test_judge_numbers.py --ignore=tests/assess/test_falling.py --ignore=tests/studies \
	  --ignore-glob='tests/*/test_record_*' --ignore-glob='tests/assess/test_*_events*' --ignore-glob='tests/assess/test_phases*' \
	  --ignore-glob='tests/*/test_debrief_*' \
	  --ignore-glob='tests/assess/test_signs_*' --ignore-glob='tests/assess/test_told_*' --ignore-glob='tests/assess/test_learn_*' \
	  --ignore-glob='tests/assess/test_against_*' --ignore=tests/assess/test_search_area.py \
	  --ignore-glob='tests/assess/test_vibration*' --ignore-glob='tests/assess/test_link_power*' \
	  --ignore-glob='tests/assess/test_map_energy*' --ignore-glob='tests/assess/test_bearings*' --ignore=tests/assess/test_map_falls.py \
	  --ignore=tests/assess/test_pilot.py --ignore=tests/assess/test_homing_return.py --ignore=tests/assess/test_belief_copies.py \
	  --ignore=tests/physics/test_fall_properties.py \
	  --ignore=tests/base/test_kernels.py --ignore-glob='tests/readers/test_*_fuzz.py' --ignore=tests/report/test_report_fall.py \
	  --ignore=tests/test_package.py --ignore=tests/readers/test_tracks.py --ignore=tests/report/test_map_geotiff.py \
	  --ignore=tests/report/test_walk_words.py --ignore=tests/report/test_brief_schema.py

lint: setup-dev
	$(BIN)/ruff check --no-cache .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

benchmark: setup-dev
	$(PY) -m benchmarks.run

# Plans flown in a simulator of their own; rows are kept in out/calibration. About half an hour on two free cores.
calibration: setup-dev
	$(PY) -m studies.calibration.run

docs: setup-dev
	$(PY) -m sphinx -W -q -b html docs out/docs
	@echo out/docs/index.html

# The template that a translation starts from: every message that people read.
words: setup-dev
	$(PY) tools/words_template.py
	$(PY) tools/book_pages.py

# The hashes are of the public registry's files; no index address is kept.
lock: setup-dev
	$(BIN)/uv pip compile --quiet --universal --generate-hashes --no-emit-index-url --no-annotate --no-header --no-strip-extras --python-version 3.11 \
	  --extra build pyproject.toml -o requirements.lock
	$(BIN)/uv pip compile --quiet --universal --generate-hashes --no-emit-index-url --no-annotate --no-header --no-strip-extras --python-version 3.11 \
	  --all-extras -c requirements.lock pyproject.toml -o requirements-dev.lock

clean:
	rm -rf out build dist .mypy_cache .ruff_cache .pytest_cache .hypothesis docs/_build
	find src tests benchmarks -name __pycache__ -type d -prune -exec rm -rf {} +
