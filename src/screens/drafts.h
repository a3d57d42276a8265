// SPDX-License-Identifier: Apache-2.0
//
// What a person has half done: a count under way, a branch of buds. Part of the session, written to
// the phone at every change (write_drafts), so that a call, a locked screen or a killed tab costs
// nothing.
//
//   CountDraft draft{.purpose = CountPurpose::tag, .block = "b1", .tree = {12, 48}};
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "ledger/record.h"
#include "orchard/limb_draw.h"
#include "orchard/tree_address.h"

namespace nthtree::screens {

enum class CountPurpose { tag, check, before, clusters, harvest, return_bloom, exercise,
                          part, part_check, part_clusters };
enum class CountWay { tap, limbs, keypad };
inline constexpr std::size_t keypad_digits_max = 4;
inline constexpr int step_typed = 6;

// A count that is under way. Written to the phone at every change, so that a call, a locked
// screen or a killed tab costs nothing.
struct CountDraft {
  CountPurpose purpose = CountPurpose::tag;
  std::string person;
  std::string block;
  orchard::TreeAddress tree;
  CountWay way = CountWay::tap;
  std::vector<int> limbs = {0};  // running counts; one entry unless counted limb by limb
  std::string digits;            // typed on the keypad
  std::vector<int> steps;        // for undo: what each tap added; 0: a new limb; or step_typed
  std::vector<int> replaced;     // by typed numbers, for undo: the limbs, then how many they are
  // A second number beside the first: vegetative spurs (clusters), all spurs (return bloom).
  std::string second_digits;
  bool on_second = false;
  bool practice = false;         // nothing of it will be recorded
  bool moved = false;            // the tree address was set by hand
  // Some limbs of a tree: none until they are numbered, then which; `limbs` holds them in order.
  orchard::LimbDraw draw;
  int size = -1;                 // ledger::SizeClass, where it was asked and tapped; -1: not
  std::string exercise;          // id of the counting exercise, where it is for one
  int round = 0;                 // of it; 0: a tree that is new to it
  std::int64_t started_ms = 0;
  std::int64_t last_tap_ms = 0;
  std::int64_t active_ms = 0;    // a pause counts as pause_ms_max at most
  // Set while the same tree is counted again after taking more: the tag count it completes.
  std::optional<ledger::RecordId> mends;
  int spurs_before_mend = 0;
  std::vector<int> limbs_before_mend;
  int seconds_before_mend = 0;
  std::optional<int> mend_seconds;  // from that count until this one began

  int seconds() const;           // that counting took, as many as a record holds at most
  int spurs() const;             // the number as it stands, whichever way it was counted
  int second() const;            // the number beside it; 0 where none was typed
  bool empty() const;            // nothing counted yet
  bool is_part() const {
    return purpose == CountPurpose::part || purpose == CountPurpose::part_check ||
           purpose == CountPurpose::part_clusters;
  }
  bool all_drawn_counted() const;
};

// Buds of one branch, while they are being cut open and tallied.
enum class BudKind { spur_floral, spur_vegetative, terminal_floral, terminal_vegetative, lateral };
struct BudDraft {
  std::string block;
  orchard::TreeAddress tree;
  ledger::BranchPosition position = ledger::BranchPosition::upper;
  int counts[5] = {0, 0, 0, 0, 0};  // by BudKind
  std::vector<BudKind> steps;       // for undo
  std::int64_t started_ms = 0;
  bool empty() const { return steps.empty(); }
};

inline constexpr std::int64_t pause_ms_max = 20000;  // longer is a call or a talk, not counting

// What a person has half done. One set a person, so that a shared phone mixes nothing up.
struct Drafts {
  std::optional<CountDraft> count;
  std::optional<BudDraft> buds;
};

}  // namespace nthtree::screens
