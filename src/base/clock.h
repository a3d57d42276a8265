// SPDX-License-Identifier: Apache-2.0
//
// The seam for time. Engine code is handed a Clock and never asks the system.
//
// Wall time is milliseconds since 1970-01-01 UTC and may jump either way (a phone's clock is set
// by hand in the field); elapsed time never goes back and is the one to measure durations with.
#pragma once

#include <cstdint>

namespace nthtree::base {

inline constexpr std::int64_t day_ms = 24LL * 3600 * 1000;

class Clock {
 public:
  virtual ~Clock() = default;
  virtual std::int64_t wall_ms() const = 0;     // since 1970-01-01 UTC
  virtual std::int64_t elapsed_ms() const = 0;  // since some fixed moment
};

}  // namespace nthtree::base
