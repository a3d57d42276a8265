// SPDX-License-Identifier: Apache-2.0
//
// A thousand records of one device as the browser's store keeps them in one entry, beside their
// own (web/batches.js), read where they lie.
//
//   for (std::string_view record : read_stored_batch(text)) …
#pragma once

#include <string_view>
#include <vector>

namespace nthtree::app {

inline constexpr std::size_t stored_batch_records = 1000;

// text: device, tab, first sequence, tab, the records with line breaks between them, tab, the check
// sum of all before this tab in eight hexadecimal digits; UTF-8, which is not checked. Empty where
// that is not what was written, or not a whole batch.
std::vector<std::string_view> read_stored_batch(std::string_view text);

}  // namespace nthtree::app
