"""Spans of the year as people say them: `04-20..10-20` becomes `20 April to 20 October`."""

import re

from ohmwright.papers.catalogue import Words

_SPAN = re.compile(r"(?<![\d-])(\d\d)-(\d\d)\.\.(\d\d)-(\d\d)(?![\d-])")


def with_dates(text: str, w: Words) -> str:
    """The text with its spans in words; what is no span of days stays."""
    if ".." not in text:
        return text
    months = w.all("energy.month-names")

    def told(m: re.Match[str]) -> str:
        first, begins, last, ends = (int(x) for x in m.groups())
        if not (1 <= first <= 12 and 1 <= last <= 12):
            return m[0]
        return w.say("energy.span", first=f"{begins} {months[first - 1]}", last=f"{ends} {months[last - 1]}")

    return _SPAN.sub(told, text)
