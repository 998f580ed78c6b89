"""One chucking's operations: which tool takes which surface, in which order, as far as where.

Knows the work as it stands between them, and nothing of other ways to hold it.
"""
