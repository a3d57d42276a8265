// SPDX-License-Identifier: Apache-2.0
//
// Every field of every record kind, named once with its limits: read, written and described by the
// visitors of fields.h and schema.h. Add a field as `…_or`, so that older records stay readable.
//
//   FieldReader reader(json, "body");
//   Visited visitor(reader);
//   body_fields(visitor, record.body);
#pragma once

#include "ledger/bodies.h"
#include "ledger/field_visitor.h"

namespace nthtree::ledger {

inline constexpr std::size_t id_bytes_max = 64;
inline constexpr std::size_t name_bytes_max = 128;
// The largest standard trees carry some thousands of spurs; a larger number is a slip of the thumb.
inline constexpr int spurs_max = 5000;
inline constexpr int rows_max = 2000;
inline constexpr int trees_per_row_max = 5000;
inline constexpr int seconds_max = 4 * 3600;

void body_fields(FieldVisitor& v, Body& body);

}  // namespace nthtree::ledger
