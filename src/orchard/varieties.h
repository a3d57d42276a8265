// SPDX-License-Identifier: Apache-2.0
//
// Presets by variety: where a block's numbers start before its own seasons have taught better.
//
// Read from assets/varieties.json, which a farm may edit. Every value carries its source, or says
// "common practice, no source". A preset is a starting value in a form, never a rule.
//
//   Result<std::vector<Variety>> all = read_varieties(json_text);
//   const Variety* v = find_variety(*all, "Honeycrisp");
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace nthtree::orchard {

enum class BiennialTendency { low, medium, high };

// When pruning is better done: finished before green tip, or left until flower clusters show and
// the target re-based on them.
enum class PruningTime { before_green_tip, rebase_after_green_tip, either };

struct Variety {
  std::string name;
  double insurance_factor = 1.5;
  std::string insurance_factor_source;
  double fruits_per_cm2_low = 0;  // crop load per cm² of trunk cross-section
  double fruits_per_cm2_high = 0;
  std::string fruits_per_cm2_source;
  BiennialTendency biennial_tendency = BiennialTendency::medium;
  std::string biennial_tendency_source;
  PruningTime pruning_time = PruningTime::either;
  std::string pruning_time_source;
  double seeds_per_fruit = 10;
  std::string seeds_per_fruit_source;
  friend bool operator==(const Variety&, const Variety&) = default;
};

inline constexpr std::size_t varieties_bytes_max = 262144;
inline constexpr std::size_t varieties_max = 500;

// Reads the file's text. Errors name the variety and the field ("varieties[3].insurance_factor"),
// the value and what is allowed; one bad entry refuses the whole text, so that a farm never works
// with half of its edited file.
base::Result<std::vector<Variety>> read_varieties(std::string_view json_text);

// By name, upper and lower case alike (ASCII); null where there is none.
const Variety* find_variety(const std::vector<Variety>& varieties, std::string_view name);

}  // namespace nthtree::orchard
