// SPDX-License-Identifier: Apache-2.0
#include "ledger/clock_of_device.h"

namespace nthtree::ledger {

Stamp ClockOfDevice::next(std::int64_t wall_ms) {
  if (wall_ms > last_.at_ms) {
    last_ = {wall_ms, 0};
  } else if (last_.tick == std::numeric_limits<std::uint32_t>::max()) {
    last_ = {last_.at_ms + 1, 0};
  } else {
    ++last_.tick;
  }
  return last_;
}

void ClockOfDevice::saw(const Stamp& stamp, std::int64_t wall_ms) {
  last_ = std::max(last_, std::min(stamp, Stamp{wall_ms + ahead_ms_max, 0}));
}

}  // namespace nthtree::ledger
