// SPDX-License-Identifier: Apache-2.0
//
// Numbers as people type them, whichever signs they are used to: 1350, 1,350, 1 350, 1'350,
// 1.350,5, or 13,50,000.
//
// What a sign means is decided by the text alone, never by the language: people type as they learnt
// to, and a crew has several habits. What cannot be decided, "1,350", has two readings; the field
// it stands in says which is possible.
//
// Private to this folder.
//
//   readings_of("1,350")    {1350, 1.35}
//   readings_of("12,5")     {12.5}
//   readings_of("12 ft")    {}
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "orchard/limits.h"

namespace nthtree::screens {

// None where it is no number, one, or two: first the one with groups, then the one with a decimal
// sign.
std::vector<double> readings_of(std::string_view text);

struct TypedNumber {
  enum class State { empty, no_number, outside, fits, either };
  State state = State::empty;
  double value = 0;   // fits; outside: what was read first
  double second = 0;  // either: value or this
};
// whole: no decimal sign is possible.
TypedNumber typed_number(std::string_view text, orchard::Range range, bool whole = false);

// Plain text of a number for a field: the language's decimal sign, no groups, no trailing zeros.
std::string field_number(double value, int decimals);
// The same, such that it has one reading: a zero follows three decimals.
std::string unmistakable_number(double value);

}  // namespace nthtree::screens
