# Each target sets itself up; see README.md. Quiet unless something is wrong.
.SILENT:
.DELETE_ON_ERROR:

PY ?= python3
VENV := .venv
BIN := $(VENV)/bin
READY := $(VENV)/ready
SCRIPT_TYPES := tests/web/node/node_modules/.bin/tsc
# The children of a target (tests, benchmarks) use this many processes; two cores are what we plan for.
WORKERS ?= 2
# How many times the walls of `make test` go through the laws of the layout in `make soak`.
SOAK ?= 50
# How many times a server is killed in mid-save in `make soak`.
KILLS ?= 100
# What `make bench` runs, each a module of benchmarks/; all of them run, also after a missed goal.
BENCHES ?= bench sections quick_heat transient sound options cutting boards joint programme pages load

.PHONY: help setup tools demo test soak bench lock schemas docs-pictures clean

help:
	echo "make demo           plan the invented building of examples/demo into demo-out/"
	echo "make test           lint, types, directions and tests"
	echo "make soak           the laws of the layout over many more random walls, a server killed a hundred times"
	echo "make bench          times against goals: 1,000 walls, the demo judged, and each field by itself"
	echo "make lock           resolve requirements.txt again from pyproject.toml"
	echo "make schemas        write schema/*.json again from the code"
	echo "make docs-pictures  draw the pictures of README.md and docs/ again"
	echo "make clean          remove what the other targets made"

setup: $(READY)

$(READY): requirements.txt pyproject.toml scripts/make_venv.sh
	sh scripts/make_venv.sh $(PY) $(VENV)
	touch $@

# System programs that no Python package brings; used by tests only.
tools:
	sh scripts/need_tool.sh pdftotext poppler-utils "tests read the printed sheets back"
	sh scripts/need_tool.sh initdb postgresql "the store is tested on a server of its own"
	sh scripts/need_tool.sh chromium chromium "pages are tested in a browser"
	sh scripts/need_tool.sh npm npm "the types of the browser's scripts are checked"
	test -e $(SCRIPT_TYPES) || ! command -v npm >/dev/null || npm ci --silent --prefix tests/web/node

demo: setup
	$(BIN)/innerleaf plan examples/demo/job.yaml --out demo-out --replace --workers $(WORKERS)

test: setup tools
	$(BIN)/ruff check --quiet
	$(BIN)/ruff format --check --quiet
	$(BIN)/mypy --no-error-summary
	$(BIN)/lint-imports --no-cache > $(VENV)/lint-imports.log || { cat $(VENV)/lint-imports.log; exit 1; }
	$(BIN)/pytest -n $(WORKERS)

soak: setup
	INNERLEAF_SOAK=$(SOAK) $(BIN)/pytest -n $(WORKERS) tests/layout/test_invariants.py
	INNERLEAF_KILLS=$(KILLS) $(BIN)/pytest tests/web/test_killed.py

bench: setup
	missed=0; for each in $(BENCHES); do $(BIN)/python -m benchmarks.$$each || missed=1; done; exit $$missed

lock: setup
	$(BIN)/uv pip compile --quiet pyproject.toml requirements-build.in --extra dev --python-version 3.11 \
	  --universal --generate-hashes --no-emit-index-url --no-header -o requirements.txt

schemas: setup
	$(BIN)/python scripts/write_schemas.py

docs-pictures: setup tools
	$(BIN)/python scripts/docs_pictures.py docs/img

clean:
	rm -rf $(VENV) demo-out build dist .pytest_cache .mypy_cache .ruff_cache .hypothesis .import_linter_cache
	find . -name __pycache__ -type d -prune -exec rm -rf {} +
