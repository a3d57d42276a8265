// SPDX-License-Identifier: Apache-2.0
#include "base/decimal.h"

#include <doctest/doctest.h>

#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <limits>
#include <string>

#include "base/random.h"
#include "base/text.h"

namespace {

using nthtree::base::quick_decimal;
using nthtree::base::quick_fixed;
using nthtree::base::quick_shortest;

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

// The C library's, whatever print and shortest do.
std::string printed(const char* format, int digits, double value) {
  char text[512];
  std::snprintf(text, sizeof text, format, digits, value);
  return text;
}

// 1 where it was written, and FAILs where it is not the C library's to the letter.
int is_fixed_alike(double value, int decimals) {
  const auto text = quick_fixed(value, decimals);
  if (!text) return 0;
  const std::string wanted = printed("%.*f", decimals, value);
  if (*text != wanted) FAIL(*text << ", not " << wanted);
  return 1;
}
int is_shortest_alike(double value) {
  const auto text = quick_shortest(value);
  if (!text) return 0;
  const std::string wanted = printed("%.*g", 15, value);
  if (*text != wanted || std::strtod(wanted.c_str(), nullptr) != value) FAIL(*text);
  return 1;
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

  TEST_CASE("a number written is the C library's to the letter, whatever it is") {
    nthtree::base::Random random(20261130);
    int written = 0;
    for (int i = 0; i < 20000; ++i) {
      const std::uint64_t bits = random.next();
      const int exponent = static_cast<int>(random.next() % 100) - 60;
      const double value = std::ldexp(static_cast<double>(bits >> 11), exponent - 52);
      for (int decimals = 0; decimals <= 10; ++decimals) {
        written += is_fixed_alike(i % 2 ? -value : value, decimals);
      }
      is_shortest_alike(value);
    }
    CHECK(written > 100000);
  }

  TEST_CASE("a number of few digits is written, and half way between two it goes to the even one") {
    nthtree::base::Random random(20261201);
    int written = 0;
    for (int i = 0; i < 20000; ++i) {
      const auto digits = static_cast<double>(random.next() % 10'000'000);
      const int decimals = static_cast<int>(random.next() % 5);
      const double power = std::pow(10.0, decimals), value = digits / power;
      for (const double number : {value, value + 0.5 / power, std::nextafter(value, 1e9),
                                  std::ldexp(digits, -6)}) {
        written += is_fixed_alike(number, decimals);
      }
      if (is_shortest_alike(value) != 1) FAIL(value);
    }
    CHECK(written > 79000);
  }

  TEST_CASE("numbers out of the ordinary are left to the C library") {
    const double infinity = std::numeric_limits<double>::infinity();
    for (const double value : {infinity, -infinity, std::nan(""), 1e15, -1e15, 1e300}) {
      CHECK_FALSE(quick_fixed(value, 2));
      CHECK_FALSE(quick_shortest(value));
    }
    for (const double value : {0.00001, 5e-324, 1.0 / 3}) CHECK_FALSE(quick_shortest(value));
    CHECK_FALSE(quick_fixed(1, 10));
    CHECK_FALSE(quick_fixed(1, -1));
    for (const double value : {0.0, -0.0, 0.5, 1.5, 2.5, 999999999999999.0, 0.0001, -12.75}) {
      CHECK(is_fixed_alike(value, 0) == 1);
      CHECK(is_shortest_alike(value) == 1);
    }
  }
}
