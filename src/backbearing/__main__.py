"""`python -m backbearing` is the same door as `backbearing`."""

from backbearing.cli.main import start

start()
