"""What an approval or disapproval records, as the paper prints it: 14 CFR 43.11(a) and (b), 43.9(a)."""

RECORD = {
    "inspection": "Inspection record: the whole inspection",
    "inspection_part": "Inspection record: the part that this card holds",
    "maintenance": "Maintenance record: the work described, and nothing else",
}
TOTAL_TIME = "airframe"


def record_name(record):
    """The printed name of a kind of record (see `rules.local_code.record_of`)."""
    return RECORD[record]


def record_facts(body):
    """[(name, text)] of the body of a release or disapproval, in the order in which they are printed."""
    facts = _work(body) if body["work"] else _inspection(body)
    times = {name: f"{time['value']} {time['unit']}" for name, time in sorted(body["times"].items())}
    total = [("Aircraft total time", times.pop(TOTAL_TIME))] if TOTAL_TIME in times else []
    return facts + total + [(f"Time in service, {name.replace('_', ' ')}", time) for name, time in times.items()]


def listed_discrepancies(body, items, numbers):
    """[{"number", "title", "what", "where"}] that a disapproval hands over; `items` and `numbers` by item name."""
    return [{"number": numbers.get(one["item"], ""), "what": one["what"], "where": one["where"],
             "title": items[one["item"]]["title"] if one["item"] in items else one["item"]}
            for one in body.get("discrepancies", [])]


def _inspection(body):
    return [("Type of inspection", body["inspection"]["type"]), ("Extent", body["inspection"]["extent"]),
            ("Date", body["date"])]


def _work(body):
    work = body["work"]
    return [("Work done", work["description"]), ("Completed on", work["completed_on"]),
            ("Others who did the work", ", ".join(work["by"]) or "nobody else named"), ("Date", body["date"])]
