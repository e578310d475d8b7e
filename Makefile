# Two commands do everything: `make demo` and `make test`.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
STAMP := $(VENV)/installed

.PHONY: env demo test test-slow lint types bench reference pictures clean

env: $(STAMP)

$(STAMP): requirements.lock pyproject.toml
	@command -v $(PYTHON) >/dev/null || { echo "Python 3.11 or later is needed: install it and run this again."; exit 2; }
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "Python 3.11 or later is needed; this is $$($(PYTHON) --version). Try: make PYTHON=python3.11"; exit 2; }
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --require-hashes -r requirements.lock
	$(BIN)/python -m pip install --quiet --no-build-isolation --no-deps -e .
	@touch $(STAMP)

demo: $(STAMP)
	@$(BIN)/python -m planewright demo demo/plover

test: $(STAMP)
	$(BIN)/python -m pytest

test-slow: $(STAMP)
	$(BIN)/python -m pytest -m slow

lint: $(STAMP)
	$(BIN)/ruff check src tests bench
	$(BIN)/ruff format --check src tests bench

types: $(STAMP)
	$(BIN)/mypy

bench: $(STAMP)
	OPENBLAS_NUM_THREADS=1 OMP_NUM_THREADS=1 MKL_NUM_THREADS=1 $(BIN)/python bench/run.py

reference: $(STAMP)
	$(BIN)/python -m planewright.plane.reference > docs/reference/description-language.md
	$(BIN)/python -m planewright.study.reference > docs/reference/study.schema.json

pictures: $(STAMP)
	$(BIN)/python docs/pictures/make.py

clean:
	rm -rf $(VENV) demo build dist
