// SPDX-License-Identifier: Apache-2.0
//
// What of a day needs somebody to decide, and what is otherwise than it was when the day began:
// worst first, so that whoever reads the first line has read the most important one.
//
// Worse is further off as a share of what is wanted: of the target for a person or a block, of the
// people at work for a block that will be late. Money is not weighed: few farms enter their rates.
//
//   for (const Decision& open : decisions_of(review)) show(open.kind, open.block, open.person);
#pragma once

#include <string>
#include <vector>

#include "advice/review/day_review.h"

namespace nthtree::advice {

enum class DecisionKind {
  tell_person,     // prunes too little or too much, and sure: harder or lighter
  block_off,       // the block's mean is surely outside its band
  block_late,      // more likely than not unfinished at green tip
  person_changed,  // drifted, without a verdict yet: look
  stop_pruning,    // after a frost unpruned trees carry no more than is to be left
};

struct Decision {
  DecisionKind kind = DecisionKind::tell_person;
  std::string block;
  std::string person;  // empty for those of a block
  double weight = 0;   // share off, see above
};

std::vector<Decision> decisions_of(const DayReview& review);

// A person whose verdict is another one, or (without a person) a block whose acceptance is.
struct Change {
  std::string block;
  std::string person;
  double weight = 0;
};

std::vector<Change> changes_of(const DayReview& review);

}  // namespace nthtree::advice
