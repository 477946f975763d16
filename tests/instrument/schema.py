# SPDX-License-Identifier: BSL-1.0
"""schema.py SCHEMA RIGHT... -- WRONG...: the schema is one of JSON Schema 2020-12, each RIGHT file is valid by it, and
each WRONG file is not. Prints what is not so and fails."""
import json
import sys

import jsonschema


def read(path):
    with open(path, encoding="utf-8") as file:
        return json.load(file)


def main(schema_path, *rest):
    split = rest.index("--")
    right, wrong = rest[:split], rest[split + 1 :]
    if not right or not wrong:
        sys.exit("no files to validate")
    schema = read(schema_path)
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    complaints = []
    for path in right:
        for error in validator.iter_errors(read(path)):
            complaints.append(f"{path}: {error.json_path}: {error.message[:200]}")
    for path in wrong:
        if validator.is_valid(read(path)):
            complaints.append(f"{path}: is valid by the schema, and should not be")
    print("\n".join(complaints + [f"{len(right)} right and {len(wrong)} wrong files, {len(complaints)} complaints"]))
    sys.exit(bool(complaints))


main(*sys.argv[1:])
