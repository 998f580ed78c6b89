"""One file per kind of tool, found by being there (`shop.tool_kind` says what it holds)."""
