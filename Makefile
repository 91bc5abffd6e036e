# Bathbook on a fresh machine: Python 3.11 or newer, make and (on Debian) apt are all it needs.
SHELL := /bin/bash
PYTHON ?= python3
BIN := .venv/bin
DEMO := .demo
ADDRESS ?= 127.0.0.1:8000
export BATHBOOK_DEBUG ?= on
export OPENBLAS_NUM_THREADS ?= 1

LIBRARIES := libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0
TEST_TOOLS := chromium poppler-utils postgresql

.PHONY: demo demo-reset demo-data test lint types unit unit-postgresql bench install install-test clean

# Install Debian packages only where they are missing, as root or through sudo.
define debian
	@missing=(); for each in $(1); do dpkg -s $$each >/dev/null 2>&1 || missing+=($$each); done; \
	if [ $${#missing[@]} -gt 0 ]; then \
	  command -v apt-get >/dev/null || { echo "Please install: $${missing[*]}"; exit 1; }; \
	  as_root=; [ "$$(id -u)" = 0 ] || as_root=sudo; \
	  $$as_root apt-get update -q && DEBIAN_FRONTEND=noninteractive $$as_root apt-get install -q -y --no-install-recommends "$${missing[@]}"; \
	fi
endef

.venv/run: pyproject.toml constraints.txt
	test -x $(BIN)/python || $(PYTHON) -m venv .venv
	$(BIN)/python -m pip install -qq -c constraints.txt .
	touch $@

.venv/test: pyproject.toml constraints.txt
	test -x $(BIN)/python || $(PYTHON) -m venv .venv
	$(BIN)/python -m pip install -qq -c constraints.txt '.[test]'
	touch $@ .venv/run

install: .venv/run
	$(call debian,$(LIBRARIES))

install-test: .venv/test
	$(call debian,$(LIBRARIES) $(TEST_TOOLS))

demo-data: export BATHBOOK_DATABASE = $(DEMO)/marram-quay.sqlite3
demo-data: install
	@mkdir -p $(DEMO)
	@$(BIN)/python manage.py migrate -v 0
	@$(BIN)/python manage.py demo

demo: export BATHBOOK_DATABASE = $(DEMO)/marram-quay.sqlite3
demo: demo-data
	@$(BIN)/python manage.py demo --sign-ins --address $(ADDRESS)
	@$(BIN)/python manage.py runserver --noreload $(ADDRESS)

demo-reset:
	rm -rf $(DEMO)
	$(MAKE) demo

test: install-test lint types unit unit-postgresql

lint:
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	PYTHONPATH=. $(BIN)/lint-imports
	$(BIN)/djlint --lint --quiet templates
	$(BIN)/python manage.py check --fail-level WARNING
	$(BIN)/python manage.py makemigrations --check --dry-run

types:
	$(BIN)/mypy

unit:
	$(BIN)/python -m pytest -q -n 2 --dist loadfile

# The tests of the kitchen once more on a PostgreSQL server of their own, which lives as long as they run.
unit-postgresql:
	$(BIN)/python -m tests.postgresql $(BIN)/python -m pytest -q -n 2 --dist loadfile tests/kitchen

bench: install-test
	@mkdir -p .bench
	$(BIN)/python -m tests.bench

clean:
	rm -rf .venv $(DEMO) .bench staticfiles
