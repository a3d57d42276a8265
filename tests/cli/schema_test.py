#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""record.schema.json by a validator that is not ours (Debian's python3-jsonschema, JSON Schema
draft 2020-12): what the program reads the schema accepts, what either refuses the other refuses."""
import copy
import json
import os
import re
import sys

from command_line import FARM, ROOT, Checks, folder, nthtree, read, write

try:
    import jsonschema
except ImportError:  # another Python than Debian's comes first on the path
    sys.path.append("/usr/lib/python3/dist-packages")
    import jsonschema

checks = Checks()
SCHEMA = json.loads(read(os.path.join(ROOT, "src", "ledger", "record.schema.json")))
VALIDATOR = jsonschema.Draft202012Validator(SCHEMA)
EVERY_KIND = [json.loads(line) for line in read(
    os.path.join(ROOT, "tests", "data", "wire_v1", "every_kind.jsonl")).splitlines()]
LINES_AT_ONCE = 150  # the program tells of 200 bad lines at most


def refused_by_program(records):
    """Which of the records the program refuses, by place in the list."""
    refused = set()
    with folder() as place:
        for start in range(0, len(records), LINES_AT_ONCE):
            lines = [json.dumps(record) + "\n" for record in records[start:start + LINES_AT_ONCE]]
            answer = nthtree("verify", write(os.path.join(place, "records.jsonl"), "".join(lines)))
            refused |= {start + int(line) - 1
                        for line in re.findall(r"^line (\d+): ", answer.err, re.M)}
            refused |= {start + int(line) - 1
                        for line in re.findall(r"\.jsonl: line (\d+): ", answer.err)}
    return refused


def body_rules(kind):
    return next(rule["then"]["properties"]["body"] for rule in SCHEMA["allOf"]
                if rule["if"]["properties"]["kind"]["const"] == kind)


def each_field(rules, path=()):
    for name, rule in rules["properties"].items():
        yield path + (name,), rule, name in rules.get("required", [])
        if rule.get("type") == "object":
            yield from each_field(rule, path + (name,))


def with_value(record, path, value):
    """A copy with another value at that path of the body; groups on the way are made."""
    changed = copy.deepcopy(record)
    at = changed["body"]
    for name in path[:-1]:
        at = at.setdefault(name, {})
    at[path[-1]] = value
    return changed


def without(record, path):
    changed = copy.deepcopy(record)
    at = changed["body"]
    for name in path[:-1]:
        at = at.get(name, {})
    at.pop(path[-1], None)
    return changed


def wrong_values(rule):
    """Values that the rule of a field forbids: past either end, of another type, too long."""
    if "enum" in rule:
        return ["no such word", 3]
    if rule["type"] in ("integer", "number"):
        past = [rule["minimum"] - 1, rule["maximum"] + 1, "7", None]
        return past + ([rule["minimum"] + 0.5] if rule["type"] == "integer" else [])
    if rule["type"] == "string":
        return ["x" * (rule["maxLength"] + 1), 7]
    if rule["type"] == "array":
        return [[rule["items"]["maximum"] + 1], ["7"], 7, [0] * (rule["maxItems"] + 1)]
    return [[], 7] if rule["type"] == "object" else [1, "yes"]


def ends_of(rule):
    """Both ends of a number's range, which may stand."""
    return [rule["minimum"], rule["maximum"]] if "minimum" in rule else []


def accepted():
    checks.that(VALIDATOR.check_schema(SCHEMA) is None, "the schema is a schema", "")
    kinds = [rule["if"]["properties"]["kind"]["const"] for rule in SCHEMA["allOf"]]
    checks.equal([record["kind"] for record in EVERY_KIND], kinds, "every kind has its example")
    for record in EVERY_KIND:
        checks.that(VALIDATOR.is_valid(record), f"{record['kind']} is accepted", record)
    for name in sorted(os.listdir(FARM)):
        if not name.endswith(".jsonl"):
            continue
        bad = [line for line in read(os.path.join(FARM, name)).splitlines()
               if not VALIDATOR.is_valid(json.loads(line))]
        checks.equal(bad[:1], [], f"every record of {name} is accepted")


def same_refusals():
    """Every field of every kind, made wrong in each way: both refuse it, and for the field's sake."""
    wrong = []
    for record in EVERY_KIND:
        for path, rule, required in each_field(body_rules(record["kind"])):
            wrong += [(path, with_value(record, path, value)) for value in wrong_values(rule)]
            if required and len(path) == 1:
                wrong.append((path, without(record, path)))
    checks.that(len(wrong) > 400, "enough was made wrong", len(wrong))
    refused = refused_by_program([record for _, record in wrong])
    for i, (path, record) in enumerate(wrong):
        what = f"{record['kind']}.{'.'.join(path)}: {json.dumps(record['body'])[:90]}"
        checks.that(i in refused, f"the program refuses {what}", "it did not")
        errors = [list(error.absolute_path) for error in VALIDATOR.iter_errors(record)]
        checks.that(any(path[0] in error or error == ["body"] for error in errors),
                    f"the schema refuses {what}", errors)


def same_ranges():
    """What stands at either end of its range is refused by neither for the range's sake."""
    right = [with_value(record, path, value) for record in EVERY_KIND
             for path, rule, _ in each_field(body_rules(record["kind"])) for value in ends_of(rule)
             if len(path) == 1]
    checks.that(len(right) > 50, "enough stood at the end of its range", len(right))
    for record in right:
        checks.that(VALIDATOR.is_valid(record), f"the schema accepts {record['body']}", "")
    with folder() as place:
        for start in range(0, len(right), LINES_AT_ONCE):
            lines = [json.dumps(record) + "\n" for record in right[start:start + LINES_AT_ONCE]]
            answer = nthtree("verify", write(os.path.join(place, "records.jsonl"), "".join(lines)))
            # A draw of limbs has to fit its tree as well: a rule over several fields.
            out = [line for line in answer.err.splitlines()
                   if "is out of range: " in line and "is allowed" in line
                   and not line.endswith("(wrong_draw)")]
            checks.equal(out, [], "the program accepts both ends of every range")


for part in (accepted, same_refusals, same_ranges):
    part()
checks.close()
