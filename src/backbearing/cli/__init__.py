"""The command line: parses, calls a plan, hands the answer to a writer."""
