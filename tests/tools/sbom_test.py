#!/usr/bin/env python3
# SPDX-License-Identifier: Apache-2.0
"""The bill of materials names what is shipped, each once, with a version and a licence, and a part
that nobody has named is refused. Held by hand against the CycloneDX 1.5 JSON schema."""
import importlib.machinery
import importlib.util
import os
import sys

ROOT = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
loader = importlib.machinery.SourceFileLoader("sbom", os.path.join(ROOT, "tools", "sbom"))
sbom = importlib.util.module_from_spec(importlib.util.spec_from_loader("sbom", loader))
sys.dont_write_bytecode = True
loader.exec_module(sbom)


def wrongs():
    bill = sbom.bill()
    parts = bill["components"]
    if len(parts) != len(sbom.notices()) or len(parts) < 10:
        yield f"{len(parts)} parts of {len(sbom.notices())} notices"
    if len({part["bom-ref"] for part in parts}) != len(parts):
        yield "a part stands twice"
    yield from (f"{part['name']}: no {what}" for part in parts
                for what in ("version", "licenses", "purl") if not part.get(what))
    hashes = [part["hashes"][0] for part in parts if "hashes" in part]
    if [(h["alg"], len(h["content"])) for h in hashes] != [("SHA-512", 128)] * 2:
        yield f"the npm packages' hashes: {hashes}"
    if bill != sbom.bill():
        yield "two bills of the same differ"
    try:
        sbom.component_of("Somebody's code 3", "linked by the hub")
        yield "a part that nobody has named was taken"
    except SystemExit:
        pass


found = list(wrongs())
print("\n".join(found))
print(f"{int(not found)} passed, {int(bool(found))} failed")
sys.exit(1 if found else 0)
