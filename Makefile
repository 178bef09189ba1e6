# Two commands do everything: `make run` and `make test`.
PY := .venv/bin/python
.PHONY: run test bench bars setup setup-test lint types contracts unit browser mutants

run: setup
	@$(PY) -m app serve --demo

setup:
	@scripts/setup run
setup-test:
	@scripts/setup test

test: setup-test lint types contracts
	@$(PY) -m pytest -n 2 --dist worksteal -m "not browser"
	@$(MAKE) --no-print-directory browser

lint:
	@.venv/bin/ruff check . && .venv/bin/ruff format --check .
types:
	@.venv/bin/mypy
contracts:
	@.venv/bin/lint-imports --no-cache
unit:
	@$(PY) -m pytest -n 2 -m "not browser and not slow"
# A browser driver keeps an event loop running in its process: each engine has processes of its own. Pages mostly wait,
# so two files are driven side by side, each against servers of its own.
browser:
	@$(PY) -m pytest -n 2 --dist loadfile tests/browser --ignore tests/browser/test_second_engine.py
	@$(PY) -m pytest tests/browser/test_second_engine.py
mutants: setup-test
	@$(PY) -m tests.mutants.run

bench: setup-test
	@$(PY) -m bench
bars: setup-test
	@$(PY) -m bars
