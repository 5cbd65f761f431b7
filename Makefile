# make demo   a practice shift from nothing to answers      make test   everything that CI checks
# The first of these that runs and is new enough; PY=/path/to/python3.12 chooses another.
ENOUGH := -c 'import sys; sys.exit(sys.version_info < (3, 11))'
ifndef PY
PY := $(shell for name in python3 python3.13 python3.12 python3.11; do \
  $$name $(ENOUGH) 2>/dev/null && echo $$name && break; done)
endif
BIN := .venv/bin

.PHONY: demo test check bench docs lock clean

demo: .venv/run.ok
	$(BIN)/edgeshift practice

test: .venv/test.ok check
	$(BIN)/python -m pytest -n 2

check: .venv/test.ok
	$(BIN)/ruff check src tests benchmarks tools
	$(BIN)/ruff format --check --quiet src tests benchmarks tools
	$(BIN)/lint-imports

bench: .venv/test.ok
	$(BIN)/python -m benchmarks all

# The look-up pages, the pictures and the outputs shown in the docs, all written anew by the tool itself.
docs: .venv/test.ok
	$(BIN)/python tools/make_pages.py

.venv/run.ok: requirements.lock pyproject.toml
	@test -n "$(PY)" || { echo "edgeshift needs Python 3.11 or newer and found none. Say where: make PY=..." >&2; exit 1; }
	test -x $(BIN)/python || $(PY) -m venv .venv
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements.lock
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation -e .
	touch $@

.venv/test.ok: requirements-test.lock .venv/run.ok
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements-test.lock
	touch $@

# Names, versions and hashes only; no address of any registry.
lock:
	uv pip compile pyproject.toml --group build --universal --python-version 3.11 --generate-hashes \
	  --no-header --no-annotate -q -o requirements.lock
	uv pip compile pyproject.toml --group build --group dev --group maps --group tables --universal \
	  --python-version 3.11 --generate-hashes --no-header --no-annotate -q -o requirements-test.lock

clean:
	rm -rf .venv .pytest_cache .hypothesis .ruff_cache .import_linter_cache
