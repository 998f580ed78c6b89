"""Ways to make the part: which chuckings are tried, what each comes to, which wins and why."""
