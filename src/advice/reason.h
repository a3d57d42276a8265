// SPDX-License-Identifier: Apache-2.0
//
// Why something is advised, in a form that any language can be made of: a stable id and the
// numbers that belong into its sentence. screens and cli hold one sentence an id, with the
// numbers by name ("{over} spurs over"). README.md lists every id with its numbers.
//
//   Reason why = verdict.reason;            // {"harder_sure", {{"over", 42}, {"counts", 3}}}
//   double over = why.number("over");
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace nthtree::advice {

struct Reason {
  std::string id;                                        // snake_case, stable
  std::vector<std::pair<std::string, double>> numbers;  // by name, in the order of the sentence

  // The number of that name; 0 where there is none.
  double number(std::string_view name) const;
  friend bool operator==(const Reason&, const Reason&) = default;
};

}  // namespace nthtree::advice
