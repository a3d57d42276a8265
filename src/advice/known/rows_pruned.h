// SPDX-License-Identifier: Apache-2.0
//
// Who pruned which rows: as it was logged at the rows' ends, and, where nobody logged, inferred
// from where a person's counts lie, and marked so.
//
// Inferred: a row that holds counts belongs to who made them; a row between two such rows, no
// further from the nearer than a stride of trees reaches, belongs to the nearer one's pruner.
// Beyond that nobody knows. A part holds the moment it was done at: the record's own, noon of the
// day it names, or that of the count it is inferred from.
//
//   RowsPruned rows = rows_pruned(season, "b1", now_ms);
//   for (const RowPart& part : rows.parts) show(part.row, part.person, part.inferred);
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "advice/known/planting.h"
#include "ledger/season.h"

namespace nthtree::advice {

struct RowPart {
  int row = 0;
  int first_tree = 1, last_tree = 1;    // both included
  std::optional<ledger::RowSide> side;  // half of each tree
  std::string person;
  std::int64_t at_ms = 0;
  bool inferred = false;
  double trees = 0;                     // bearing ones; half where one side was pruned
};

// What was logged and cannot all be so. Kept as it came, told, and for a person to mend.
struct RowDoubt {
  enum class Kind { no_such_row, row_twice, too_many_trees, too_fast };
  Kind kind = Kind::no_such_row;
  int row = 0;
  std::string person, other_person;  // row_twice: both
  double trees = 0;                  // too_many_trees: that day's; too_fast: an hour's
  std::int64_t day = 0;
  std::string other_block;           // too_fast: where the row before was
  int other_row = 0;
  double minutes = 0;                // too_fast: since then
};

struct RowsPruned {
  std::vector<RowPart> parts;   // by row, first tree, moment
  std::vector<RowDoubt> doubts;
  int rows_logged = 0, rows_inferred = 0;
  double trees_logged = 0;      // bearing, no tree more than once
  // The first row with a bearing tree that nobody has pruned; 0 where there is none.
  int next_row = 0;
};

// A day with more trees of one person than this is asked about: two hundred and more need a tree
// every two and a half minutes for eight hours (common practice, no source).
inline constexpr double trees_a_day_most = 400;

// Faster than this from one row's end to the next is asked about: a slip of the finger, or somebody
// who is in two places at once (common practice, no source).
inline constexpr double trees_an_hour_most = 120;

RowsPruned rows_pruned(const ledger::Season& season, const std::string& block,
                       std::int64_t now_ms);

// The row whose end this person comes to next: the one they counted in since their last row's end,
// or the next one the way they go through the block (two rows on where they leave every other one
// to somebody else), or else the first that nobody has pruned. 0 where all are pruned.
int row_at_hand(const RowsPruned& rows, const ledger::BlockSeason& block,
                const std::string& person, std::int64_t now_ms);

// What is to be asked before rows of one block are kept as the author's word; empty where nothing
// is.
std::vector<RowDoubt> doubts_before(const ledger::Season& season,
                                    const std::vector<ledger::RowDone>& rows,
                                    const std::string& author, std::int64_t now_ms);

}  // namespace nthtree::advice
