// SPDX-License-Identifier: Apache-2.0
//
// A record written as this app writes them, read without a tree of JSON values between. It knows no
// errors: at the first thing that is not as usual it gives up, and read_record (record.h), of which
// this is the quick half, reads the bytes anew and says what is wrong with them, if anything is.
//
//   Record record;
//   if (read_plain_record(bytes, record)) …
#pragma once

#include <cstdint>
#include <string_view>

#include "ledger/record.h"

namespace nthtree::ledger {

// Stamps far outside our years are a broken clock or an attack on the ordering, and are still kept:
// only numbers that are no time at all are refused.
inline constexpr std::int64_t at_ms_max = 253402300799999;  // 9999-12-31
inline constexpr std::int64_t tick_max = 0xffffffff;

// The index in Body of the kind of that name; 0, as Unknown stands, where there is none.
std::size_t kind_index(std::string_view name);

// The other half: bytes written in any way that JSON allows, judged in words, for more work.
// Neither half fills Record::bytes.
base::Result<Record> read_any_record(std::string_view bytes);

// Fills an empty record. False where the bytes are not plain (plain_json.h), or not a good record
// of this version: what it was given is of no use then.
bool read_plain_record(std::string_view bytes, Record& record);

}  // namespace nthtree::ledger
