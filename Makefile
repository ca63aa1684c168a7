# make try   builds the demo lessons into out/ in an environment of its own
# make test  installs what the tests need and runs them all
# make check formats, lints and type-checks

PYTHON ?= python3
VENV ?= .venv
BIN = $(VENV)/bin

.PHONY: try test check clean

$(VENV)/.installed: pyproject.toml
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -e .
	touch $@

# The bench's scripts are type-checked and its pages audited by two npm packages.
$(VENV)/.tested: $(VENV)/.installed
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -e ".[test]"
	if command -v npm >/dev/null; then \
		npm install --silent --no-save --prefix $(VENV)/node typescript@5.9.3 axe-core@4.14.1; fi
	touch $@

try: $(VENV)/.installed
	@for lesson in demo/*.md; do \
		name=$$(basename $$lesson .md); \
		$(BIN)/gripwright build $$lesson -o out/$$name || exit 1; \
	done
	@echo; echo "Built. Look at:"
	@ls -1 out/*/handout-a4.pdf out/*/practice.html out/*/overlay.mp4 2>/dev/null || ls -1 out/*
	@echo; echo "Next: $(BIN)/gripwright name x35453; $(BIN)/gripwright bench demo"

test: $(VENV)/.tested
	$(BIN)/python -m pytest

check: $(VENV)/.tested
	$(BIN)/ruff format --check src tests benchmarks evaluation scripts
	$(BIN)/ruff check src tests benchmarks evaluation scripts
	$(BIN)/mypy

clean:
	rm -rf $(VENV) out build dist
