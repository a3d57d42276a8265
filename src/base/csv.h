// SPDX-License-Identifier: Apache-2.0
//
// Comma-separated values as RFC 4180 has them: cells with commas, quotes or line breaks stand in
// quotes. A text that a spreadsheet would run as a formula (it begins with = + - @ or a tab) gets
// an apostrophe before it, which reading takes off again.
//
//   std::string line = csv_line({"Ana", "82"});      // "Ana,82\r\n"
//   auto rows = read_csv(text, 1000000);
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace nthtree::base {

using CsvRow = std::vector<std::string>;

std::string csv_line(const CsvRow& cells);

// Guards a text (not a number) against being run as a formula; the second takes the guard off.
std::string guarded(const std::string& text);
std::string unguarded(const std::string& text);

// Rows with their cells; empty lines are left out, a byte order mark is skipped. Line breaks may be
// "\r\n" or "\n"; cells may be parted by another mark than a comma. Errors: not_csv (where =
// "line N"), too_long.
Result<std::vector<CsvRow>> read_csv(std::string_view text, std::size_t rows_max,
                                     char separator = ',');

}  // namespace nthtree::base
