// SPDX-License-Identifier: Apache-2.0
//
// Rows as people say and type them: "12–18, 20".
//
//   row_list_text({12, 13, 14, 20})     "12–14, 20"
//   parse_row_list("12-14 20")          {12, 13, 14, 20}
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace nthtree::orchard {

// Rows in order; runs of them with an en dash.
std::string row_list_text(const std::vector<int>& rows);

// Numbers and ranges, either way round, with commas, semicolons or blanks between; each row once,
// in order. Errors: bad_row_list (what cannot be read), out_of_range (a row beyond 1 … rows_most).
base::Result<std::vector<int>> parse_row_list(std::string_view text, int rows_most);

}  // namespace nthtree::orchard
