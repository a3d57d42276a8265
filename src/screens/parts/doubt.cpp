// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/doubt.h"

#include <vector>

#include "screens/parts/entries.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {
namespace {

bool is_held_against_target(const ledger::Body& count) {
  return std::holds_alternative<ledger::TagCount>(count) ||
         std::holds_alternative<ledger::CheckCount>(count) ||
         std::holds_alternative<ledger::ExerciseCount>(count);
}

}  // namespace

advice::CountDoubt doubt_about(Frame& frame, const ledger::Body& count, int number) {
  const std::string& id = frame.block_id();
  const ledger::BlockSeason* block = frame.season.block(id);
  const advice::BlockTarget* target =
      is_held_against_target(count) ? frame.cache.target(frame.season, id) : nullptr;
  return advice::count_doubt(
      number, block ? earlier_numbers(*block, count, frame.session.person) : std::vector<int>{},
      target ? target->target.spurs_to_leave_per_tree.value : 0);
}

bool odd_number_accepted(Frame& frame, const advice::CountDoubt& doubt, int number,
                         const std::string& yes) {
  using Why = advice::CountDoubt::Why;
  const char* key = doubt.why == Why::far_from_own      ? "doubt.own"
                    : doubt.why == Why::far_from_target ? "doubt.target"
                                                        : "doubt.nothing";
  return asked(frame, "odd", tr("doubt.title", {{"n", whole(number)}}),
               tr(key, {{"n", whole(number)}, {"usual", whole(doubt.usual)}}), yes,
               tr("doubt.no"));
}

}  // namespace nthtree::screens
