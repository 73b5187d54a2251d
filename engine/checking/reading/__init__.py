"""Checks that are made while files are read; here is what each looks for."""
