"""Measuring: how long the engine takes, alone and beside independent libraries."""
