# Two commands do everything: `make demo` and `make test`.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
STAMP := $(VENV)/installed
PAGE := src/planewright/_web/index.html
PAGE_SOURCES := $(shell find web/src web/scripts web/package-lock.json web/index.html web/vite.config.ts -type f 2>/dev/null)

.PHONY: env page browser demo test test-slow lint types bench proof reference pictures clean

env: $(STAMP)

$(STAMP): requirements.lock pyproject.toml
	@command -v $(PYTHON) >/dev/null || { echo "Python 3.11 or later is needed: install it and run this again."; exit 2; }
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "Python 3.11 or later is needed; this is $$($(PYTHON) --version). Try: make PYTHON=python3.11"; exit 2; }
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --require-hashes -r requirements.lock
	$(BIN)/python -m pip install --quiet --no-build-isolation --no-deps -e .
	@touch $(STAMP)

# The page in the browser. Without Node it is left out, and `planewright open` says so.
page:
	@if command -v npm >/dev/null; then $(MAKE) --no-print-directory $(PAGE); \
	 else echo "The page is not built: Node 20 or newer with npm was not found. Everything else works."; fi

$(PAGE): $(PAGE_SOURCES)
	cd web && npm ci --no-audit --no-fund --loglevel=error && npm run build --silent
	@touch $(PAGE)

# A Chromium for the tests of the page: the machine's own, or Debian's package where the system allows.
browser:
	@command -v chromium >/dev/null || command -v chromium-browser >/dev/null || test -n "$$CHROMIUM" || \
	 { if [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null; then \
	     apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends chromium >/dev/null; \
	   else echo "No Chromium on this machine, and none may be installed: the tests of the page are left out."; fi; }

demo: $(STAMP)
	@$(BIN)/python -m planewright demo demo/plover

# One worker a core, four at most; all tests of a file stay with one worker, which shares what is costly to make.
test: $(STAMP) page browser
	$(BIN)/python -m pytest -n auto --maxprocesses 4 --dist loadfile

test-slow: $(STAMP)
	$(BIN)/python -m pytest -m slow

lint: $(STAMP)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	@if [ -d web/node_modules ]; then cd web && npm run check --silent && npm test --silent; fi

types: $(STAMP)
	$(BIN)/mypy

bench: $(STAMP) page
	OPENBLAS_NUM_THREADS=1 OMP_NUM_THREADS=1 MKL_NUM_THREADS=1 $(BIN)/python bench/run.py
	OPENBLAS_NUM_THREADS=1 OMP_NUM_THREADS=1 MKL_NUM_THREADS=1 $(BIN)/python bench/power.py
	OPENBLAS_NUM_THREADS=1 OMP_NUM_THREADS=1 MKL_NUM_THREADS=1 $(BIN)/python bench/sheets.py
	OPENBLAS_NUM_THREADS=1 OMP_NUM_THREADS=1 MKL_NUM_THREADS=1 $(BIN)/python bench/section.py
	OPENBLAS_NUM_THREADS=1 OMP_NUM_THREADS=1 MKL_NUM_THREADS=1 $(BIN)/python bench/air.py
	OPENBLAS_NUM_THREADS=1 OMP_NUM_THREADS=1 MKL_NUM_THREADS=1 $(BIN)/python bench/calibrate.py
	OPENBLAS_NUM_THREADS=1 OMP_NUM_THREADS=1 MKL_NUM_THREADS=1 $(BIN)/python bench/page_server.py
	OPENBLAS_NUM_THREADS=1 OMP_NUM_THREADS=1 MKL_NUM_THREADS=1 $(BIN)/python bench/page.py

# The table of the manual that counts how often the bands hold the truth: some minutes.
proof: $(STAMP)
	PLANEWRIGHT_WRITE_PROOF=1 $(BIN)/python -m pytest -m slow tests/physics/test_calibrate_proof.py

reference: $(STAMP)
	$(BIN)/python -m planewright.plane.reference > docs/reference/description-language.md
	$(BIN)/python -m planewright.study.reference > docs/reference/study.schema.json
	$(BIN)/python -m planewright.analysis.strength.reference > docs/reference/materials.md

pictures: $(STAMP) page
	$(BIN)/python docs/pictures/make.py
	$(BIN)/python docs/pictures/pages.py

clean:
	rm -rf $(VENV) demo build dist src/planewright/_web web/node_modules
