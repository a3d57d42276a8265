// SPDX-License-Identifier: Apache-2.0
//
// Every field of every record kind, named once with its range (orchard/limits.h): read, written and
// described by the visitors of fields.h and schema.h. Add a field as `…_or`, so that older records
// stay readable.
//
//   FieldReader reader(json, "body");
//   Visited visitor(reader);
//   body_fields(visitor, record.body);
#pragma once

#include "ledger/field_visitor.h"
#include "ledger/kinds.h"

namespace nthtree::ledger {

inline constexpr std::size_t id_bytes_max = 64;
inline constexpr std::size_t name_bytes_max = 128;
inline constexpr std::size_t time_zone_bytes_max = 64;
inline constexpr std::size_t remark_bytes_max = 256;
inline constexpr std::size_t currency_bytes_max = 16;
inline constexpr std::size_t temperature_days_max = 180;  // in one record, well under 4,096 bytes

void body_fields(FieldVisitor& v, Body& body);

}  // namespace nthtree::ledger
