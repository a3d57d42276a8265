// SPDX-License-Identifier: Apache-2.0
//
// Presets by variety: where a block's numbers start before its own seasons have taught better.
//
// Read from assets/varieties.json; a farm changes single values by a record of its own, and what it
// leaves alone stays as it came. Every value carries its source, or says "common practice, no
// source". A preset is a starting value in a form, never a rule.
//
//   Result<std::vector<Variety>> all = read_varieties(json_text);
//   const Variety* v = find_variety(*all, "Honeycrisp");
//   Variety ours = with_change(*v, {.name = "Honeycrisp", .insurance_factor = 2.0});
#pragma once

#include <optional>
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

// What a farm sets of a variety's values; the others stay as they came.
struct VarietyChange {
  std::string name;
  std::optional<double> insurance_factor;
  std::optional<double> fruits_per_cm2_low, fruits_per_cm2_high;
  std::optional<double> seeds_per_fruit;
  std::optional<BiennialTendency> biennial_tendency;
  std::optional<PruningTime> pruning_time;
  std::string source;  // where the farm has them from; may be empty
  bool empty() const;  // nothing is set
  friend bool operator==(const VarietyChange&, const VarietyChange&) = default;
};

inline constexpr std::string_view no_source = "common practice, no source";
inline constexpr std::string_view set_by_farm = "set by this farm";

inline constexpr std::size_t varieties_bytes_max = 262144;
inline constexpr std::size_t varieties_max = 500;

// Reads the file's text. Errors name the variety and the field ("varieties[3].insurance_factor"),
// the value and what is allowed; one bad entry refuses the whole text, so that a farm never works
// with half of its edited file.
base::Result<std::vector<Variety>> read_varieties(std::string_view json_text);

// The preset with the farm's values in it; each value set says so in its source. A low end above
// the other, unchanged end takes that along.
Variety with_change(Variety preset, const VarietyChange& change);
// The same over a list; a variety that is not in it begins from the defaults above.
std::vector<Variety> with_changes(std::vector<Variety> presets,
                                  const std::vector<VarietyChange>& changes);

// "Honeycrisp" → "honeycrisp" (ASCII): under one key whatever way it was typed.
std::string variety_key(std::string_view name);

// By name, upper and lower case alike (ASCII); null where there is none.
const Variety* find_variety(const std::vector<Variety>& varieties, std::string_view name);

}  // namespace nthtree::orchard
