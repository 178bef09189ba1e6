# Two commands do everything: `make run` and `make test`.
PY := .venv/bin/python
# a module is compiled once, not by every process that is started
export PYTHONDONTWRITEBYTECODE :=
.PHONY: run test test-postgres bench bars setup setup-test lint types contracts looked-over gathered unit browser beside mutants audit ci

run: setup
	@$(PY) -m app serve --demo

setup:
	@scripts/setup run
setup-test:
	@scripts/setup test

test: setup-test
	@$(MAKE) --no-print-directory -j 2 gathered looked-over
	@logs=$$(mktemp -d); \
	$(MAKE) --no-print-directory browser >$$logs/browser 2>&1 & browser=$$!; \
	nice -n 5 $(MAKE) --no-print-directory beside; rest=$$?; \
	wait $$browser; driven=$$?; cat $$logs/*; rm -r $$logs; exit $$((rest || driven))

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
looked-over: lint contracts types
# What tests say when they fail is worked out from their text, which takes longer than to run many of them: one process
# does it for all that come after.
gathered:
	@said=$$($(PY) -m pytest --collect-only -m "not browser" 2>&1) || { echo "$$said"; exit 1; }
# What no browser drives is tested beside it, for a browser mostly waits; it leaves the processor to the browser when it
# wants it, which somebody would wait for. Three side by side, for some of them wait for other processes. What the
# browser's said comes last.
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
