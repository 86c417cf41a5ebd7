"""A finished result becomes paper: drawings, schedules, lists, cards, reports. Bytes come out; services write them."""
