// SPDX-License-Identifier: Apache-2.0
//
// Decimal text to a double, in 64-bit whole numbers. The C library reckons in 128-bit floating
// point, which WebAssembly does in software: 12 KB of code that a phone would fetch for its first
// number. This reads what numbers look like, to the same bit, and leaves the rest to it.
#pragma once

#include <optional>

namespace nthtree::base {

// The number at the beginning of the text, rounded to the nearest double, ties to even, as strtod
// has it; `behind` is then where it ends. Nothing, and `behind` left alone, where it is none, has
// more than 19 digits or a place beyond 1e22 or 1e-27, or is written otherwise: "inf", " 1", "0x1",
// "3x".
std::optional<double> quick_decimal(const char* text, const char*& behind);

}  // namespace nthtree::base
