# make demo   a practice shift from nothing to answers      make test   everything that CI checks
PY ?= python3
BIN := .venv/bin

.PHONY: demo test check bench lock clean

demo: .venv/run.ok
	$(BIN)/edgeshift practice

test: .venv/test.ok check
	$(BIN)/python -m pytest -n 2

check: .venv/test.ok
	$(BIN)/ruff check src tests benchmarks tools
	$(BIN)/ruff format --check --quiet src tests benchmarks tools
	$(BIN)/lint-imports

bench: .venv/test.ok
	$(BIN)/python -m benchmarks

.venv/run.ok: requirements.lock pyproject.toml
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
	  --no-header --no-annotate --no-emit-index-url -q -o requirements.lock
	uv pip compile pyproject.toml --group build --group dev --group tables --universal --python-version 3.11 \
	  --generate-hashes --no-header --no-annotate --no-emit-index-url -q -o requirements-test.lock

clean:
	rm -rf .venv .pytest_cache .hypothesis .ruff_cache .import_linter_cache
