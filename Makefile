# Two commands do everything: `make run` and `make test`.
PY := .venv/bin/python
# a module is compiled once, not by every process that is started
export PYTHONDONTWRITEBYTECODE :=
.PHONY: run test test-postgres bench bars setup setup-test lint types contracts unit browser beside mutants audit ci

run: setup
	@$(PY) -m app serve --demo

setup:
	@scripts/setup run
setup-test:
	@scripts/setup test

test: setup-test lint contracts
	@logs=$$(mktemp -d); \
	nice -n 5 $(MAKE) --no-print-directory types >$$logs/types 2>&1 & types=$$!; \
	$(MAKE) --no-print-directory browser >$$logs/browser 2>&1 & browser=$$!; \
	nice -n 5 $(MAKE) --no-print-directory beside; rest=$$?; \
	wait $$types; typed=$$?; wait $$browser; driven=$$?; \
	cat $$logs/*; rm -r $$logs; exit $$((rest || typed || driven))

# the tests that touch the database, on a PostgreSQL server that is started for them and stopped again
test-postgres: setup-test
	@$(PY) -m tests.postgres_server -n 2 --dist worksteal -m "not browser" $(ON_POSTGRES)
ON_POSTGRES := tests/db tests/services tests/web tests/worker tests/commands tests/releases tests/seed_demo tests/security

lint:
	@.venv/bin/ruff check . && .venv/bin/ruff format --check .
types:
	@.venv/bin/mypy
contracts:
	@.venv/bin/lint-imports --no-cache
# What no browser drives is tested beside it, for a browser mostly waits, and types are looked at; both leave the
# processor to the browser when it wants it, which somebody would wait for. Three side by side, for some of them wait for
# other processes. What those said comes last.
beside:
	@$(PY) -m pytest -n 3 --dist worksteal -m "not browser"
unit:
	@$(PY) -m pytest -n 2 -m "not browser and not slow"
# A browser driver keeps an event loop running in its process: each engine has processes of its own. Pages mostly wait,
# so two files are driven side by side, each against servers of its own.
browser:
	@$(PY) -m pytest -n 2 --dist loadfile tests/browser --ignore tests/browser/test_second_engine.py
	@$(PY) -m pytest tests/browser/test_second_engine.py
mutants: setup-test
	@$(PY) -m tests.mutants.run

# what a build server runs: the tests, then advisories of every locked package (said, and no failure, without a network)
ci: test audit
audit: setup-test
	@$(PY) -m tests.security.audit

bench: setup-test
	@$(PY) -m bench
bars: setup-test
	@$(PY) -m bars
