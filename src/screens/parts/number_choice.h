// SPDX-License-Identifier: Apache-2.0
//
// The two numbers of a count that has two (clusters and spurs without flowers; floral spurs and
// all), and which of them is being counted. Private to this folder.
//
//   if (has_second(draft.purpose)) number_choice(frame, draft);
#pragma once

#include <string>

#include "screens/drafts.h"
#include "screens/parts/frame.h"

namespace nthtree::screens {

bool has_second(CountPurpose purpose);
// What the number in hand is of: "Flower clusters".
std::string unit_of(const CountDraft& draft);
// Wants ChooseNumber where the other one is tapped.
void number_choice(Frame& frame, const CountDraft& draft);

// A count that needs a second number, which nobody typed: kept as none it would say that every spur
// flowers. Asked before it is saved (Ask{"none"}).
bool is_second_unsaid(const CountDraft& draft);
// The question, while it is open; true once it is said that there are none.
bool none_accepted(Frame& frame, const CountDraft& draft);

}  // namespace nthtree::screens
