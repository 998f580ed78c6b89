"""The report as one page for a browser, made from the JSON document and nothing else.

`page` puts it together; `script/` and `style.css` are what it carries along, `library/` a kept
library for the view in the round.
"""
