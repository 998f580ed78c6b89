"""While designing: a part analysed again whenever it is saved, and a page that follows."""
