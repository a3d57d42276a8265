// SPDX-License-Identifier: Apache-2.0
#include "base/decimal.h"

#include <bit>
#include <charconv>
#include <cmath>

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

constexpr double fixed_below = 1e15;   // the whole part and its digits are exact
constexpr double plain_from = 0.0001;  // smaller ones have an exponent
constexpr int decimals_max = 9;

// digits / 10^decimals, at least one digit before the point.
std::string with_point(bool negative, std::uint64_t digits, int decimals) {
  char text[24];
  std::string all(text, std::to_chars(text, text + sizeof text, digits).ptr);
  if (all.size() <= static_cast<std::size_t>(decimals)) {
    all.insert(0, static_cast<std::size_t>(decimals) + 1 - all.size(), '0');
  }
  if (decimals > 0) all.insert(all.size() - static_cast<std::size_t>(decimals), 1, '.');
  return negative ? '-' + all : all;
}

}  // namespace

std::optional<std::string> quick_fixed(double value, int decimals) {
  const double size = std::fabs(value);
  if (!(size < fixed_below) || decimals < 0 || decimals > decimals_max) return std::nullopt;
  std::uint32_t power = 1;
  for (int i = 0; i < decimals; ++i) power *= 10;
  const double whole = std::floor(size);
  // What stands behind the point in 64 bits, times the power: 32 bits at a time.
  const double shifted = std::ldexp(size - whole, 64);
  const auto fraction = static_cast<std::uint64_t>(shifted);
  const bool is_all = static_cast<double>(fraction) == shifted;
  const std::uint64_t low = (fraction & 0xffffffff) * power;
  const std::uint64_t high = (fraction >> 32) * power + (low >> 32);
  const std::uint64_t below = high << 32 | (low & 0xffffffff);  // of one in the last place
  constexpr std::uint64_t half = std::uint64_t{1} << 63;
  if (!is_all && below <= half && half - below <= power) return std::nullopt;
  std::uint64_t places = high >> 32;
  const std::uint64_t last = decimals > 0 ? places : static_cast<std::uint64_t>(whole);
  if (below > half || (below == half && last % 2 != 0)) ++places;
  const std::uint64_t ones = static_cast<std::uint64_t>(whole) + places / power;
  if (ones >= digits_max / power) return std::nullopt;
  return with_point(std::signbit(value), ones * power + places % power, decimals);
}

std::optional<std::string> quick_shortest(double value) {
  const double size = std::fabs(value);
  if (!(size < fixed_below) || (size < plain_from && size != 0)) return std::nullopt;
  double power = 1;
  for (int decimals = 0; decimals <= exact_power_max; ++decimals, power *= 10) {
    const double digits = std::round(size * power);
    if (digits >= fixed_below) break;
    if (digits / power != size) continue;
    return with_point(std::signbit(value), static_cast<std::uint64_t>(digits), decimals);
  }
  return std::nullopt;
}

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
