// SPDX-License-Identifier: Apache-2.0
//
// Decimal text to a double and back, in 64-bit whole numbers. The C library reckons in 128-bit
// floating point, which WebAssembly does in software, and prints by one large function: 19 KB of
// code that a phone would fetch for its first number. This reads and writes what numbers look like,
// to the same bit and letter, and leaves the rest to it.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

namespace nthtree::base {

// The number at the beginning of the text, rounded to the nearest double, ties to even, as strtod
// has it; `behind` is then where it ends. Nothing, and `behind` left alone, where it is none, has
// more than 19 digits or a place beyond 1e22 or 1e-27, or is written otherwise: "inf", " 1", "0x1",
// "3x".
std::optional<double> quick_decimal(const char* text, const char*& behind);

// As printf has it for "%.*f". Nothing where the value is 1e15 or more or not finite, where more
// than 9 decimals are asked for, or where its last bits might decide how it is rounded.
std::optional<std::string> quick_fixed(double value, int decimals);

// The shortest text that reads back as the same double, where that has up to 15 digits and needs no
// exponent: 1e15 or more, less than 0.0001, and what a third is, are nothing.
std::optional<std::string> quick_shortest(double value);

}  // namespace nthtree::base
