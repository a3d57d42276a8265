// SPDX-License-Identifier: Apache-2.0
//
// The question before an odd number is kept (advice/known/count_doubt.h): asked once, with both
// numbers in it, wherever a count is saved or corrected.
//
// Private to this folder.
#pragma once

#include <string>

#include "advice/known/count_doubt.h"
#include "screens/parts/frame.h"

namespace nthtree::screens {

// Of a number that the present person is about to keep as a count of this kind. Numbers that nobody
// may see yet (the tag of a blind re-count, those of an exercise) are not part of it.
advice::CountDoubt doubt_about(Frame& frame, const ledger::Body& count, int number);

// Drawn after finish(), open while session.asking is "odd". True once, when the answer is yes.
bool odd_number_accepted(Frame& frame, const advice::CountDoubt& doubt, int number,
                         const std::string& yes);

}  // namespace nthtree::screens
