// SPDX-License-Identifier: Apache-2.0
//
// Many records of one device as the browser's store keeps them in one entry, beside their own
// (web/batches.js): packed (sync/packed_lines.h), with a check sum.
//
//   if (const auto batch = read_stored_batch(text)) client.load_packed(…, batch->packed, …);
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace nthtree::app {

struct StoredBatch {
  std::string_view device;
  std::uint64_t first = 0;   // sequence
  std::size_t records = 0;
  std::string_view packed;
};

// text: device, tab, first sequence, tab, how many, tab, and what pack_stored_batch gave of them.
// Empty where that is not so.
std::optional<StoredBatch> read_stored_batch(std::string_view text);

// text: the same head, and the records with line breaks between them. The records packed, tab, the
// check sum of all before this tab, the head with it, in eight hexadecimal digits.
std::string pack_stored_batch(std::string_view text);

}  // namespace nthtree::app
