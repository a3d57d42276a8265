// SPDX-License-Identifier: Apache-2.0
//
// A record written as this app writes them, read without a tree of JSON values between. It knows no
// errors: at the first thing that is not as usual it gives up, and read_record (record.h), of which
// this is the quick half, reads the bytes anew and says what is wrong with them, if anything is.
//
//   if (auto record = read_plain_record(bytes)) return std::move(*record);
#pragma once

#include <cstdint>
#include <optional>
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
base::Result<Record> read_any_record(std::string_view bytes);

// Nothing where the bytes are not plain (plain_json.h), or not a good record of this version.
std::optional<Record> read_plain_record(std::string_view bytes);

}  // namespace nthtree::ledger
