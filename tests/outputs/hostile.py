"""A report whose every text from files is an attack on whoever shows it."""

from __future__ import annotations

from typing import Any

ATTACK = (
    '<script>window.hacked=1</script></script><img src=x onerror="window.hacked=1">'
    "' onclick='window.hacked=1' \"><b>&amp;\u2028"
)
_FREE = frozenset(
    (
        "path", "product", "solid_name", "name", "message", "text", "assumed", "why", "what",
        "how_to_state", "reason", "originating_system", "step_schema", "designation", "basis",
        "standard", "tool", "material", "lathe", "per", "nearest_tool", "limit_basis",
        "chosen_tools",
    )
)  # fmt: skip


def hostile(value: Any, key: str = "") -> Any:
    """Append the attack to every free text of a document, in place; names stay distinct."""
    if isinstance(value, dict):
        for name, item in value.items():
            value[name] = hostile(item, name)
        if "grip" in value:
            value["grip"]["kind"] += ATTACK
        return value
    if isinstance(value, list):
        return [hostile(item, key) for item in value]
    if isinstance(value, str) and key in _FREE:
        return f"{value} {ATTACK}" if key != "path" else f"{ATTACK.replace('/', '')}.step"
    return value
