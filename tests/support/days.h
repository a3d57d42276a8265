// SPDX-License-Identifier: Apache-2.0
//
// Dates for tests as people write them: day("2026-03-01") since 1970-01-01, noon("2026-03-01") in
// milliseconds since then.
#pragma once

#include <doctest/doctest.h>

#include <cstdint>
#include <string>

#include "base/clock.h"
#include "base/text.h"

namespace nthtree::test {

inline std::int64_t day(const std::string& text) {
  std::int64_t at_ms = 0;
  REQUIRE(base::parse_iso(text, at_ms));
  return at_ms / base::day_ms;
}

inline std::int64_t noon(const std::string& text) {
  return day(text) * base::day_ms + base::day_ms / 2;
}

}  // namespace nthtree::test
