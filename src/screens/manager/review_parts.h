// SPDX-License-Identifier: Apache-2.0
//
// The parts of the day's review: each a list on a phone and a table that sorts on a desk.
//
// Private to this folder.
#pragma once

#include <cstdint>
#include <string>

#include "advice/review/day_review.h"
#include "advice/review/decisions.h"
#include "screens/parts/frame.h"

namespace nthtree::screens {

// The day looked at; where none was chosen, the last one that has records, or else today.
std::int64_t shown_day(Frame& frame);

// What needs a decision, worst first; and what is otherwise than when the day began.
void to_decide(Frame& frame, const advice::DayReview& review);
void changed_since(Frame& frame, const advice::DayReview& review);
// The blocks: done as wanted or not, pace, cost.
void blocks_of_day(Frame& frame, const advice::DayReview& review);
// Who counted and pruned, and who re-counted.
void people_of_day(Frame& frame, const advice::DayReview& review);
// Trees to go back to, by block.
void trees_to_revisit(Frame& frame, const advice::DayReview& review);

// A decision or a change in words: who or where, the verdict, and the rest of the sentence.
struct NewsLine {
  std::string label, trailing, detail;
};
NewsLine line_of(const ledger::Season& season, const advice::DayReview& review,
                 const advice::Decision& decision);
NewsLine line_of(const ledger::Season& season, const advice::DayReview& review,
                 const advice::Change& change);

// "done as wanted", "too many left" …: a block's state in three words.
std::string block_state(advice::AcceptanceKind kind);
// The mean and the trees around it in one breath: a mean as wanted and half of the trees outside
// the band are both true where over and under even out. Empty where nothing is known.
std::string spread_text(const advice::Acceptance& done);
// "in time", "4 chances in 10": how likely the block is done before green tip.
std::string in_time_text(double probability);

}  // namespace nthtree::screens
