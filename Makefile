# Two commands do everything: `make run` and `make test`.
PY := .venv/bin/python
.PHONY: run test bench setup setup-test lint types contracts unit browser mutants

run: setup
	@$(PY) -m app serve --demo

setup:
	@scripts/setup run
setup-test:
	@scripts/setup test

test: setup-test lint types contracts
	@$(PY) -m pytest -n 2 --dist worksteal

lint:
	@.venv/bin/ruff check . && .venv/bin/ruff format --check .
types:
	@.venv/bin/mypy
contracts:
	@.venv/bin/lint-imports --no-cache
unit:
	@$(PY) -m pytest -n 2 -m "not browser and not slow"
browser:
	@$(PY) -m pytest tests/browser
mutants: setup-test
	@$(PY) -m tests.mutants.run

bench: setup-test
	@$(PY) -m bench
