// SPDX-License-Identifier: Apache-2.0
//
// How strong the tree is, in one tap before its count: asked where the block's own counts show that
// it pays, or where trees differ so much that some twenty taps will tell; nowhere else.
//
// Private to this folder.
//
//   size_row(frame, draft);
//   add_size(draft, records.bodies);
#pragma once

#include <string>
#include <vector>

#include "screens/drafts.h"
#include "screens/parts/frame.h"

namespace nthtree::screens {

void size_row(Frame& frame, const CountDraft& draft);
// What was tapped, to be saved with the count; nothing where nothing was.
void add_size(const CountDraft& draft, std::vector<ledger::Body>& bodies);
// What a weak, a middling and a strong tree are left, in one line; empty where it does not pay.
std::string leave_by_size(Frame& frame);

}  // namespace nthtree::screens
