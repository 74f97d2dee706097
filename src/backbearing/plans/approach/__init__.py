"""The way between a start and a camera position, out and back: least time over what is known."""

from backbearing.plans.approach.way import Going, approach

__all__ = ["Going", "approach"]
