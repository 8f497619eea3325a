"""Tests of the path room."""
