PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
STAMP := $(VENV)/installed

.PHONY: demo test check texts bench clean

$(VENV)/bin/python:
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --upgrade pip

$(VENV)/plain: pyproject.toml $(VENV)/bin/python
	$(BIN)/python -m pip install --quiet --editable .
	@touch $@

$(STAMP): pyproject.toml $(VENV)/bin/python
	$(BIN)/python -m pip install --quiet --editable ".[test]"
	@touch $@ $(VENV)/plain

demo: $(VENV)/plain
	@$(BIN)/backbearing demo --lost

test: $(STAMP)
	$(BIN)/python -m pytest -n auto --dist loadfile

check: $(STAMP)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

texts: $(STAMP)
	$(BIN)/python -m tests.texts

bench: $(STAMP)
	$(BIN)/python -m tests.benchmarks

clean:
	rm -rf $(VENV) build dist
