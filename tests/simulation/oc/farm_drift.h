// SPDX-License-Identifier: Apache-2.0
//
// Flags of a farm's level charts as a lead sees them, hour by hour: those raised though nothing had
// changed, and how many counts a change takes to be found. Ours beside the chart that it replaced.
//
//   watch.look("b1 p03", row.drift.level.alarm, 0, day.drift);
#pragma once

#include <map>
#include <string>

#include "advice/judged/drift.h"
#include "advice/judged/standing.h"

namespace nthtree::oc {

struct DriftTally {
  int false_flags = 0;             // raised before anything changed
  int found = 0, counts_until = 0; // changes found, and counts from the change to the flag, summed
  void add(const DriftTally& other);
};

class FlagWatch {
 public:
  // counts_since: since the change, 0 before it. Whoever had a flag before a change is left out of
  // the delays.
  void look(const std::string& who, bool flag, int counts_since, DriftTally& tally);

 private:
  struct Seen {
    bool flag = false, spoiled = false, found = false;
  };
  std::map<std::string, Seen> seen_;
};

// Whether the chart as it was has a flag up: a count's spread that of the trees alone, its scale that
// of the level as it is known by now, and nothing taken back.
bool flag_as_it_was(const advice::Drift& drift, const advice::Standing& standing, double target);

}  // namespace nthtree::oc
