"""What is sent to somebody far from the screen: plain text in parts short enough to send; pure functions."""

from crankpath.shell.outlets.messages.basic_letters import in_basic_letters
from crankpath.shell.outlets.messages.parts import LEAST_LIMIT, USUAL_LIMIT, in_parts
from crankpath.shell.outlets.messages.step import (
    MessageStep,
    proof_message,
    reading_message,
    repair_message,
    step_message,
)
from crankpath.shell.outlets.messages.whole_procedure import whole_message

__all__ = [
    "MessageStep", "step_message", "reading_message", "repair_message", "proof_message", "whole_message",
    "in_basic_letters", "in_parts", "LEAST_LIMIT", "USUAL_LIMIT",
]  # fmt: skip
