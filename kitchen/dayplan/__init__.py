"""The day plan: what is to be cooked for when, and when each rack must go in."""
