"""Toolpath -> text, and text -> motions. Writer and reader share nothing."""
