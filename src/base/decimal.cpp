// SPDX-License-Identifier: Apache-2.0
#include "base/decimal.h"

#include <bit>
#include <cmath>
#include <cstdint>

namespace nthtree::base {
namespace {

constexpr std::uint64_t digits_max = 999'999'999'999'999'999u;  // one more digit still fits
constexpr std::uint64_t exact_max = std::uint64_t{1} << 53;     // every whole number up to here
constexpr int exact_power_max = 22;                             // 10^22 is a double
constexpr int fifths_max = 27;                                  // 5^27 is less than 2^63
constexpr int double_bits = 53;

bool is_digit(char c) { return c >= '0' && c <= '9'; }

// Nothing where there are too many.
bool take_digits(const char*& at, std::uint64_t& digits) {
  for (; is_digit(*at); ++at) {
    if (digits > digits_max) return false;
    digits = digits * 10 + static_cast<std::uint64_t>(*at - '0');
  }
  return true;
}

// digits / 10^power to the nearest double: divided by 5^power bit by bit until there are more bits
// than a double holds, then rounded; what is left over tells a tie from more than one.
double divided(std::uint64_t digits, int power) {
  std::uint64_t divisor = 1;
  for (int i = 0; i < power; ++i) divisor *= 5;
  std::uint64_t quotient = digits / divisor, left = digits % divisor;
  int exponent = -power;
  while (quotient < 2 * exact_max) {
    left *= 2;
    quotient = quotient * 2 + (left >= divisor);
    if (left >= divisor) left -= divisor;
    --exponent;
  }
  const int more = static_cast<int>(std::bit_width(quotient)) - double_bits;
  const std::uint64_t half = std::uint64_t{1} << (more - 1);
  const std::uint64_t below = quotient & (2 * half - 1);
  quotient >>= more;
  if (below > half || (below == half && (left != 0 || quotient % 2 != 0))) ++quotient;
  return std::ldexp(static_cast<double>(quotient), exponent + more);
}

// Where both are doubles, one division or multiplication rounds once.
std::optional<double> value_of(std::uint64_t digits, int exponent) {
  if (digits == 0) return 0.0;
  if (digits <= exact_max && std::abs(exponent) <= exact_power_max) {
    double power = 1;
    for (int i = 0; i < std::abs(exponent); ++i) power *= 10;
    const double whole = static_cast<double>(digits);
    return exponent < 0 ? whole / power : whole * power;
  }
  if (exponent > 0 || exponent < -fifths_max) return std::nullopt;
  return divided(digits, -exponent);
}

// "e-7"; 0 where there is none, nothing where it is long or begins as one and is none.
std::optional<int> take_exponent(const char*& at) {
  if (*at != 'e' && *at != 'E') return 0;
  ++at;
  const bool negative = *at == '-';
  if (*at == '-' || *at == '+') ++at;
  const char* const first = at;
  int exponent = 0;
  for (; is_digit(*at) && at - first < 3; ++at) exponent = exponent * 10 + (*at - '0');
  if (at == first || is_digit(*at)) return std::nullopt;
  return negative ? -exponent : exponent;
}

}  // namespace

std::optional<double> quick_decimal(const char* text, const char*& behind) {
  const char* at = text;
  const bool negative = *at == '-';
  if (negative) ++at;
  const char* const first = at;
  std::uint64_t digits = 0;
  if (!take_digits(at, digits) || at == first || *at == 'x' || *at == 'X') return std::nullopt;
  long decimals = 0;
  if (*at == '.') {
    const char* const fraction = ++at;
    if (!take_digits(at, digits)) return std::nullopt;
    decimals = at - fraction;
  }
  const auto exponent = take_exponent(at);
  if (!exponent || decimals > 1000) return std::nullopt;
  const auto value = value_of(digits, *exponent - static_cast<int>(decimals));
  if (!value) return std::nullopt;
  behind = at;
  return negative ? -*value : *value;
}

}  // namespace nthtree::base
