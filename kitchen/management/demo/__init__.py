"""The demo: a written week of an invented kitchen, replayed through the action functions."""
