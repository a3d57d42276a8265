// SPDX-License-Identifier: Apache-2.0
//
// The tree of a count, as one row; opened, fields and steppers to walk to another one. A count that
// is of one tree and no other only names it.
//
// Private to this folder.
//
//   tree_row(frame, draft);
#pragma once

#include "screens/drafts.h"
#include "screens/parts/frame.h"

namespace nthtree::screens {

// A mend, a turn in a counting exercise, limbs that were drawn: of one tree and no other.
bool is_of_one_tree(const CountDraft& draft);

// Wants SetTree where another tree is chosen; open while session.asking is "tree".
void tree_row(Frame& frame, const CountDraft& draft);
// While a number stands in an open field that the block has not: the count's tree is then what was
// right last, such as row 9 of somebody who types 900, and nothing may be saved to it.
bool is_tree_typed_wrong(const Frame& frame, const CountDraft& draft);

}  // namespace nthtree::screens
