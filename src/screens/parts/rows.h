// SPDX-License-Identifier: Apache-2.0
//
// Rows that somebody pruned: in words, and how they are kept, with one question first where a row
// cannot be so (advice/known/rows_pruned.h).
//
// Private to this folder.
//
//   const RowsToKeep rows{{done}};
//   if (tapped) keep_rows(frame, rows);
//   finish(frame);
//   ask_about_rows(frame, rows);
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "advice/known/rows_pruned.h"
#include "screens/parts/frame.h"

namespace nthtree::screens {

// "Row 14"; of a part "Row 14, left side" or "Row 14, trees 1 to 40".
std::string row_text(const ledger::RowDone& done);
std::string row_doubt_text(const ledger::Season& season, const advice::RowDoubt& doubt);

// A field for numbers of rows, "12-18, 20", from 1 to `most`; what is wrong is said beside it. In
// order; empty while it cannot be read.
std::vector<int> row_list_field(Frame& frame, const std::string& id, const std::string& label,
                                int most);
// The same for numbers of trees in rows.
std::vector<int> tree_list_field(Frame& frame, const std::string& id, const std::string& label,
                                 int most);

struct RowsToKeep {
  std::vector<ledger::RowDone> rows;  // of one block
  std::optional<ledger::RecordId> replaces;  // a correction, of a single one
  SaveRecords::From from = SaveRecords::From::nothing;
};
// Keeps them, or opens the question. True where they were kept.
bool keep_rows(Frame& frame, const RowsToKeep& keep);
// Drawn after finish(), open while session.asking is "row_doubt". True once, when they were kept.
bool ask_about_rows(Frame& frame, const RowsToKeep& keep);

}  // namespace nthtree::screens
