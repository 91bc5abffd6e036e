"""Who can sign in to the demo, and how, in words."""

from __future__ import annotations

from typing import Any


def sign_ins(place: dict[str, Any], address: str) -> str:
    """The address and the demo's sign-ins, ready to be printed."""
    people = place["people"]
    lines = [f"{place['site']['name']} is served at http://{address}/", ""]
    for each in people:
        if "password" in each:
            lines.append(f"  {each['role']}  sign-in name {each['handle']}, password {each['password']}")
    for each in people:
        if "cook_code" in each and "password" not in each:
            lines.append(f"  {each['role']}       {each['name']}, cook code {each['cook_code']}")
    lines += [
        "",
        "Cook codes work on an enrolled tablet: as head chef, Larder → Tablets → Enrol this tablet.",
        "These sign-ins are for trying out; a kitchen sets its own.",
    ]
    return "\n".join(lines)
