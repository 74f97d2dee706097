"""JSON Schemas of what each `--json` prints, one file a command."""
