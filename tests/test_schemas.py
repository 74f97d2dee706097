"""What `--json` prints is documented: one schema for each command that has the option."""

import importlib
import json
from importlib.resources import files

import click
import jsonschema
import pytest

from backbearing.cli.main import COMMANDS

SCHEMAS = files("backbearing.schemas")


def commands_with_json() -> list[str]:
    found = []
    for name, (module, _) in COMMANDS.items():
        command: click.Command = importlib.import_module(f"backbearing.cli.{module}").command
        parts = [command, *getattr(command, "commands", {}).values()]
        if any("--json" in option.opts for part in parts for option in part.params):
            found.append(name)
    return found


@pytest.mark.parametrize("name", commands_with_json())
def test_each_reporting_command_has_a_closed_schema(name: str) -> None:
    schema = json.loads((SCHEMAS / f"{name}.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    assert schema["title"]
    assert schema["description"]
    one = schema if schema.get("type") == "object" else schema.get("items", {})
    for shape in [one] if "additionalProperties" in one else one.get("oneOf", [one]):
        assert shape.get("additionalProperties") is False


def test_no_schema_is_left_over() -> None:
    kept = {entry.name[:-5] for entry in SCHEMAS.iterdir() if entry.name.endswith(".json")}
    assert kept == set(commands_with_json())
