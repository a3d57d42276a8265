// SPDX-License-Identifier: Apache-2.0
#include "base/text.h"

#include <doctest/doctest.h>

#include <cmath>
#include <cstdio>

using namespace nthtree::base;

namespace {

template <typename... Given>
void check_print(const char* format, Given... given) {
  char text[512];
  std::snprintf(text, sizeof text, format, given...);
  CHECK(print(format, given...) == text);
}

}  // namespace

TEST_SUITE("base") {
  TEST_CASE("the shortest text reads back as the same double") {
    CHECK(shortest(0.1) == "0.1");
    CHECK(shortest(1320) == "1320");
    CHECK(shortest(1.0 / 3) == "0.3333333333333333");
    CHECK(shortest(NAN) == "null");
  }

  TEST_CASE("what is printed is what the C library prints") {
    for (const long long v : {0LL, 7LL, -7LL, 123456LL, -2147483648LL, 2147483647LL,
                              -9223372036854775807LL - 1, 9223372036854775807LL}) {
      const int n = static_cast<int>(v);
      const auto u = static_cast<unsigned>(n);
      const auto w = static_cast<unsigned long long>(v);
      check_print("%d|%04d|%02d", n, n, n);
      check_print("%u|%x|%02x|%08x", u, u, u, u);
      check_print("%lld|%llu|%016llx", v, w, w);
      check_print("%ld|%lu|%zu", static_cast<long>(v), static_cast<unsigned long>(w),
                  static_cast<std::size_t>(w));
      check_print("%c%s%%%s|%d", 'x', "", "a text", n);
      check_print("%.2f|%.0f|%.*f|%.1f", n / 4.0, n / 4.0, 3, n / 3.0, -n / 7.0);
      check_print("%g|%.3g|%5d|%-3d|%+d|%.2s|%e", n / 3.0, n / 3.0, n, n, n, "abc", n / 3.0);
    }
  }

  TEST_CASE("UTF-8 is judged by RFC 3629") {
    CHECK(is_utf8("poda de árboles ↓ 🍎"));
    CHECK_FALSE(is_utf8("\xc0\xaf"));          // overlong slash
    CHECK_FALSE(is_utf8("\xed\xa0\x80"));      // surrogate
    CHECK_FALSE(is_utf8("\xf4\x90\x80\x80"));  // past U+10FFFF
    CHECK_FALSE(is_utf8("cut \xe2\x82"));      // cut short
  }

  TEST_CASE("a number is taken from the front, or nothing is") {
    std::string_view rest = "12:-3 4294967301";
    int number = 0;
    CHECK(take_number(rest, number));
    CHECK(number == 12);
    CHECK_FALSE(take_number(rest, number));
    CHECK_FALSE(take_text(rest, "::"));
    CHECK(take_text(rest, ":"));
    CHECK(take_number(rest, number));
    CHECK(number == -3);
    CHECK(take_text(rest, " "));
    CHECK_FALSE(take_number(rest, number));  // more than an int holds
    CHECK(number == -3);
    CHECK(rest == "4294967301");
    rest = "";
    CHECK_FALSE(take_number(rest, number));
    CHECK_FALSE(take_text(rest, "x"));
  }

  TEST_CASE("a text is taken line by line, an empty one and a last one without its break too") {
    const auto lines = [](std::string_view text) {
      std::string taken;
      while (!text.empty()) (taken += '[') += std::string(take_line(text)) + ']';
      return taken;
    };
    CHECK(lines("a\n\nbc\n") == "[a][][bc]");
    CHECK(lines("a\nbc") == "[a][bc]");
    CHECK(lines("\n") == "[]");
    CHECK(lines("") == "");
  }

  TEST_CASE("a moment written is the moment read") {
    std::int64_t ms = 0;
    CHECK(parse_iso("2026-02-03T07:15", ms));
    CHECK(iso_minute(ms) == "2026-02-03T07:15");
    CHECK(parse_iso("1970-01-02", ms));
    CHECK(ms == 86400000);
    CHECK(parse_iso("1969-12-31T23:59:59Z", ms));
    CHECK(ms == -1000);
    CHECK(iso_minute(-1000) == "1969-12-31T23:59");
  }

  TEST_CASE("days that do not exist are refused") {
    std::int64_t ms = 0;
    for (const char* text : {"2026-02-29", "2026-13-01", "2026-1-1", "2026-02-03T24:00", "",
                             "2026-02-03T07:15:61", "spring"}) {
      CHECK_MESSAGE(!parse_iso(text, ms), text);
    }
    CHECK(parse_iso("2028-02-29", ms));
  }
}
