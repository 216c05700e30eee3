"""The few tables that the command prints."""


def people_table(people):
    """Who can sign in, from `demo.people`."""
    rows = [("who", "roles", "sign-in name", "password", "signing code")]
    rows += [(one["name"], ", ".join(one["roles"]), one["login"], one["password"], one["code"] or "signs nothing")
             for one in people]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    lines = ["  ".join(map(str.ljust, row, widths)).rstrip() for row in rows]
    return "\n".join(f"  {line}" for line in lines)


def card_text(facts):
    """A few lines about a card, from `records.cards.card_facts`."""
    card, state, counts = facts["card"], facts["state"], facts["state"]["counts"]
    lines = [
        f"{card['number']} {card['title']}: {state['status']}",
        f"{card['aircraft']['registration']}, serial number {card['aircraft']['serial_number']}, "
        f"revision {card['revision'][:12]}, {state['entries']} entries",
        f"{counts['done']} of {counts['items']} items done, {counts['failed']} failed, "
        f"{counts['rejected']} sent back, {counts['disputed']} disputed, {counts['to_countersign']} to countersign",
    ]
    lines += [
        f"  {item['number']:>5}  {item['status'].replace('_', ' '):<15} {item['item']}"
        + (f"  ({', '.join(item['problems'])})" if item["problems"] else "")
        for item in state["items"]
    ]
    return "\n".join(lines)
