"""How findings stand: against an earlier report, and by what a project has decided of them."""
