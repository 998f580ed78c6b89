"""How a part is made: where it is held, in what order, from which datum, and what that takes.

`plan` finds the plan, `model` holds what is handed up. The rooms, none of which knows a later one:
`surfaces`, `holding`, `cutting`, `bores`, `bending`, `operations`, `set_over`, `effort`, `trials`.
"""
