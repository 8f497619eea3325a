"""Replay of a written program against outline and stock."""
