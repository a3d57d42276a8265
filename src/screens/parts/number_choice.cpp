// SPDX-License-Identifier: Apache-2.0
#include "screens/parts/number_choice.h"

#include "screens/parts/parts.h"
#include "screens/parts/wording.h"

namespace nthtree::screens {

bool has_second(CountPurpose purpose) {
  return purpose == CountPurpose::clusters || purpose == CountPurpose::part_clusters ||
         purpose == CountPurpose::return_bloom;
}

std::string unit_of(const CountDraft& draft) {
  switch (draft.purpose) {
    case CountPurpose::clusters:
    case CountPurpose::part_clusters:
      return draft.on_second ? tr("count.vegetative") : tr("count.floral");
    case CountPurpose::harvest:
      return tr("count.fruits");
    case CountPurpose::return_bloom:
      return draft.on_second ? tr("count.all_spurs") : tr("count.floral_spurs");
    default:
      return tr("count.spurs");
  }
}

void number_choice(Frame& frame, const CountDraft& draft) {
  const bool clusters = draft.purpose != CountPurpose::return_bloom;
  std::vector<widgets::Choice> numbers = {
      {"first",
       (clusters ? tr("count.floral") : tr("count.floral_spurs")) + " " + whole(draft.spurs())},
      {"second", (clusters ? tr("count.vegetative") : tr("count.all_spurs")) + " " +
                     whole(draft.second())}};
  const int now = draft.on_second ? 1 : 0;
  const int chosen = segments(frame.ui, {.id = "number",
                                         .label = tr("count_noun"),
                                         .items = numbers,
                                         .selected = now,
                                         .hide_label = true});
  if (chosen != now) frame.want(ChooseNumber{chosen == 1});
}

bool is_second_unsaid(const CountDraft& draft) {
  return has_second(draft.purpose) && draft.second_digits.empty() && !draft.practice;
}

bool none_accepted(Frame& frame, const CountDraft& draft) {
  const bool again = draft.purpose == CountPurpose::return_bloom;
  return asked(frame, "none", tr(again ? "count.all_spurs" : "count.vegetative"),
               tr(again ? "count.none_return" : "count.none_clusters"),
               tr(again ? "count.none_return_yes" : "count.none_clusters_yes"),
               tr("doubt.no"));
}

}  // namespace nthtree::screens
