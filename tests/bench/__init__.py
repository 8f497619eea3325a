"""Figures that are measured over many drawings rather than tested one by one."""
