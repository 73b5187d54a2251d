"""What is sent to somebody far from the screen: plain text in parts short enough to send; pure functions."""

from crankpath.shell.outlets.messages.parts import LEAST_LIMIT, USUAL_LIMIT, in_parts
from crankpath.shell.outlets.messages.plain import plain
from crankpath.shell.outlets.messages.step import (
    Step,
    proof_message,
    reading_message,
    repair_message,
    step_message,
)
from crankpath.shell.outlets.messages.whole import whole_message

__all__ = [
    "Step", "step_message", "reading_message", "repair_message", "proof_message", "whole_message",
    "in_parts", "plain", "LEAST_LIMIT", "USUAL_LIMIT",
]  # fmt: skip
