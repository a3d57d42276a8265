// SPDX-License-Identifier: Apache-2.0
//
// Harder, lighter, on target, or count more: said after any tree, with error rates that hold over
// the whole day of looking, and by how much.
//
// Rates at the default sureness 0.95: told to change although within half a tolerance, at most
// 5 % over a day; told the wrong way, at most 1 %; told rightly at one and a half tolerances, at
// least 90 %; between half and one and a half, either answer is fair. METHODS.md gives the method
// and src/advice/oc/ what it measures to.
//
//   Verdict verdict = judge(standing, settings);
//   if (verdict.kind == VerdictKind::harder) tell(verdict.hands, verdict.over_target);
#pragma once

#include <string>
#include <vector>

#include "advice/hand_terms.h"
#include "advice/reason.h"
#include "advice/settings.h"
#include "advice/judged/boundary_terms.h"
#include "advice/judged/standing.h"

namespace nthtree::advice {

enum class VerdictKind { harder, lighter, on_target, count_more };

struct Verdict {
  VerdictKind kind = VerdictKind::count_more;
  // How many fewer spurs to leave on a tree (harder: positive) or more (lighter: negative).
  // With its 90 % interval; also filled for count_more, as the best guess.
  orchard::Estimate over_target;
  HandTerms hands;
  double sureness = 0;              // that the advice is right: 0 … 1
  // Within so many further trees a verdict comes in about half of all runs; 0 where it is reached,
  // and where counting is not the remedy or more would be needed than can be foreseen.
  double expected_more_trees = 0;
  bool is_urgent = false;           // far off, and sure: tell before the next tree
  bool calls_lead = false;          // a second tree far off: the lead, before the next tree
  bool leans_harder = false, leans_lighter = false;  // count_more with a lean worth telling
  Reason reason;  // ids in README.md: harder_sure, harder_far, lighter_sure, lighter_far,
                  // all_stays, on_target_sure, count_more_lean_harder, count_more_lean_lighter,
                  // far_tree_one, far_trees, count_more_few, count_more_many, count_more_target,
                  // count_more_bias, no_target, no_counts
  // What the lead should know beside it: note_two_kinds, note_bare_trees, note_neighbours_alike,
  // note_rows_differ, note_few_rows, note_little_known. The verdict allows for it as far as it can
  // be told from the counts.
  std::vector<Reason> notes;
  friend bool operator==(const Verdict& a, const Verdict& b) {
    return a.kind == b.kind && a.reason == b.reason && a.sureness == b.sureness;
  }
};

Verdict judge(const Standing& standing, const Settings& settings);
// What is said: as judged, and what no mean shows. A tree far off the target may be a tree of
// another kind, and is then left out of the mean; but nobody is told that all is well on top of it,
// or to change the other way. The first one waits for the next count; the second calls the lead.
Verdict verdict_for(const Standing& standing, const Settings& settings);
// The kind alone, at a tenth of the work.
VerdictKind kind_of(const Standing& standing, const Settings& settings);

// One side of the boundary as `judge` compares it, for whoever checks a verdict by hand; METHODS.md
// has the formulas. Mirrored for lighter, so that further off is always upwards.
struct SideCheck {
  double near = 0, far = 0;             // ln(1 + t/2), ln(1 + 3t/2)
  double past_near = 0, short_of_far = 0;  // of the level, on the cube-root scale
  double z = 0, z_needed = 0;           // to tell a change
  double z_clear = 0, z_clear_needed = 0;  // to tell that it is not as far off as `far`
  double separation = 0;                // s = (far - near) / sd
  double a = 0, b = 0, z_early = 0, counts_worth = 1;  // of the lines
  BoundaryTerms terms;                  // what a, b and z_early come from
  bool early = false;                   // the early line is the nearer one
};
struct BoundaryCheck {
  double count_variance = 0;            // of one more count, of ln(level)
  double mean = 0, sd = 1, df = 1;      // of ln(true mean ÷ target), own counts, everything inside
  SideCheck harder, lighter;
};
BoundaryCheck check_boundary(const Standing& standing, const Settings& settings);

// Standing and judgement in one.
Verdict verdict_of(const ledger::Season& season, const std::string& block,
                   const std::string& person, std::int64_t now_ms);

// Stable word for files and tests: "harder", "lighter", "on_target", "count_more".
const char* name_of(VerdictKind kind);

}  // namespace nthtree::advice
