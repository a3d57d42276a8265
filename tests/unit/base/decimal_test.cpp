// SPDX-License-Identifier: Apache-2.0
#include "base/decimal.h"

#include <doctest/doctest.h>

#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <cstring>
#include <string>

#include "base/random.h"
#include "base/text.h"

namespace {

using nthtree::base::quick_decimal;

bool are_same_bits(double a, double b) { return std::memcmp(&a, &b, sizeof a) == 0; }

// The C library's answer, to the bit and to the letter where it ends.
bool is_alike(const std::string& text) {
  const char* behind = nullptr;
  const auto quick = quick_decimal(text.c_str(), behind);
  if (!quick) return behind == nullptr;
  char* end = nullptr;
  const double value = std::strtod(text.c_str(), &end);
  return end == behind && are_same_bits(value, *quick);
}

bool is_quick(const std::string& text) {
  const char* behind = nullptr;
  return quick_decimal(text.c_str(), behind).has_value();
}

}  // namespace

TEST_SUITE("base: decimal") {
  TEST_CASE("a number is the C library's to the bit, whatever digits it has") {
    nthtree::base::Random random(20261129);
    int quick = 0;
    for (int i = 0; i < 40000; ++i) {
      const std::uint64_t bits = random.next();
      const int exponent = static_cast<int>(random.next() % 80) - 40;
      const double value = std::ldexp(static_cast<double>(bits >> 11), exponent - 52);
      for (const int digits : {3, 9, 15, 16, 17, 19}) {
        const std::string text = nthtree::base::print("%.*g", digits, i % 2 ? -value : value);
        if (!is_alike(text)) FAIL(text);
        quick += is_quick(text);
      }
    }
    CHECK(quick > 200000);  // nearly all of them, or nothing was tested
  }

  TEST_CASE("a number half way between two doubles goes to the even one, and a little more up") {
    for (std::uint64_t i = 0; i < 2000; ++i) {
      const std::uint64_t whole = (std::uint64_t{1} << 53) + i;
      for (const char* fraction : {"", ".5", ".25", ".75", ".50000", ".001"}) {
        for (const std::uint64_t number : {whole, whole / 2, whole / 4, 2 * whole + 1}) {
          const std::string text = std::to_string(number) + fraction;
          if (!is_alike(text)) FAIL(text);
        }
      }
    }
    CHECK(is_quick("9007199254740993.5"));
  }

  TEST_CASE("what is written out of the ordinary is left to the C library") {
    for (const std::string text : {"0", "-0", "0.0", "-12.50", "1.", "7e3", "7E-3", "1e22", "4,5",
                                   "00012", "1..2", "5 kg"}) {
      CAPTURE(text);
      CHECK(is_quick(text));
      CHECK(is_alike(text));
    }
    for (const std::string text : {"", "-", ".", ".5", "+1", " 1", "inf", "nan", "0x10", "3x", "1e",
                                   "1e+", "1e23", "123456789012345678901", "5e-324",
                                   "1e99999999999"}) {
      CAPTURE(text);
      CHECK_FALSE(is_quick(text));
      CHECK(is_alike(text));
    }
  }
}
