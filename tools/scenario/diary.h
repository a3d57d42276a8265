// SPDX-License-Identifier: Apache-2.0
//
// Collects what happened in any order and writes it as each device would have: in time order, with
// the device's own sequence numbers and stamps, in the record form itself.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "ledger/record.h"

namespace nthtree::scenario {

class Diary {
 public:
  Diary(std::uint64_t seed, int devices);

  // Returns a handle for `replaces`. A correction is written later than what it corrects, on the
  // same device or another.
  std::size_t note(std::int64_t at_ms, int device, std::string author, ledger::Body body,
                   std::optional<std::size_t> replaces = std::nullopt);

  // The JSON lines of each device, of what was written before until_ms (0: all). An error where a record is outside the form's limits, which is
  // a mistake of the plan.
  base::Result<std::vector<std::string>> written(std::int64_t until_ms = 0) const;
  std::size_t size() const { return events_.size(); }

 private:
  struct Event {
    std::int64_t at_ms;
    int device;
    std::string author;
    ledger::Body body;
    std::optional<std::size_t> replaces;
  };
  std::vector<ledger::DeviceKey> keys_;
  std::vector<Event> events_;
};

}  // namespace nthtree::scenario
