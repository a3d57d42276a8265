// SPDX-License-Identifier: Apache-2.0
//
// Who goes where tomorrow: gangs and blocks, when each block ends against its green tip, and the
// assignment that leaves the fewest trees unpruned when the buds break.
//
// A gang is the people of one name (person's gang); people without one are a gang where they last
// worked. The days to come are played out: a gang stays in its block until that is done, then goes
// where green tip comes next; rates are uncertain by a fifth, shared by all. What is dealt out:
// each further gang in a block saves less than the one before (expected trees late, unit normal
// linear loss), so a block has a place for each gang and the places are assigned exactly
// (stats/assignment.h); then single moves are tried on the days played out. Nobody is moved for
// less than one tree. Blocks without a green tip date are never late and come last. Looked at anew
// every evening; weather, walks and what a gang is used to are not modelled.
//
//   Tomorrow plan = tomorrow(season, now_ms);
//   Tomorrow other = what_if(season, now_ms, {{"North", "b2"}, {"South", "b1"}});
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "advice/reason.h"
#include "ledger/season.h"
#include "orchard/target.h"

namespace nthtree::advice {

struct Gang {
  std::string name;                 // as the people's records give it; empty: by block_now
  std::vector<std::string> people;  // ids of those who are active
  std::string block_now;            // where most of them worked last; may be empty
  std::string block;                // where to go tomorrow; empty: nothing is left to prune
  double trees_per_hour = 0;        // together
  std::vector<Reason> reasons;      // up to three: gang_stays, gang_moves, gang_saves, gang_late

  // What tells it from the others: its name, or where those without one are.
  std::string key() const { return name.empty() ? "@" + block_now : name; }
};

struct BlockEnd {
  std::string block;
  double trees_left = 0;
  double trees_per_hour = 0;        // of the gangs sent there
  bool has_end = false;             // somebody gets there and finishes it
  std::int64_t end_day = 0, end_day_early = 0, end_day_late = 0;  // 92 % (±1.73 sd)
  bool has_green_tip = false;
  std::int64_t green_tip_day = 0;
  double chance_in_time = 0;
  double trees_late = 0;            // expected unpruned at green tip
};

struct Tomorrow {
  std::vector<Gang> gangs;      // by name
  std::vector<BlockEnd> blocks; // with trees left, earliest green tip first
  double trees_late = 0;        // over all blocks
  double trees_late_as_now = 0; // if everybody stayed where they are
};

Tomorrow tomorrow(const ledger::Season& season, std::int64_t now_ms);

// The same with these gangs (by key) in these blocks; a gang that is not named stays where it is.
// Keys and blocks that there are not change nothing.
Tomorrow what_if(const ledger::Season& season, std::int64_t now_ms,
                 const std::map<std::string, std::string>& block_of_gang);

}  // namespace nthtree::advice
