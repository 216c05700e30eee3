"""A right card, and the ways to write it wrong: what is changed, into what, and what the refusal must say of it."""

GOOD = """\
format: "1"
card: trial
title: Trial card
scope: Everything on a bench.
inspection: 100-hour
applies_to: Nothing that flies
cautions:
  - Battery off.
zones:
  - zone: tube
    title: Mast tube
    items:
      - item: surface
        title: Surface
        cautions: [Keep hands clear.]
        do: Wipe the tube.
        look_for: [cracks, "no: 012 1:30 null"]
        why: A crack grows.
        photo: {rule: on_fail, of: the crack}
        countersign: {needed: "yes", reason: Loss of the rotor.}
        not_applicable: "no"
        fields:
          - field: run_out
            kind: run_out
            title: Run-out
            unit: in
            stations: ["0°", "90°", "180°", "270°"]
            limits: {max: "0.0050"}
            source: invented
            tool: dial indicator
          - field: colour
            kind: choice
            title: Colour
            options: [blue, red]
            acceptable: [blue]
            source: placard
      - item: nut
        title: Nut
        do: Torque the nut.
        look_for: [a sound nut]
        why: It holds.
        fields:
          - field: torque
            kind: torque
            title: Torque
            unit: in-lbf
            limits: {min: 50, max: 70}
            source: invented
            required: no
"""
ITEM = "zone tube, item surface"
RUN_OUT = f"{ITEM}, field run_out"
WRONG = [  # what is changed, into what, and the words that place, found and advice must hold
    ('format: "1"', "format: 2", "line 1", "key format", '"2"', "one of: 1"),
    ('format: "1"\n', "", "key format is missing", "format: "),
    ("card: trial", "card: other", "line 2, key card", '"other"', "trial.yaml", "the same name"),
    ("card: trial", "card: Trial Card", "key card", '"Trial Card"', "small letters"),
    ("card: trial\n", "", "key card is missing"),
    ("title: Trial card", "title: ''", "line 3, key title", "has 0 characters", "1 to 80"),
    ("title: Trial card", "title: " + "x" * 81, "key title", "has 81 characters", "1 to 80"),
    ("title: Trial card", "title: [a]", "key title", "a list", "one line of text"),
    ("title: Trial card", "titel: Trial card", 'key "titel" does not belong', "one of: format, card, title"),
    ("scope: Everything on a bench.\n", "", "key scope is missing"),
    ("inspection: 100-hour\n", "", "key inspection is missing"),
    ("inspection: 100-hour\n", "record: repair\n", "line 5, key record", '"repair"', "inspection, maintenance"),
    ("inspection: 100-hour\n", "record: maintenance\ninspection: annual\n", "key inspection", "no inspection"),
    ("inspection: 100-hour\n", 'record: maintenance\nwhole: "yes"\n', "key whole", "the card without it"),
    ("inspection: 100-hour\n", "inspection: annual\nwhole: all\n", "key whole", '"all"', "yes, no"),
    ("applies_to: Nothing that flies\n", "", "key applies_to is missing"),
    ("  - Battery off.\n", "  []\n", "key cautions", "number of members is 0", "1 to 12"),
    ("  - Battery off.\n", "  - a\n  - a\n", "key cautions", "stands twice", "each once"),
    ("  - Battery off.\n", "  text: a\n", "key cautions", "a group of keys is not a list", "`- ` before"),
    ("zone: tube", "zone: Tube", "zone Tube", "key zone", '"Tube" cannot be a name', "small letters"),
    ("zone: tube", "zon: tube", "key zone is missing", "`zone: `"),
    ("    title: Mast tube\n", "", "zone tube", "key title is missing"),
    ("    title: Mast tube", "    title: Mast tube\n    sort: 1", "zone tube", 'key "sort"', "zone, title, items"),
    ("item: surface", "item: 1st", "item 1st", "key item", "cannot be a name"),
    ("item: nut", "item: surface", "line 37", "key item", '"surface" stands twice, first in line 13', "another name"),
    ("        do: Wipe the tube.\n", "", ITEM, "key do is missing", "`do: `"),
    ("        do: Wipe the tube.", "        do: [Wipe, the, tube]", ITEM, "key do", "a list"),
    ("        do: Wipe the tube.", "        do: " + "x" * 401, ITEM, "key do", "has 401 characters", "1 to 400"),
    ('look_for: [cracks, "no: 012 1:30 null"]', "look_for: []", ITEM, "key look_for", "members is 0"),
    ('look_for: [cracks, "no: 012 1:30 null"]', "look_for: cracks", ITEM, '"cracks" is not a list'),
    ('look_for: [cracks, "no: 012 1:30 null"]', "look_for: [[cracks]]", ITEM, "where text belongs"),
    ("        why: A crack grows.\n", "", ITEM, "key why is missing"),
    ("rule: on_fail", "rule: always", ITEM, "key rule", '"always"', "none, optional, on_fail, required"),
    ("photo: {rule: on_fail, of: the crack}", "photo: {rule: on_fail}", "key photo", "what to photograph", "`of: `"),
    ("photo: {rule: on_fail, of: the crack}", "photo: on_fail", "key photo", "is not a group of keys"),
    ("of: the crack}", "of: the crack, in: colour}", ITEM, 'key "in" does not belong', "one of: rule, of"),
    ('needed: "yes", reason: Loss of the rotor.', 'needed: "yes"', "key countersign", "why a second", "`reason: `"),
    ('needed: "yes"', 'controls: "yes", needed: "no"', "countersigned by nobody", '`needed: "yes"`'),
    ('needed: "yes"', 'controls: both, needed: "yes"', ITEM, "key controls", '"both"', "one of: yes, no"),
    ('needed: "yes"', "needed: true", "key needed", '"true"', "one of: yes, no"),
    ('not_applicable: "no"', "not_applicable: never", ITEM, "key not_applicable", '"never"', "one of: yes, no"),
    ("field: run_out\n", "field: run-out\n", "field run-out", "key field", "cannot be a name"),
    ("field: colour", "field: run_out", "line 31", "key field", '"run_out" stands twice, first in line 23'),
    ("kind: run_out", "kind: runout", RUN_OUT, "key kind", '"runout"', "measure, run_out, torque, compression"),
    ("            kind: run_out\n", "", RUN_OUT, "key kind is missing"),
    ("unit: in\n", "unit: inch\n", "line 26", RUN_OUT, "key unit", '"inch" is not a unit we know', "in-lbf, ft-lbf"),
    ("unit: in\n", "unit: psi\n", RUN_OUT, "psi is no unit of length", "in, mm"),
    ("            unit: in\n", "", RUN_OUT, "a run_out has no unit", "`unit: `"),
    ("unit: in-lbf", "unit: in", "field torque", "in is no unit of torque", "in-lbf, ft-lbf"),
    ('["0°", "90°", "180°", "270°"]', '["0°", "90°"]', RUN_OUT, "has 2 stations", "at least 4"),
    ('["0°", "90°", "180°", "270°"]', '["0°", "0°", "180°", "270°"]', RUN_OUT, "key stations", "stands twice"),
    ('limits: {max: "0.0050"}', "limits: {}", RUN_OUT, "key limits", "neither min nor max"),
    ('limits: {max: "0.0050"}', 'limits: {max: "0,005"}', RUN_OUT, '"0,005" is not a number', "decimal point"),
    ('limits: {max: "0.0050"}', "limits: {max: 5e-3}", RUN_OUT, '"5e-3" is not a number'),
    ('limits: {max: "0.0050"}', "limits: 0.005", RUN_OUT, "key limits", "is not a group of keys"),
    ('limits: {max: "0.0050"}', "limits: {most: 1}", RUN_OUT, 'key "most"', "one of: min, max"),
    ("{min: 50, max: 70}", "{min: 70, max: 50}", "field torque", "min 70 is above max 50", "smaller number as min"),
    ("            source: invented\n            tool", "            tool", RUN_OUT, "without its source", "`source: `"),
    ("acceptable: [blue]\n            source: placard", "acceptable: [blue]", "without its source"),
    ("acceptable: [blue]", "acceptable: [Blue]", "field colour", '"Blue" is acceptable but no option', "to the letter"),
    ("options: [blue, red]", "options: [blue]", "field colour", "key options", "number of members is 1", "2 to 12"),
    ("            options: [blue, red]\n", "", "field colour", "a choice has no options"),
    ("kind: choice", "kind: text", "field colour", "a text cannot have options", "kind: choice"),
    ("kind: torque", "kind: text", "field torque", "cannot have a unit or limits"),
    ("required: no", "required: maybe", "field torque", "key required", '"maybe"', "yes, no"),
    ("required: no", "stations: [a, b]", "field torque", "a torque cannot have stations"),
    ("required: no", "colour: red", "field torque", 'key "colour" does not belong', "field, kind, title"),
    ("            source: placard\n", "            source: ''\n", "field colour", "key source", "has 0 characters"),
    ("zones:\n", "zones:\n  - {zone: tube, title: A, items: [x]}\n", "line 11", "key zone", "first in line 10"),
    ("card: trial", "extra:\n  - a\ncard: trial", "line 2:", 'key "extra" does not belong here'),
    ("card: trial", '"a\\u202eb": x\ncard: trial', "line 2:", 'key "a?b" does not belong here'),
    ("item: surface", 'item: "\\ud800"', "item ?, key item", '"?" cannot be a name'),
    ("title: Surface", "title: Surf\x07ace", "line 14", "holds U+0007, which does not show", "without that character"),
    ("title: Surface", "title: Surf\u202eace", "line 14", "holds U+202E", "without that character"),
    ("title: Surface", "title: Surface # \u200b", "line 14", "holds U+200B", "without that character"),
    ("title: Surface", "title: Surf\ud800ace", "line 14", "holds U+D800", "without that character"),
    ("title: Surface", 'title: "a\\ud800b"', ITEM, "key title", '"a?b" holds U+D800', "without that character"),
    ("title: Surface", 'title: "a\\tb"', ITEM, "key title", '"a?b" holds U+0009', "without that character"),
    ("title: Surface", 'title: "a\\x1cb"', ITEM, "key title", '"a?b" holds U+001C', "without that character"),
    ("title: Surface", 'title: "\\UFFFFFFFF"', "line 14", "a character that does not exist", "the character itself"),
    ("title: Surface", 'title: "\\U00110000"', "line 14", "a character that does not exist"),
    ("title: Surface", "title: &name Surface", "line 14", "`&name`", "the text itself"),
    ("title: Surface", "title: *name", "line 14", "`*name` refers", "the text itself"),
    ("title: Surface", "title: !!str Surface", "line 14", "there is a tag", "without it"),
    ("title: Surface", "title: !shape Surface", "line 14", "there is a tag, !shape"),
    ("title: Surface", "title: Surface\n        title: Again", "line 15", 'the key "title" stands twice', "it once"),
    ("title: Surface", "title:\tSurface", "line 14", "there is a tab", "spaces"),
    ("title: Surface", "title: Surface: again", "line 14", "not well-formed YAML"),
    ("        title: Surface", "       title: Surface", "not well-formed YAML"),
    ("title: Surface", "title: 'Surface", "not well-formed YAML"),
    ("card: trial", "? [a]\n: b\ncard: trial", "a key is not text"),
    ("card: trial", "<<: {scope: x}\ncard: trial", 'the key "<<" does not belong'),
    ('format: "1"', '%YAML 1.1\n---\nformat: "1"', "line 1", "% directive", "without it"),
    ('format: "1"', '# a\n%OTHER x\n---\nformat: "1"', "line 2", "% directive", "without it"),
    ('format: "1"', '%TAG ! x:\n---\nformat: "1"', "line 1", "% directive", "without it"),
    ("required: no\n", "required: no\n---\nformat: '1'\n", "a second document begins", "one card a file"),
]
