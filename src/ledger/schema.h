// SPDX-License-Identifier: Apache-2.0
//
// The record form as a JSON Schema (draft 2020-12), written from the same declarations that read
// and write records, so that it cannot drift from them. record.schema.json is its output; a test
// compares the two.
#pragma once

#include <string>

namespace nthtree::ledger {

std::string record_schema();  // pretty-printed, ends with a line break

}  // namespace nthtree::ledger
