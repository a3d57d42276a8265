// SPDX-License-Identifier: Apache-2.0
//
// The hybrid logical clock of one device: gives each new record its stamp.
//
// Source: S. Kulkarni, M. Demirbas et al., "Logical Physical Clocks", OPODIS 2014, LNCS 8878,
// p. 17-32, figure 5. One rule is added: a received stamp moves this clock at most
// `ahead_ms_max` past the device's own wall clock, so that one phone set to 2099 does not drag
// every other phone with it. A record stamped beyond that then sorts after ours although we had
// seen it, which hurts nobody's numbers.
//
// Invariants: every stamp given is later than all given before, also where the wall clock jumps
// back; so a device's own records keep their order whatever its clock does.
// Not here: reading the time. Units: milliseconds since 1970-01-01 UTC.
//
//   ClockOfDevice clock;
//   clock.saw(received.stamp, now_ms);
//   record.stamp = clock.next(now_ms);
#pragma once

#include <algorithm>
#include <cstdint>
#include <limits>

#include "ledger/record.h"

namespace nthtree::ledger {

class ClockOfDevice {
 public:
  static constexpr std::int64_t ahead_ms_max = 10 * 60 * 1000;

  // The stamp of a new record written now.
  Stamp next(std::int64_t wall_ms);
  // A record of somebody else has arrived.
  void saw(const Stamp& stamp, std::int64_t wall_ms);
  // A record of this device was found on its own disk: believed whole.
  void wrote(const Stamp& stamp) { last_ = std::max(last_, stamp); }

  const Stamp& last() const { return last_; }

 private:
  Stamp last_;
};

}  // namespace nthtree::ledger
